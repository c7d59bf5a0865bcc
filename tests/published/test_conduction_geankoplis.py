"""A thick solid under convection through the hull's own kernel, against Geankoplis Ex 5.3-1 p. 336 (read in a copy)."""

from __future__ import annotations

import pytest

from tests.climate.made import Bath, graded_wall, lone_wall, stuff


def test_example_5_3_1_ground_freezing() -> None:
    """Soil at 15.6 degC under air of -17.8 degC, h 11.36, 5 h: surface -5.2 degC, tolerance 0.05 K."""
    wall, _ = graded_wall(stuff(0.865, 4.65e-7), 2.0, first_m=0.001, growth_ratio=1.08)
    bath = Bath(air_c=-17.8, start_c=15.6, film_w_m2k=11.36, inside_c=15.6)
    nodes = lone_wall(wall, bath, step_s=10.0, steps=1800)
    assert nodes[-1, 0] == pytest.approx(-5.168, abs=0.03)
    assert nodes[-1, 0] == pytest.approx(-5.2, abs=0.05)
