"""Elutriation against Coulson & Richardson, Chemical Engineering vol 2, Ex 3.2 p159 (read in a worked copy)."""

from __future__ import annotations

import pytest

from boottop.coating.settling import stokes_grain_um


@pytest.mark.parametrize(("grain_kg_m3", "printed_um"), [(7500.0, 37.6), (2700.0, 73.5)])
def test_grain_that_water_of_5_mm_s_holds(grain_kg_m3: float, printed_um: float) -> None:
    grain_um = stokes_grain_um(0.005, grain_kg_m3 - 1000.0, viscosity_pa_s=1e-3)
    assert grain_um == pytest.approx(printed_um, abs=0.05)
