"""Shells that pass through each other, as a keel drawn up into the hull: what lies inside another is not wetted."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boottop.measure.mesh import Array, Bools, Facets

MOST_SHELLS = 40
MOST_TRIALS = 150_000_000
_BINS = 128


def hidden_facets(surface: Facets, label: NDArray[np.int64]) -> Bools | None:
    """Facets whose centre lies inside another shell; None where that is too much to look at. `label` (facet,): shell.

    A level line outwards from the centre meets a shell that holds it an odd number of times. Facets that cross a shell
    are counted whole or not at all, so the area along the line where two shells meet is good to half a facet.
    """
    count = int(label.max()) + 1
    hidden = np.zeros(surface.count, dtype=np.bool_)
    if count == 1:
        return hidden
    if count > MOST_SHELLS:
        return None
    corners = surface.vertices_m[surface.facets]
    trials = 0
    for shell in range(count):
        own = np.flatnonzero(label == shell)
        low, high = corners[own].min(axis=(0, 1)), corners[own].max(axis=(0, 1))
        centres = surface.centres_m
        near = (label != shell) & ~hidden & (centres > low).all(axis=1) & (centres < high).all(axis=1)
        chosen = np.flatnonzero(near)
        trials += len(own) * len(chosen) // _BINS
        if trials > MOST_TRIALS:
            return None
        hidden[chosen[_inside(centres[chosen], corners[own])]] = True
    return hidden


def _inside(points: Array, corners: Array) -> Bools:
    """Which points lie inside a shell: crossings of level lines outwards counted, bin by bin along the boat."""
    found = np.zeros(len(points), dtype=np.bool_)
    if not len(points):
        return found
    edges = np.linspace(points[:, 0].min(), points[:, 0].max() + 1e-9, _BINS + 1)
    first, last = corners[:, :, 0].min(axis=1), corners[:, :, 0].max(axis=1)
    place = np.clip(np.searchsorted(edges, points[:, 0], side="right") - 1, 0, _BINS - 1)
    for number in np.unique(place).tolist():
        here = np.flatnonzero(place == number)
        facets = corners[(first <= edges[number + 1]) & (last >= edges[number])]
        for part in np.array_split(here, 1 + len(here) * len(facets) // 2_000_000):
            found[part] = _crossings(points[part], facets) % 2 == 1
    return found


def _crossings(points: Array, facets: Array) -> NDArray[np.int64]:
    """How many facets a level line from each point meets, away from the centreplane."""
    x, z = points[:, 0, None], points[:, 2, None]
    a, b, c = facets[:, 0], facets[:, 1], facets[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 2] - a[:, 2]) - (c[:, 0] - a[:, 0]) * (b[:, 2] - a[:, 2])
    safe = np.where(area == 0.0, np.inf, area)
    u = ((x - a[:, 0]) * (c[:, 2] - a[:, 2]) - (c[:, 0] - a[:, 0]) * (z - a[:, 2])) / safe
    v = ((b[:, 0] - a[:, 0]) * (z - a[:, 2]) - (x - a[:, 0]) * (b[:, 2] - a[:, 2])) / safe
    y = a[:, 1] + u * (b[:, 1] - a[:, 1]) + v * (c[:, 1] - a[:, 1])
    away = np.where(points[:, 1, None] >= 0.0, 1.0, -1.0)
    met = (u >= 0.0) & (v > 0.0) & (u + v < 1.0) & ((y - points[:, 1, None]) * away > 0.0) & (area != 0.0)
    return np.asarray(met.sum(axis=1))
