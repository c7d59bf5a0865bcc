"""The height of the tide from a station's harmonic constants: a sum of cosines, with the arguments utide works out.

utide is imported when the first height is asked for (it brings half a second of scipy with it).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from boottop.plan.tide_constants import WAVES, Constituent, TideStation, utide_name

Floats = NDArray[np.float64]
UNIX_EPOCH_DAY = 719163
"""1970-01-01 as utide counts days (1 = 1 January of the year 1)."""
LOWEST_LATITUDE_DEG = 5.0
"""Nearer the equator the latitude terms of the nodal corrections run away; utide stops them here (but divides by zero
on the equator itself)."""
CHUNK = 4096
_EXACT, _NO_NODAL = [0, 0, 0, 0], [0, 1, 0, 0]


def heights_m(station: TideStation, epoch_s: NDArray[np.int64]) -> Floats:
    """Predicted height above mean sea level, m, at times in seconds since 1970 UTC, shape (time,).

    h = sum f A cos(V + u - g) over the constituents: V the astronomical argument at the time itself, f and u its
    nodal corrections at the noon of its day (they move by at most 0.002 and 0.2 deg a day). Astronomical tide alone:
    no wind, no air pressure, no river. Constituents that `left_out` names are not in it.
    D. L. Codiga, Unified Tidal Analysis and Prediction Using the UTide Matlab Functions, 2011, and M. G. G. Foreman,
    Manual for Tidal Heights Analysis and Prediction, 1977 (both from memory; the code that follows them was read).
    """
    parts = [_heights(station, epoch_s[at : at + CHUNK]) for at in range(0, epoch_s.size, CHUNK)]
    return np.concatenate(parts) if parts else np.zeros(0)


def left_out(station: TideStation) -> tuple[Constituent, ...]:
    """Constituents of a station that are not in its heights, because neither utide nor the list here defines them."""
    places = _places()
    every = station.constituents
    return tuple(one for one in every if one.amplitude_m > 0.0 and not _known(one.name, places))


def _known(name: str, places: dict[str, int]) -> bool:
    return name in WAVES or utide_name(name) in places


def _places() -> dict[str, int]:
    """Where in utide's arrays each constituent stands."""
    from utide import ut_constants  # type: ignore[import-untyped]

    return {str(name): place for place, name in enumerate(ut_constants.const.name)}


def _heights(station: TideStation, epoch_s: NDArray[np.int64]) -> Floats:
    from utide.astronomy import ut_astron  # type: ignore[import-untyped]
    from utide.harmonics import FUV  # type: ignore[import-untyped]

    places = _places()
    every = np.arange(len(places))
    latitude = math.copysign(max(abs(station.latitude_deg), LOWEST_LATITUDE_DEG), station.latitude_deg)
    days = epoch_s / 86400.0 + UNIX_EPOCH_DAY
    noons, which = np.unique(np.floor(days) + 0.5, return_inverse=True)
    factors, angles, _ = FUV(noons, noons[0], every, latitude, _EXACT)
    _, _, arguments = FUV(days, days[0], every, latitude, _NO_NODAL)
    longitudes, _ = ut_astron(days)
    total = np.zeros(epoch_s.size)
    for one in station.constituents:
        if not _known(one.name, places):
            continue
        if (wave := WAVES.get(one.name)) is not None:
            turns = np.array(wave.doodson) @ longitudes + wave.quarters / 4.0
            nodal = wave.nodal
        else:
            turns, nodal = arguments[:, places[utide_name(one.name)]], ((utide_name(one.name), 1),)
        factor, angle = np.ones(noons.size), np.zeros(noons.size)
        for name, times in nodal:
            factor = factor * factors[:, places[name]] ** abs(times)
            angle = angle + angles[:, places[name]] * times
        lag = one.phase_deg / 360.0
        total += one.amplitude_m * factor[which] * np.cos(2.0 * np.pi * (turns + angle[which] - lag))
    return total
