"""Transient conduction and a sunlit plate through the hull's own kernel, against Incropera et al.

Incropera, DeWitt, Bergman, Lavine, Fundamentals of Heat and Mass Transfer, examples 5.4 p. 278, 5.6 and 12.11 p. 774;
read in solved-examples copies, re-derived.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erfc

from tests.climate.made import Bath, even_wall, graded_wall, lone_wall, stuff

STEEL = stuff(63.9, 18.8e-6)


def _series(biot: float, fourier: float, *, place: float) -> float:
    """Exact plane wall with an insulated face at place 0 and convection at place 1: theta."""
    total = 0.0
    for n in range(60):
        low, high = n * np.pi + 1e-12, n * np.pi + np.pi / 2 - 1e-12
        zeta = brentq(lambda z: z * np.sin(z) - biot * np.cos(z), low, high)
        weight = 4.0 * np.sin(zeta) / (2.0 * zeta + np.sin(2.0 * zeta))
        total += weight * np.exp(-(zeta**2) * fourier) * np.cos(zeta * place)
    return float(total)


def _example_5_4(spans: int, step_s: float) -> tuple[float, float]:
    bath = Bath(air_c=60.0, start_c=-20.0, film_w_m2k=500.0, inside_c=-20.0)
    nodes = lone_wall(even_wall(STEEL, 0.04, spans), bath, step_s=step_s, steps=int(480 / step_s))
    return float(nodes[-1, -1]), float(-500.0 * (60.0 - nodes[-1, 0]))


def test_example_5_4_insulated_face_and_flux() -> None:
    """Printed 42.92 degC and -7362 W/m2 (one term of the series); tolerance 0.4 K (5e-3 of the 80 K) and 1 %."""
    face_c, flux_w_m2 = _example_5_4(spans=20, step_s=0.5)
    assert face_c == pytest.approx(42.92, abs=0.4)
    assert flux_w_m2 == pytest.approx(-7362.0, rel=0.01)


def test_example_5_4_against_the_exact_series() -> None:
    """Finely cut, the kernel meets the exact series within 0.05 K."""
    exact_c = 60.0 - 80.0 * _series(500 * 0.04 / 63.9, 18.8e-6 * 480 / 0.04**2, place=0.0)
    assert exact_c == pytest.approx(43.02, abs=0.005)
    assert _example_5_4(spans=20, step_s=0.5)[0] == pytest.approx(exact_c, abs=0.05)


def test_two_nodes_are_enough_for_a_steel_plate() -> None:
    """The wall as the hull uses it (two nodes) is within 1.5 K of the exact series on an 80 K step."""
    exact_c = 60.0 - 80.0 * _series(500 * 0.04 / 63.9, 18.8e-6 * 480 / 0.04**2, place=0.0)
    assert _example_5_4(spans=1, step_s=4.0)[0] == pytest.approx(exact_c, abs=1.5)


def test_example_5_6_frost_depth() -> None:
    """Soil k .52, rho 2050, c 1840, 20 degC, surface at -15 degC for 60 d: 0 degC at 0.677 m (ours; book .68, from
    memory)."""
    soil = stuff(0.52, 0.52 / (2050.0 * 1840.0))
    wall, depth_m = graded_wall(soil, 8.0, first_m=0.01, growth_ratio=1.04)
    bath = Bath(air_c=-15.0, start_c=20.0, film_w_m2k=2e4, inside_c=20.0)
    nodes = lone_wall(wall, bath, step_s=3600.0, steps=60 * 24)
    exact_m = brentq(lambda x: 35.0 * erfc(x / 2.0 / np.sqrt(0.52 / (2050.0 * 1840.0) * 60 * 86400)) - 20.0, 0.1, 2.0)
    found_m = float(np.interp(0.0, nodes[-1], depth_m))
    assert exact_m == pytest.approx(0.677, abs=0.0007)
    assert found_m == pytest.approx(exact_m, rel=1e-3)


def test_example_12_11_sunlit_plate() -> None:
    """750 W/m2 on a plate (absorptance .95, emissivity .1) kept at 120 degC, air 30, sky -10 degC, h = .22 dT^(1/3):
    516 W/m2 to be carried off behind it; tolerance 2e-3."""
    film_w_m2k = 0.22 * 90.0 ** (1.0 / 3.0)
    sky = 5.670374e-8 * 263.15**4
    bath = Bath(
        air_c=30.0, start_c=120.0, film_w_m2k=film_w_m2k, flux_w_m2=0.95 * 750.0, inside_w_m2k=1e4, inside_c=120.0,
        emissivity=0.1, sky_w_m2=sky,
    )  # fmt: skip
    nodes = lone_wall(even_wall(stuff(100.0, 1e-4), 0.01, 1), bath, step_s=60.0, steps=200)
    assert 1e4 * (nodes[-1, 0] - nodes[-1, 1]) == pytest.approx(516.0, rel=2e-3)
