"""Wet bulb by the analogy of heat and mass against J. P. Holman, Heat Transfer, Ex 11-3 and 11-4 (read in a copy)."""

from __future__ import annotations

import pytest

from boottop.windows.film import film_balance, mass_transfer_m_s, saturation_pa, vapour_kg_m3

LATENT_J_KG = 2.456e6


def test_example_11_3_dry_air_from_its_wet_bulb() -> None:
    """Wet bulb 18.3 degC in dry air, saturation 2107 Pa, Le 0.845: 53.66 degC at the first pass (tolerance 1e-3)."""
    air_kg_m3 = 101_325.0 / (287.0 * (18.3 + 273.0))
    per_heat = mass_transfer_m_s(1.0, air_j_m3k=air_kg_m3 * 1004.0, lewis_ratio=0.845)
    water_kg_m3 = 2107.0 * 18.0 / (8315.0 * (18.3 + 273.0))
    assert 18.3 + LATENT_J_KG * per_heat * water_kg_m3 == pytest.approx(53.66, rel=1e-3)


def test_example_11_4_humidity_from_the_wet_bulb() -> None:
    """32.2 and 18.3 degC, rho 1.212, Cw 0.015666, saturated 0.0342 kg/m3: 27.8 % (tolerance 2e-3)."""
    per_heat = mass_transfer_m_s(1.0, air_j_m3k=1.212 * 1004.0, lewis_ratio=0.845)
    away_kg_m3 = 0.015666 - (32.2 - 18.3) / (LATENT_J_KG * per_heat)
    assert 100.0 * away_kg_m3 / 0.0342 == pytest.approx(27.8, rel=2e-3)


def test_our_film_rests_at_his_wet_bulb() -> None:
    """The other way round through our own balance: air 32.2 degC at 27.8 % holds a film at 18.3 degC, within 0.5 K.

    He takes densities at two temperatures, we the pressures at the mean one; that is the half kelvin.
    """
    vapour_pa = 0.278 * saturation_pa(32.2)
    film_c, _ = film_balance(32.2, vapour_pa, heat_w_m2k=lambda _: 20.0, gain_w_m2k=lambda _: 20.0)
    assert film_c == pytest.approx(18.3, abs=0.5)
    assert vapour_kg_m3(saturation_pa(32.2), 32.2) == pytest.approx(0.0342, rel=5e-3)
