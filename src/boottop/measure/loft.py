"""From a table of offsets to a hull in facets: sections lofted along the boat without rounding the bilge away."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy.interpolate import PchipInterpolator

from boottop.measure.inputs import Offsets
from boottop.measure.mesh import Array, Facets
from boottop.measure.offsets import Section, wetted_sections

BAYS = 6
"""Rows of facets between two stations."""


def lofted(table: Offsets) -> Facets:
    """Starboard half of the hull in a table of offsets, up to its draft, in facets that face outwards; frame of the
    table: x its stations (aft), y half-breadths, z heights.

    Every section is the shape-preserving curve of `measure.offsets`; points at equal shares of the girths are joined
    along the boat by shape-preserving cubics (pchip), which neither overshoot nor round a bilge away. A section left
    open at the first or last station is closed flat (a transom). Valid for tables that `measure.offsets` takes.
    Source: ours; areas and volumes are held to `measure.offsets.offsets_area` by tests.
    """
    x, sections = wetted_sections(table)
    rows = np.stack([section.strings() for section in sections])
    fine = np.unique(np.concatenate([np.linspace(a, b, BAYS + 1) for a, b in pairwise(x.tolist())]))
    points = PchipInterpolator(x, rows, axis=0)(fine)
    points[:, :, 0] = np.maximum(points[:, :, 0], 0.0)
    points[:, 0, 0] = 0.0
    along = np.broadcast_to(fine[:, None, None], (*points.shape[:2], 1))
    vertices = np.concatenate((along, points), axis=2)
    skin = _grid(*vertices.shape[:2])
    ends = [_flat_end(vertices, sections, aft=aft) for aft in (False, True)]
    every = [vertices.reshape(-1, 3), *(end[0] for end in ends)]
    offsets = np.cumsum([0, *(len(part) for part in every[:-1])])
    facets = [skin, *(end[1] + offset for end, offset in zip(ends, offsets[1:], strict=True))]
    return Facets(vertices_m=np.concatenate(every), facets=np.concatenate(facets).astype(np.int32))


def _grid(rows: int, columns: int) -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
    """Two facets for each field of a grid whose rows go aft and whose columns go up, facing to starboard."""
    number = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = number[:-1, :-1].ravel(), number[1:, :-1].ravel(), number[1:, 1:].ravel(), number[:-1, 1:].ravel()
    return np.concatenate((np.stack((a, c, b), axis=1), np.stack((a, d, c), axis=1)))


def _flat_end(
    vertices: Array, sections: list[Section], *, aft: bool
) -> tuple[Array, np.ndarray[tuple[int, int], np.dtype[np.int64]]]:
    """The face that closes an open end: a fan over the section and the waterline from the middle of the centreline."""
    section = sections[-1 if aft else 0]
    if section.half_area_m2 <= 0.0:
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
    rim = vertices[-1 if aft else 0]
    top = rim[-1] * np.array([1.0, 0.0, 1.0])
    middle = np.array([rim[0, 0], 0.0, 0.5 * (rim[0, 2] + rim[-1, 2])])
    a = np.arange(len(rim))
    fan = np.stack((a, a + 1, np.full(len(rim), len(rim) + 1)), axis=1)
    return np.concatenate((rim, top[None], middle[None])), fan if aft else fan[:, ::-1]
