"""The hull's own heat: layers to nodes, nodes to the constants that the march needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Ground
from boottop.measure.hull import Layer
from boottop.measure.materials import MATERIALS, Material

Floats = NDArray[np.float64]

_MEMORY = "from memory"
GROUNDS: Mapping[Ground, Material] = {
    "gravel": Material(
        name="gravel", conductivity_w_mk=0.6, density_kg_m3=1700.0, specific_heat_j_kgk=850.0, family="ground",
        source=_MEMORY,
    ),
    "concrete": Material(
        name="concrete", conductivity_w_mk=1.7, density_kg_m3=2300.0, specific_heat_j_kgk=900.0, family="ground",
        source=_MEMORY,
    ),
    "grass": Material(
        name="grass", conductivity_w_mk=0.52, density_kg_m3=2050.0, specific_heat_j_kgk=1840.0, family="ground",
        source="soil, Incropera Ex 5.6 (from memory)",
    ),
}  # fmt: skip
GROUND_DEPTH_M = 0.3
_THICK = 1.2
_FIRST = 0.5
MARCH_STEP_RATIO = 2.0 / 3.0
_GROWTH = 1.5


@dataclass(frozen=True, kw_only=True)
class Wall:
    """Nodes from the outer face inwards: heat stored at each (J/m2K, shape (node,)), and the conductance from each
    to the next (W/m2K, shape (node - 1,)). The first node is the surface itself, the last the inner face."""

    store_j_m2k: Floats
    link_w_m2k: Floats


def wall_of(layers: Sequence[Layer], *, step_s: float, materials: Mapping[str, Material] = MATERIALS) -> Wall:
    """Nodes for a laminate: one at every face and interface, more where a layer is thick for the step.

    The depth that heat reaches in a step is d = sqrt(k step / (rho c)), 11 mm for GRP in 15 min. A layer up to 1.2 d
    is one span: a single skin is then the two-node wall, C = rho c L / 2 at both faces, K = k / L. A thicker
    *outermost* layer (timber, the ground) begins with a span of d/2, each next 1.5 times as wide, because a sunlit or
    evaporating surface there moves faster than half a plank; a thicker inner layer is cut evenly, spans up to 1.2 d.
    Source: method of lines, e.g. Incropera, Fundamentals of Heat and Mass Transfer, section 5.10; the limits are
    our own, chosen from the errors measured in tests/climate/test_march_error.py.
    """
    spans: list[tuple[float, Material]] = []
    for place, layer in enumerate(layers):
        material = _material(layer, materials)
        reach_m = _reach_m(material, step_s)
        cut = _graded if place == 0 else _even
        spans += [(span_m, material) for span_m in cut(layer.thickness_m, reach_m)]
    return wall_of_spans(spans)


def wall_of_spans(spans: Sequence[tuple[float, Material]]) -> Wall:
    """Nodes at both ends of every span (thickness in m, material), each taking half of the spans beside it."""
    heat = np.array([span_m * mat.density_kg_m3 * mat.specific_heat_j_kgk for span_m, mat in spans])
    store = np.zeros(len(spans) + 1)
    store[:-1] += 0.5 * heat
    store[1:] += 0.5 * heat
    return Wall(store_j_m2k=store, link_w_m2k=np.array([mat.conductivity_w_mk / span_m for span_m, mat in spans]))


def _material(layer: Layer, materials: Mapping[str, Material]) -> Material:
    if layer.material in materials and layer.thickness_m > 0.0:
        return materials[layer.material]
    raise InputError(
        Problem(
            where="hull layer",
            found=f"{layer.thickness_m * 1000:g} mm of {layer.material!r}",
            allowed="more than 0 mm of one of " + ", ".join(sorted(materials)),
            advice="Name the laminate or plank from the outside inwards, each layer with its thickness.",
        )
    )


def _reach_m(material: Material, step_s: float) -> float:
    return float(np.sqrt(material.conductivity_w_mk * step_s / (material.density_kg_m3 * material.specific_heat_j_kgk)))


def _graded(thickness_m: float, reach_m: float) -> list[float]:
    if thickness_m <= _THICK * reach_m:
        return [thickness_m]
    spans = [_FIRST * reach_m]
    while (rest_m := thickness_m - sum(spans)) > _GROWTH * spans[-1] * 1.5:
        spans.append(_GROWTH * spans[-1])
    return [*spans, rest_m]


def _even(thickness_m: float, reach_m: float) -> list[float]:
    count = max(1, int(np.ceil(thickness_m / (_THICK * reach_m))))
    return [thickness_m / count] * count


def pack_walls(walls: Sequence[Wall], inside_w_m2k: Sequence[float], *, step_s: float) -> NDArray[np.float32]:
    """Constants of the march, shape (wall, 4, node): C/dt, K inwards, 1/pivot, K outwards/pivot, zero where unused.

    For the dry march (second-order backward differences) dt is two thirds of the step: see `MARCH_STEP_RATIO`.
    """
    packed = np.zeros((len(walls), 4, max(len(wall.store_j_m2k) for wall in walls)))
    for table, wall, inside in zip(packed, walls, inside_w_m2k, strict=True):
        count = len(wall.store_j_m2k)
        table[0, :count] = wall.store_j_m2k / step_s
        table[1, : count - 1] = wall.link_w_m2k
        beyond = inside
        for node in range(count - 1, 0, -1):
            outward = wall.link_w_m2k[node - 1]
            table[2, node] = 1.0 / (table[0, node] + outward + beyond)
            table[3, node] = outward * table[2, node]
            beyond = outward * (1.0 - table[3, node])
    return packed.astype(np.float32)
