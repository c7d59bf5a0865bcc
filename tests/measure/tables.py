"""Offset tables of bodies with a closed form."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from boottop.measure.inputs import Offsets

Breadth = Callable[[float, float], float | None]


def offset_table(
    breadth: Breadth, *, stations_m: Sequence[float], waterlines_m: Sequence[float], draft_m: float
) -> Offsets:
    return Offsets(
        stations_m=tuple(float(x) for x in stations_m),
        waterlines_m=tuple(float(z) for z in waterlines_m),
        half_breadths_m=tuple(tuple(breadth(float(x), float(z)) for z in waterlines_m) for x in stations_m),
        draft_m=draft_m,
    )


def steps(end: float, count: int) -> list[float]:
    return [end * i / (count - 1) for i in range(count)]


def crowded(end: float, count: int) -> list[float]:
    """Points crowded towards both ends, where a round body curves most."""
    angles: NDArray[np.float64] = np.linspace(0.0, np.pi, count)
    return [float(x) for x in 0.5 * end * (1.0 - np.cos(angles))]


def crowded_below(end: float, count: int) -> list[float]:
    angles: NDArray[np.float64] = np.linspace(0.0, 0.5 * np.pi, count)
    return [float(z) for z in end * (1.0 - np.cos(angles))]
