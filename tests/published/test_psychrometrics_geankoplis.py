"""Humidity from pressures against Geankoplis, Transport Processes and Unit Operations, Ex 9.3-1 p. 526 (read)."""

from __future__ import annotations

import pytest

from boottop.climate.moist import humidity_ratio, relative_humidity, saturation_temperature_c
from tests.climate.made import wet_rate_kg_m2_s


def test_example_9_3_1() -> None:
    """Vapour 2.76 kPa, saturation 3.5 kPa, 101.3 kPa: H .01742 and Hs .02226 kg/kg, 78.9 % RH; tolerance 1e-3."""
    assert float(humidity_ratio(2760.0, 101300.0)) == pytest.approx(0.01742, rel=1e-3)
    assert float(humidity_ratio(3500.0, 101300.0)) == pytest.approx(0.02226, rel=1e-3)
    air_c, dew_c = saturation_temperature_c(3500.0), saturation_temperature_c(2760.0)
    assert 100.0 * float(relative_humidity(air_c, dew_c)) == pytest.approx(78.9, abs=0.08)


def test_example_9_6_3_constant_rate_drying() -> None:
    """Air 65.6 degC, H .010 kg/kg, h 62.45 W/m2K: wet bulb 28.9 degC and 3.391 kg/m2h. He reads the wet bulb off a
    chart; the film march finds its own by the Lewis relation (.845, he takes 1): 4 %."""
    vapour_pa = 101325.0 * 0.010 / (0.622 + 0.010)
    assert 3600.0 * wet_rate_kg_m2_s(65.6, vapour_pa, 62.45) == pytest.approx(3.391, rel=0.04)
