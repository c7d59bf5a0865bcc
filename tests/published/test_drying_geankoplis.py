"""Constant-rate drying against C. J. Geankoplis, Transport Processes and Unit Operations, Ex 9.6-3 p. 543 (read)."""

from __future__ import annotations

import pytest

from boottop.climate.kernel import LATENT_J_KG
from boottop.windows.film import film_balance

SPEED_M_S, AIR_C, HUMIDITY_KG_KG, AIR_M3_KG = 6.1, 65.6, 0.010, 0.974


def _heat_w_m2k() -> float:
    """His h = 0.0204 G^0.8, G the mass velocity in kg/(m2 h), from humid air of 0.974 m3/kg dry air."""
    return float(0.0204 * (3600.0 * SPEED_M_S * (1.0 + HUMIDITY_KG_KG) / AIR_M3_KG) ** 0.8)


def test_heat_transfer_coefficient() -> None:
    assert _heat_w_m2k() == pytest.approx(62.45, rel=1e-3)


def test_rate_from_the_printed_wet_bulb() -> None:
    """Rc = h (T - Tw) / lambda, Tw 28.9 degC, 2433 kJ/kg: 3.391 kg/(m2 h); 0.708 kg/h from 0.457 m square."""
    rate_kg_m2h = 3600.0 * _heat_w_m2k() * (AIR_C - 28.9) / 2.433e6
    assert rate_kg_m2h == pytest.approx(3.391, rel=1e-3)
    assert rate_kg_m2h * 0.457**2 == pytest.approx(0.708, rel=1e-3)


def test_our_film_finds_its_own_wet_bulb() -> None:
    """With heat from the air alone our film rests where his chart has it, and dries as fast.

    He reads an adiabatic saturation temperature (Lewis relation 1); we take 0.845^(2/3): 1 K and 4 %.
    """
    heat_w_m2k = _heat_w_m2k()
    vapour_pa = 101_325.0 * HUMIDITY_KG_KG / (0.622 + HUMIDITY_KG_KG)
    film_c, rate_kg_m2_s = film_balance(
        AIR_C, vapour_pa, heat_w_m2k=lambda _: heat_w_m2k, gain_w_m2k=lambda _: heat_w_m2k
    )
    assert film_c == pytest.approx(28.9, abs=1.0)
    assert 3600.0 * rate_kg_m2_s == pytest.approx(3.391, rel=0.04)
    assert LATENT_J_KG * rate_kg_m2_s == pytest.approx(heat_w_m2k * (AIR_C - film_c), rel=1e-6)
