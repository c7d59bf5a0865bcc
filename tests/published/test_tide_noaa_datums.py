"""Lowest and highest astronomical tide as NOAA prints them, against nineteen years of our prediction.

NOAA CO-OPS datums of Honolulu 1612340, San Francisco 9414290 and Boston 8443970 (read, in the station files): LAT and
HAT are the extremes of NOAA's own prediction from the same constants over the epoch 1983-2001. It checks the whole sum
at once, the annual cycle and the nodal corrections of all years included.
"""

from __future__ import annotations

import numpy as np
import pytest

from boottop.plan.tide_constants import TideStation
from boottop.plan.tide_heights import heights_m
from tests.files.tide_files import seconds, station

FINE_S = np.arange(-1800, 1801, 300)


def extreme_m(of: TideStation, sign: int) -> float:
    """Highest (sign 1) or lowest (-1) predicted height of 1983-2001: hourly first, then about the hundred furthest."""
    hours = np.arange(seconds(1983), seconds(2002), 3600)
    furthest = hours[np.argsort(-sign * heights_m(of, hours))[:100]]
    fine = np.unique((furthest[:, np.newaxis] + FINE_S).ravel())
    return sign * float((sign * heights_m(of, fine)).max())


@pytest.mark.parametrize("name", ["honolulu", "francisco", "boston"])
def test_lowest_and_highest_astronomical_tide(name: str) -> None:
    """Within half a millimetre for each constituent, the rounding of its printed amplitude: at an extreme they lie
    crest on crest, so their roundings add up. NOAA holds nodal factors for a year (from memory), which is within it
    too."""
    of = station(name)
    rounding_m = 0.0005 * sum(one.amplitude_m > 0.0 for one in of.constituents)
    assert rounding_m < 0.0185 + 1e-9
    for level, sign in (("LAT", -1), ("HAT", 1)):
        printed = of.datums_m[level] - of.datums_m["MSL"]
        assert extreme_m(of, sign) == pytest.approx(printed, abs=rounding_m), level
