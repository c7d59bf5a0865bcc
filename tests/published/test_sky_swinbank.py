"""Swinbank, Q. J. R. Meteorol. Soc. 89 (1963) 339-348: Tsky = 0.0552 Ta^1.5 (formula read; the values are its own)."""

from __future__ import annotations

import pytest

from boottop.climate.sky import KELVIN, SIGMA_W_M2K4, sky_w_m2, swinbank_sky_k


@pytest.mark.parametrize(("air_k", "sky_k"), [(300.0, 286.83), (283.15, 263.00)])
def test_sky_temperature(air_k: float, sky_k: float) -> None:
    assert float(swinbank_sky_k(air_k)) == pytest.approx(sky_k, rel=1e-4)


@pytest.mark.parametrize(("air_c", "dew_c"), [(5.0, 0.0), (15.0, 8.0), (25.0, 15.0)])
def test_our_sky_is_near_it_in_ordinary_air(air_c: float, dew_c: float) -> None:
    """Clear skies of our formula lie within 25 W/m2 of Swinbank's, which knows no humidity."""
    swinbank = SIGMA_W_M2K4 * float(swinbank_sky_k(air_c + KELVIN)) ** 4
    assert float(sky_w_m2(air_c, dew_c, 0.0)) == pytest.approx(swinbank, abs=25.0)
