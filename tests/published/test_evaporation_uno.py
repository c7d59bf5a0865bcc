"""Evaporation from a free water surface against the Menzel/Uno formula, P. J. Uno, ACI Materials J. 95-M34 (1998).

Formula and worked numbers read at second hand. Concrete's formula and our hull film are two correlations of one thing;
published ones differ by a factor of 2 to 3 among themselves, so ours is held to a band, not to a number.
"""

from __future__ import annotations

import pytest

from boottop.climate.build import FORCED_EXPONENT, FORCED_W_M2K
from boottop.windows.film import film_balance, natural_w_m2k, saturation_pa


def _uno_kg_m2h(surface_c: float, air_c: float, *, rh: float, wind_km_h: float) -> float:
    return float(5.0 * ((surface_c + 18.0) ** 2.5 - rh * (air_c + 18.0) ** 2.5) * (wind_km_h + 4.0) * 1e-6)


@pytest.mark.parametrize(("air", "printed"), [((90.0, 0.40, 15.0), 1.51), ((70.0, 0.70, 10.0), 0.29)])
def test_worked_numbers(air: tuple[float, float, float], printed: float) -> None:
    """Air and concrete at one temperature (degF), humidity, wind in mph: kg/(m2 h), tolerance 1e-2."""
    degrees_f, rh, wind_mph = air
    both_c = (degrees_f - 32.0) / 1.8
    rate = _uno_kg_m2h(both_c, both_c, rh=rh, wind_km_h=1.609344 * wind_mph)
    assert rate == pytest.approx(printed, rel=1e-2)


@pytest.mark.parametrize("wind_m_s", [1.0, 2.0, 5.0])
def test_our_film_dries_no_faster_than_uno_and_no_slower_than_half(wind_m_s: float) -> None:
    """A film kept at 25 degC in 50 %: below Uno, which is the cautious side for drying, and above half of him."""
    heat_w_m2k = ((FORCED_W_M2K * wind_m_s**FORCED_EXPONENT) ** 2 + natural_w_m2k(0.0) ** 2) ** 0.5
    _, ours = film_balance(25.0, 0.5 * saturation_pa(25.0), heat_w_m2k=lambda _: heat_w_m2k, gain_w_m2k=lambda _: 1e9)
    uno = _uno_kg_m2h(25.0, 25.0, rh=0.5, wind_km_h=3.6 * wind_m_s)
    assert 0.5 < 3600.0 * ours / uno < 1.0
