"""Transient conduction through the hull's own kernel, against Cengel, Heat and Mass Transfer, Ex 4-4, 4-6, 4-7.

Read in solved-examples copies, re-derived.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.climate.made import Bath, even_wall, graded_wall, lone_wall, stuff


def test_example_4_4_brass_plate() -> None:
    """4 cm brass plate, both faces in 500 degC, h 120, 7 min: 281.4 degC from the chart (1 %), exact 279.58 degC."""
    bath = Bath(air_c=500.0, start_c=20.0, film_w_m2k=120.0, inside_c=20.0)
    nodes = lone_wall(even_wall(stuff(110.0, 3.39e-5), 0.02, 10), bath, step_s=0.5, steps=840)
    assert nodes[-1, 0] == pytest.approx(281.4, rel=0.01)
    assert nodes[-1, 0] == pytest.approx(279.58, abs=0.2)


def test_example_4_6_frost_depth() -> None:
    """Soil at 15 degC under -10 degC for 90 d, diffusivity .15e-6: 0 degC at .7776 m from the chart (3.5 %), .8009 m
    exactly (our spans and steps: 1e-3)."""
    wall, depth_m = graded_wall(stuff(0.4, 0.15e-6), 8.0, first_m=0.01, growth_ratio=1.04)
    bath = Bath(air_c=-10.0, start_c=15.0, film_w_m2k=2e4, inside_c=15.0)
    nodes = lone_wall(wall, bath, step_s=5400.0, steps=90 * 16)
    found_m = float(np.interp(0.0, nodes[-1], depth_m))
    assert found_m == pytest.approx(0.7776, rel=0.035)
    assert found_m == pytest.approx(0.80094, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "conductivity_w_mk", "diffusivity_m2_s", "expected_c"),
    [("wood", 1.26, 1.1e-5, 148.612), ("aluminium", 237.0, 9.71e-5, 22.03)],
)
def test_example_4_7_solar_flux(
    *, name: str, conductivity_w_mk: float, diffusivity_m2_s: float, expected_c: float
) -> None:
    """1250 W/m2 absorbed for 20 min by a thick block at 20 degC; the wood's diffusivity as printed; 2e-3 of the rise
    for wood, half the last digit for aluminium."""
    wall, _ = graded_wall(stuff(conductivity_w_mk, diffusivity_m2_s), 3.0, first_m=0.001, growth_ratio=1.06)
    bath = Bath(air_c=20.0, start_c=20.0, film_w_m2k=0.0, flux_w_m2=1250.0, inside_c=20.0)
    nodes = lone_wall(wall, bath, step_s=1.0, steps=1200)
    assert nodes[-1, 0] == pytest.approx(expected_c, rel=2e-3), name
