"""Froude's extrapolation: Massey and Ward-Smith, Mechanics of Fluids, ch. 5, Ex 3, p. 184 (read in a solved-examples
copy, recomputed)."""

from __future__ import annotations

import pytest

from boottop.money.friction import friction_n, ittc57, reynolds_number

SCALE, SHIP_M2, SHIP_M, SHIP_M_S = 25.0, 3500.0, 125.0, 10.0
MODEL_N, ALLOWANCE, FULL = 54.2, 0.0004, 1.45


def test_ship_from_her_model() -> None:
    model_m_s = SHIP_M_S / SCALE**0.5
    model_cf = ittc57(reynolds_number(model_m_s, SHIP_M / SCALE, 1.235e-6))
    model_n = float(friction_n(model_m_s, SHIP_M2 / SCALE**2, model_cf, density_kg_m3=1000.0))
    assert model_n == pytest.approx(34.867, abs=5e-4)
    rest_n = (MODEL_N - model_n) * SCALE**3 * 1.025
    assert rest_n == pytest.approx(309_634, abs=0.5)
    ship_cf = FULL * (ittc57(reynolds_number(SHIP_M_S, SHIP_M, 1.188e-6)) + ALLOWANCE)
    ship_n = float(friction_n(SHIP_M_S, SHIP_M2, ship_cf, density_kg_m3=1025.0))
    assert ship_n == pytest.approx(499_639, abs=0.5)
    assert rest_n + ship_n == pytest.approx(809_273.4, rel=1e-6)
