"""Layers to nodes."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.climate.wall import pack_walls, wall_of
from boottop.measure.hull import Layer
from boottop.measure.materials import MATERIALS


def _layer(material: str, thickness_m: float) -> Layer:
    return Layer(material=material, thickness_m=thickness_m)


def test_thin_skin_is_the_two_node_wall() -> None:
    wall = wall_of((_layer("grp", 0.012),), step_s=900.0)
    np.testing.assert_allclose(wall.store_j_m2k, [1650 * 1150 * 0.006] * 2)
    np.testing.assert_allclose(wall.link_w_m2k, [0.25 / 0.012])


@pytest.mark.parametrize(
    "layers",
    [
        (_layer("timber", 0.045),),
        (_layer("grp", 0.003), _layer("foam", 0.02), _layer("grp", 0.002)),
        (_layer("grp", 0.004), _layer("timber", 0.05), _layer("grp", 0.002)),
        (_layer("lead", 0.4),),
    ],
)
def test_heat_and_resistance_of_the_layers_are_kept(layers: tuple[Layer, ...]) -> None:
    wall = wall_of(layers, step_s=900.0)
    found = [MATERIALS[layer.material] for layer in layers]
    heat = sum(
        one.thickness_m * mat.density_kg_m3 * mat.specific_heat_j_kgk for one, mat in zip(layers, found, strict=True)
    )
    resistance = sum(one.thickness_m / mat.conductivity_w_mk for one, mat in zip(layers, found, strict=True))
    assert wall.store_j_m2k.sum() == pytest.approx(heat)
    assert (1.0 / wall.link_w_m2k).sum() == pytest.approx(resistance)


def test_thick_timber_begins_thin() -> None:
    wall = wall_of((_layer("timber", 0.032),), step_s=900.0)
    assert len(wall.store_j_m2k) == 4
    assert wall.store_j_m2k[0] < 0.25 * wall.store_j_m2k.sum()


def test_packed_constants_solve_the_wall() -> None:
    """The eliminated wall gives the same step as the full linear system."""
    wall = wall_of((_layer("grp", 0.003), _layer("foam", 0.02), _layer("grp", 0.002)), step_s=900.0)
    store, link, inside = wall.store_j_m2k / 900.0, wall.link_w_m2k, 6.0
    size = len(store)
    matrix = np.diag(store) + np.diag(np.append(link, inside)) + np.diag(np.append(0.0, link))
    matrix -= np.diag(link, 1) + np.diag(link, -1)
    old, outer_w_m2, cabin_c = np.linspace(10.0, 20.0, size), 80.0, 18.0
    right = store * old
    right[0] += outer_w_m2
    right[-1] += inside * cabin_c
    expected = np.linalg.solve(matrix, right)
    packed = pack_walls([wall], [inside], step_s=900.0)[0].astype(np.float64)
    drive, swept = inside * cabin_c, np.zeros(size)
    for node in range(size - 1, 0, -1):
        swept[node] = packed[2, node] * (packed[0, node] * old[node] + drive)
        drive = packed[1, node - 1] * swept[node]
    new = np.zeros(size)
    new[0] = (packed[0, 0] * old[0] + outer_w_m2 + drive) / (packed[0, 0] + packed[1, 0] * (1.0 - packed[3, 1]))
    for node in range(1, size):
        new[node] = swept[node] + packed[3, node] * new[node - 1]
    np.testing.assert_allclose(new, expected, rtol=1e-5)
