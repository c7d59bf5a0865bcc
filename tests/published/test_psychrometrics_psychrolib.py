"""Moist air against PsychroLib over the whole range a boatyard can meet (PsychroLib: MIT, ASHRAE's formulas)."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from boottop.climate import moist


@pytest.fixture(autouse=True)
def _si_units() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


def test_saturation_pressure_above_freezing() -> None:
    air_c = np.arange(0.5, 60.0, 1.5)
    theirs = [psychrolib.GetSatVapPres(float(one)) for one in air_c]
    np.testing.assert_allclose(moist.saturation_pa(air_c), theirs, rtol=1e-9)


@pytest.mark.parametrize("rh", [0.25, 0.5, 0.8, 0.97])
def test_dew_point_above_freezing(rh: float) -> None:
    """Within PsychroLib's own iteration tolerance of 1 mK, wherever the dew point is above 0 degC."""
    for air_c in np.arange(23.0, 41.0, 3.0):
        theirs = psychrolib.GetTDewPointFromRelHum(float(air_c), rh)
        assert float(moist.dew_point_c(air_c, rh)) == pytest.approx(theirs, abs=2e-3)


def test_dew_point_25_c_80_percent() -> None:
    """21.3094 degC in PsychroLib 2.5.0, 21.3107 in CoolProp 8.0.0: tolerance 0.01 K."""
    assert float(moist.dew_point_c(25.0, 0.8)) == pytest.approx(21.3094, abs=0.01)


def test_below_freezing_we_keep_to_water_and_psychrolib_goes_to_ice() -> None:
    """At a vapour pressure of 260 Pa PsychroLib returns the frost point, warmer than our dew point over water."""
    ours = float(moist.saturation_temperature_c(260.0))
    theirs = psychrolib.GetTDewPointFromVapPres(5.0, 260.0)
    assert ours < theirs
    assert 0.5 < theirs - ours < 1.7
