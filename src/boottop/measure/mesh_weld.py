"""Corners that are the same made one, and what the edges between facets then tell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from boottop.measure.mesh import Array, Bools, Facets, Ints

Longs = NDArray[np.int64]
_PRIMES = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)


def welded(surface: Facets) -> Facets:
    """Corners with exactly the same coordinates made one (an STL has three of its own for every facet)."""
    points = surface.vertices_m + 0.0  # so that -0.0 and 0.0 are one
    bits = np.ascontiguousarray(points).view(np.uint64)
    with np.errstate(over="ignore"):
        mixed = bits * _PRIMES
        keys = mixed[:, 0] ^ (mixed[:, 1] << np.uint64(13)) ^ (mixed[:, 2] >> np.uint64(7))
        keys ^= keys >> np.uint64(29)
    _, first, number = np.unique(keys, return_index=True, return_inverse=True)
    if not np.array_equal(points[first][number], points):
        _, first, number = np.unique(points, axis=0, return_index=True, return_inverse=True)
    return Facets(vertices_m=points[first], facets=number.astype(np.int32)[surface.facets])


def pulled_together(surface: Facets, among: Bools, reach_m: float) -> Facets:
    """Of the corners chosen by `among`, those nearer to each other than `reach_m` made one."""
    chosen = np.flatnonzero(among)
    pairs = cKDTree(surface.vertices_m[chosen]).query_pairs(reach_m, output_type="ndarray")
    if not len(pairs):
        return surface
    count = len(surface.vertices_m)
    one, other = chosen[pairs[:, 0]], chosen[pairs[:, 1]]
    graph = coo_array((np.ones(len(one), dtype=np.int8), (one, other)), shape=(count, count))
    _, label = connected_components(graph, directed=False)
    _, first = np.unique(label, return_index=True)
    return Facets(vertices_m=surface.vertices_m[first], facets=label.astype(np.int32)[surface.facets])


def without_slivers(surface: Facets) -> tuple[Facets, int]:
    """Without facets that have two corners in one place or no area, and how many those were."""
    a, b, c = surface.facets.T
    good = (a != b) & (b != c) & (a != c)
    size = float(np.ptp(surface.vertices_m, axis=0).max(initial=0.0))
    good &= surface.areas_m2 > 1e-14 * size * size
    if good.all():
        return surface, 0
    return surface.kept(good), int(np.count_nonzero(~good))


def without_doubles(surface: Facets) -> tuple[Facets, int]:
    """Without facets that have the same three corners as an earlier one, however turned, and how many those were."""
    low, middle, high = (np.sort(surface.facets, axis=1)[:, k].astype(np.uint64) for k in range(3))
    with np.errstate(over="ignore"):
        keys = low * _PRIMES[0] ^ middle * _PRIMES[1] ^ high * _PRIMES[2]
    _, first = np.unique(keys, return_index=True)
    if len(first) == surface.count:
        return surface, 0
    _, first = np.unique(np.sort(surface.facets, axis=1), axis=0, return_index=True)
    return surface.kept(np.sort(first)), surface.count - len(first)


@dataclass(frozen=True, kw_only=True, eq=False)
class Edges:
    """All edges between facets: `ends` (edge, 2), how many facets meet there `meets` (edge,), and `turns` (edge,): 0
    where two neighbours are turned alike. `facet` and `number` (3 * facet,) tell which edge each facet's sides are."""

    ends: Ints
    meets: Longs
    turns: Longs
    facet: Longs
    number: Longs

    @property
    def is_open(self) -> Bools:
        return np.asarray(self.meets == 1)

    def pairs(self) -> tuple[Longs, Longs, Longs]:
        """Facet and neighbour over every edge where just two meet, and the edge's number."""
        both = (self.meets == 2)[self.number]
        order = np.argsort(self.number[both], kind="stable")
        facets, numbers = self.facet[both][order], self.number[both][order]
        return facets[0::2], facets[1::2], numbers[0::2]


def edges_of(surface: Facets) -> Edges:
    """The edges of a welded surface."""
    count = len(surface.vertices_m)
    start = surface.facets.astype(np.int64)
    end = np.roll(start, -1, axis=1)
    keys = (np.minimum(start, end) * count + np.maximum(start, end)).ravel()
    unique, number, meets = np.unique(keys, return_inverse=True, return_counts=True)
    turns = np.bincount(number, weights=np.where((start < end).ravel(), 1.0, -1.0), minlength=len(unique))
    ends = np.stack(np.divmod(unique, count), axis=1).astype(np.int32)
    return Edges(
        ends=ends,
        meets=meets,
        turns=turns.astype(np.int64),
        facet=np.repeat(np.arange(surface.count), 3),
        number=number,
    )


def shells(surface: Facets, edges: Edges) -> Longs:
    """Number of the connected shell of every facet (over edges where two facets meet), largest area first."""
    one, other, _ = edges.pairs()
    graph = coo_array((np.ones(len(one), dtype=np.int8), (one, other)), shape=(surface.count, surface.count))
    count, label = connected_components(graph, directed=False)
    area = np.bincount(label, weights=surface.areas_m2, minlength=count)
    rank = np.empty(count, dtype=np.int64)
    rank[np.argsort(-area, kind="stable")] = np.arange(count)
    return np.asarray(rank[label])


def turned_alike(surface: Facets, edges: Edges) -> tuple[Facets, int, bool]:
    """Every shell with its facets turned one way: the surface, how many were turned over, and whether it can be done.

    Each facet stands twice in a graph, as it is and turned over; neighbours that agree join like with like, others
    crosswise. A facet that is joined to its own other side lies on a one-sided (Moebius) surface.
    """
    one, other, number = edges.pairs()
    alike = edges.turns[number] == 0
    n = surface.count
    rows = np.concatenate((one, one + n))
    columns = np.concatenate((np.where(alike, other, other + n), np.where(alike, other + n, other)))
    graph = coo_array((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(2 * n, 2 * n))
    _, label = connected_components(graph, directed=False)
    as_is, over = label[:n], label[n:]
    if np.any(as_is == over):
        return surface, 0, False
    chosen = _larger_share(as_is, over, surface.areas_m2)
    facets = surface.facets.copy()
    facets[~chosen] = facets[~chosen][:, ::-1]
    return Facets(vertices_m=surface.vertices_m, facets=facets), int(np.count_nonzero(~chosen)), True


def _larger_share(as_is: NDArray[np.int32], over: NDArray[np.int32], areas_m2: Array) -> Bools:
    """Which facets stay as they are so that, shell by shell, the larger area is not turned over."""
    weight = np.bincount(as_is, weights=areas_m2, minlength=int(max(as_is.max(), over.max())) + 1)
    mine, others = weight[as_is], weight[over]
    return np.asarray((mine > others) | ((mine == others) & (as_is < over)))
