"""Moist air against ASHRAE Handbook Fundamentals 2017, chapter 1 (values read in psychrolib's own test file)."""

from __future__ import annotations

import pytest

from boottop.climate import moist


@pytest.mark.parametrize(("air_c", "expected_pa"), [(5, 872.6), (25, 3169.7), (50, 12351.3)])
def test_table_3_saturation_pressure(air_c: float, expected_pa: float) -> None:
    """Tolerance 3e-4 (the table was computed with a later formula)."""
    assert float(moist.saturation_pa(air_c)) == pytest.approx(expected_pa, rel=3e-4)


def test_table_3_below_freezing_is_over_ice_and_we_are_not() -> None:
    """401.74 Pa at -5 degC is printed over ice; water lies above it by 1.050 (Smithsonian tables, from memory)."""
    assert float(moist.saturation_pa(-5.0)) / 401.74 == pytest.approx(1.050, abs=5e-4)


@pytest.mark.parametrize(("air_c", "expected"), [(5, 0.005425), (25, 0.020173)])
def test_table_2_saturated_humidity_ratio(air_c: float, expected: float) -> None:
    """Tolerance 5e-3: the table carries the enhancement factor, the formula does not."""
    assert float(moist.humidity_ratio(moist.saturation_pa(air_c), 101325.0)) == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(("height_m", "expected_pa"), [(500, 95461), (1000, 89875)])
def test_table_1_standard_atmosphere(height_m: float, expected_pa: float) -> None:
    assert float(moist.standard_pressure_pa(height_m)) == pytest.approx(expected_pa, abs=1.0)


def test_example_1_dew_point_and_humidity() -> None:
    """40 degC dry bulb, 20 degC wet bulb: W .0065 +- 1e-4, dew point 7 +- .5 degC, RH .14 +- .01 (chart readings)."""
    rh = 0.1398
    assert float(moist.wet_bulb_c(40.0, rh, 101325.0)) == pytest.approx(20.0, abs=0.02)
    assert float(moist.humidity_ratio(moist.saturation_pa(40.0) * rh, 101325.0)) == pytest.approx(0.0065, abs=1.1e-4)
    assert float(moist.dew_point_c(40.0, rh)) == pytest.approx(7.0, abs=0.5)
    assert float(moist.relative_humidity(40.0, moist.dew_point_c(40.0, rh))) == pytest.approx(0.14, abs=0.01)


def test_wet_bulb_from_humidity() -> None:
    """7 degC, 61 %, 100 kPa: 3.92667 degC, tolerance 1e-3."""
    assert float(moist.wet_bulb_c(7.0, 0.61, 100000.0)) == pytest.approx(3.92667, rel=1e-3)


def test_humidity_ratio_from_wet_bulb() -> None:
    """30/25 degC at 95461 Pa: .0192281, tolerance 3e-4; our wet bulb is turned round by search."""
    from scipy.optimize import brentq

    rh = brentq(lambda r: float(moist.wet_bulb_c(30.0, r, 95461.0)) - 25.0, 0.3, 0.99)
    assert float(moist.humidity_ratio(moist.saturation_pa(30.0) * rh, 95461.0)) == pytest.approx(0.0192281, rel=3e-4)
