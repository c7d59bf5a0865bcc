"""Settling against C. J. Geankoplis, Transport Processes and Unit Operations, ch. 14 (read in a worked copy)."""

from __future__ import annotations

import pytest

from boottop.coating.settling import power_hindrance, reynolds, stokes_m_s, viscous_hindrance


def test_oil_drop_in_air() -> None:
    """Ex 14.3-1 p818: 20 um, 900 in 1.137 kg/m3, 1.9e-5 Pa s -> 0.0103 m/s, Re 0.012 (rtol 2e-3)."""
    speed_m_s = stokes_m_s(20.0, 900.0 - 1.137, viscosity_pa_s=1.9e-5)
    assert speed_m_s == pytest.approx(0.0103, rel=2e-3)
    assert reynolds(20.0, speed_m_s, liquid_kg_m3=1.137, viscosity_pa_s=1.9e-5) == pytest.approx(0.012, abs=5e-4)


def test_glass_spheres_hindered() -> None:
    """Ex 14.3-2 p820: 155.4 um glass 2467 in water 998, 1.005e-3 Pa s, 60 % by mass -> eps 0.622, 1.53e-3 m/s."""
    eps = (0.4 / 998.0) / (0.4 / 998.0 + 0.6 / 2467.0)
    assert eps == pytest.approx(0.622, abs=5e-4)
    lone_m_s = stokes_m_s(155.4, 2467.0 - 998.0, viscosity_pa_s=1.005e-3)
    assert lone_m_s * viscous_hindrance(1.0 - eps) == pytest.approx(1.530e-3, rel=1e-3)


def test_the_power_law_is_not_the_same_law() -> None:
    """n = 4.65 on the same glass gives 2.12e-3 m/s (our arithmetic): scatter between forms, not an error."""
    lone_m_s = stokes_m_s(155.4, 2467.0 - 998.0, viscosity_pa_s=1.005e-3)
    assert lone_m_s * power_hindrance(1.0 - 0.622351, 4.65) == pytest.approx(2.12e-3, abs=5e-6)
