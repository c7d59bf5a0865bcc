"""Numerical error of the march against a finely cut, stiffly integrated wall of the same equations."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from boottop.climate import kernel
from boottop.climate.wall import MARCH_STEP_RATIO, Wall, pack_walls, wall_of, wall_of_spans
from boottop.measure.hull import Layer
from boottop.measure.materials import MATERIALS
from tests.climate.made import Floats

DAYS, RUN_IN = 4, 96
SLOTS = DAYS * 96
STEP_S = 900.0
EMISSIVITY, F_SKY, F_GROUND = 0.92, 0.475, 0.525


def _summer(*, cloud_fraction: float) -> Floats:
    """Air, forced coefficient, sky, absorbed sun at slot middles, (row, slot): hot days and clear nights, and clouds
    that take away a part of the sun from one slot to the next."""
    hour = (np.arange(SLOTS) + 0.5) / 4.0
    air = 19.0 + 7.0 * np.sin((hour - 9.0) / 24.0 * 2.0 * np.pi)
    wind = 2.5 + 1.5 * np.sin(hour / 3.7)
    sun = (
        np.maximum(np.sin((hour - 6.0) / 24.0 * 2.0 * np.pi), 0.0)
        * 520.0
        * (1.0 - cloud_fraction * (np.sin(hour * 1.3) > 0.6))
    )
    sky = 0.8 * kernel.SIGMA_W_M2K4 * (air + 273.15) ** 4
    return np.stack([air, 3.26 * (0.6 * wind) ** 0.89, sky, sun])


def _ours(wall: Wall, weather: Floats) -> Floats:
    forcing = np.zeros((SLOTS, kernel.FORCING_ROWS, 1), np.float32)
    for row, values in zip((kernel.AIR, kernel.FORCED, kernel.SKY), weather, strict=False):
        forcing[:, row, 0] = values
    forcing[:, kernel.GROUND] = forcing[:, kernel.CABIN] = forcing[:, kernel.AIR]
    forcing[:, kernel.DNI, 0] = weather[3]
    scalars = np.array([[EMISSIVITY, F_SKY, F_GROUND, 0, 0, 1, 0.72, 0.655, 6.0]], np.float32)
    lanes = np.array([[1.0], [0.0], [1.0]], np.float32)
    beam = np.ones((1, SLOTS), np.float32)
    nodes = len(wall.store_j_m2k)
    bodies = kernel.Bodies(
        scalars,
        pack_walls([wall], [6.0], step_s=MARCH_STEP_RATIO * STEP_S),
        np.array([nodes], np.int32),
        beam,
        np.zeros_like(beam),
    )
    light = np.zeros((1, SLOTS, 1), np.float32)
    out = kernel.Out(np.zeros_like(light), light, np.zeros((1, SLOTS, nodes), np.float32))
    kernel.march(kernel.Drive(forcing, lanes, np.arange(SLOTS, dtype=np.int32)), bodies, out)
    return out.surface_c[0, :, 0].astype(np.float64)


def _slopes(wall: Wall, weather: Floats) -> Callable[[float, Floats], Floats]:
    middles = (np.arange(SLOTS) + 0.5) * STEP_S

    def slope(time_s: float, node_c: Floats) -> Floats:
        air, forced, sky, sun = (np.interp(time_s, middles, row) for row in weather)
        heat = np.zeros_like(node_c)
        flow = wall.link_w_m2k * (node_c[1:] - node_c[:-1])
        heat[:-1] += flow
        heat[1:] -= flow
        surface_k4, air_k4 = (node_c[0] + 273.15) ** 4, (air + 273.15) ** 4
        film = np.hypot(forced, 0.72 + 0.655 * np.sqrt(abs(node_c[0] - air)))
        incoming = F_SKY * sky + kernel.SIGMA_W_M2K4 * F_GROUND * air_k4
        heat[0] += sun + EMISSIVITY * (incoming - kernel.SIGMA_W_M2K4 * surface_k4) + film * (air - node_c[0])
        heat[-1] += 6.0 * (air - node_c[-1])
        return np.asarray(heat / wall.store_j_m2k)

    return slope


def _fine(layers: tuple[Layer, ...], weather: Floats) -> Floats:
    spans = [
        (layer.thickness_m / count, MATERIALS[layer.material])
        for layer in layers
        for count in [max(4, 24 // len(layers))]
        for _ in range(count)
    ]
    middles = (np.arange(SLOTS) + 0.5) * STEP_S
    wall = wall_of_spans(spans)
    solved = solve_ivp(
        _slopes(wall, weather), (middles[0], middles[-1]), np.full(len(wall.store_j_m2k), weather[0, 0]),
        method="LSODA", t_eval=middles, rtol=1e-5, atol=1e-4, lband=1, uband=1, max_step=STEP_S,
    )  # fmt: skip
    return np.asarray(solved.y[0])


def _error_k(layers: tuple[Layer, ...], wall: Wall, *, cloud_fraction: float) -> Floats:
    weather = _summer(cloud_fraction=cloud_fraction)
    return np.abs(_ours(wall, weather) - _fine(layers, weather))[RUN_IN:]


def _layers(*pairs: tuple[str, float]) -> tuple[Layer, ...]:
    return tuple(Layer(material=name, thickness_m=thickness / 1000.0) for name, thickness in pairs)


HULLS = [
    (_layers(("grp", 8.0)), 2),
    (_layers(("grp", 12.0)), 2),
    (_layers(("grp", 20.0)), 4),
    (_layers(("steel", 6.0)), 2),
    (_layers(("aluminium", 6.0)), 2),
    (_layers(("lead", 75.0)), 2),
    (_layers(("timber", 32.0)), 4),
    (_layers(("grp", 3.0), ("foam", 20.0), ("grp", 2.0)), 4),
]


@pytest.mark.parametrize(("layers", "nodes"), HULLS)
def test_error_in_clear_weather(layers: tuple[Layer, ...], nodes: int) -> None:
    """At most 0.13 K and 0.05 K rms after a day's run-in: the limits the study of the physics found for its march
    (0.13 K, rms 0.02-0.04), here with four nodes where a layer is thick."""
    wall = wall_of(layers, step_s=STEP_S)
    assert len(wall.store_j_m2k) == nodes
    error_k = _error_k(layers, wall, cloud_fraction=0.0)
    assert error_k.max() < 0.13
    assert np.sqrt((error_k**2).mean()) < 0.05


@pytest.mark.parametrize(("layers", "nodes"), HULLS)
def test_error_under_passing_clouds(layers: tuple[Layer, ...], nodes: int) -> None:
    """200 W/m2 taken away within one slot: 0.3-0.6 K for a slot or two (hourly weather never does this)."""
    error_k = _error_k(layers, wall_of(layers, step_s=STEP_S), cloud_fraction=0.4)
    assert error_k.max() < 0.65
    assert np.sqrt((error_k**2).mean()) < 0.12


def test_two_nodes_are_not_enough_for_a_thick_plank() -> None:
    """Why a thick outer layer is cut finer: two nodes on 32 mm of timber are 0.4 K off in sun, four under 0.13."""
    plank = _layers(("timber", 32.0))
    two = wall_of_spans([(0.032, MATERIALS["timber"])])
    assert _error_k(plank, two, cloud_fraction=0.0).max() > 0.4
    assert _error_k(plank, wall_of(plank, step_s=STEP_S), cloud_fraction=0.0).max() < 0.13
