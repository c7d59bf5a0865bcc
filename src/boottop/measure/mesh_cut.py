"""Cutting a surface of facets along a plane, and keeping one side of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.measure.mesh import Array, Bools, Facets, Ints

_SNAP = 1e-9
"""Share of the largest distance from the plane below which a corner counts as lying on it."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Cut:
    """A surface whose facets no longer cross a plane: `parent` (facet,) the facet each came from, `under` (facet,)
    whether it lies on the negative side. Every new vertex lies on the plane and is shared by both sides."""

    surface: Facets
    parent: NDArray[np.int64]
    under: Bools


def cut(surface: Facets, distance_m: Array, *, among: Bools | None = None) -> Cut:
    """Split every facet that crosses distance 0, where `distance_m` (vertex,) is signed and linear over a facet.

    `among` (facet,): only these are split. A facet with one corner alone on its side becomes three, one with a corner
    on the plane two; area and direction are kept. Valid for any surface. Source: geometry.
    """
    reach = float(np.abs(distance_m).max(initial=0.0))
    side = np.where(np.abs(distance_m) <= _SNAP * reach, 0, np.sign(distance_m)).astype(np.int8)
    corners = side[surface.facets]
    over: Bools = np.asarray((corners > 0).any(axis=1))
    low: Bools = np.asarray((corners < 0).any(axis=1))
    split = over & low if among is None else over & low & among
    crossing = np.flatnonzero(split)
    if not len(crossing):
        return Cut(surface=surface, parent=np.arange(surface.count), under=np.logical_not(over))
    maker = _NewVertices(surface, distance_m, side=side, crossing=crossing)
    pieces = [maker.lone_corner(), maker.corner_on_plane()]
    whole = np.flatnonzero(~split)
    facets = np.concatenate([surface.facets[whole], *(piece[0] for piece in pieces)])
    parent = np.concatenate([whole, *(piece[1] for piece in pieces)])
    under = np.concatenate([np.logical_not(over[whole]), *(piece[2] for piece in pieces)])
    made = Facets(vertices_m=np.concatenate((surface.vertices_m, maker.vertices_m)), facets=facets)
    return Cut(surface=made, parent=parent, under=under)


def below(surface: Facets, distance_m: Array) -> Facets:
    """What lies on the negative side of a plane, cut along it."""
    made = cut(surface, distance_m)
    return made.surface.kept(made.under)


_Piece = tuple[Ints, NDArray[np.int64], Bools]


class _NewVertices:
    """The vertices on the plane, one for each edge that crosses it, and the facets made with them."""

    def __init__(
        self, surface: Facets, distance_m: Array, *, side: NDArray[np.int8], crossing: NDArray[np.int64]
    ) -> None:
        self.crossing = crossing
        self.facets, self.side = surface.facets[self.crossing], side
        self.old = len(surface.vertices_m)
        ends = self.facets[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
        ends = ends[side[ends[:, 0]] * side[ends[:, 1]] < 0].astype(np.int64)
        self.keys = np.unique(ends.min(axis=1) * self.old + ends.max(axis=1))
        low, high = np.divmod(self.keys, self.old)
        share = distance_m[low] / (distance_m[low] - distance_m[high])
        a, b = surface.vertices_m[low], surface.vertices_m[high]
        self.vertices_m = a + share[:, None] * (b - a)

    def on(self, one: Ints, other: Ints) -> Ints:
        """Number of the new vertex between two corners."""
        low, high = np.minimum(one, other).astype(np.int64), np.maximum(one, other)
        return (self.old + np.searchsorted(self.keys, low * self.old + high)).astype(np.int32)

    def lone_corner(self) -> _Piece:
        """Facets with one corner on its side of the plane and two on the other: three pieces each."""
        signs = self.side[self.facets]
        chosen = (signs != 0).all(axis=1)
        facets, signs, parent = self.facets[chosen], signs[chosen], self.crossing[chosen]
        lone = np.argmax(signs == -np.sign(signs.sum(axis=1, dtype=np.int8))[:, None], axis=1)
        a, b, c = (np.take_along_axis(facets, ((lone + k) % 3)[:, None], axis=1)[:, 0] for k in range(3))
        p, q = self.on(a, b), self.on(a, c)
        made = np.concatenate([np.stack(t, axis=1) for t in ((a, p, q), (p, b, c), (p, c, q))])
        alone_under = self.side[a] < 0
        return made, np.tile(parent, 3), np.concatenate([alone_under, ~alone_under, ~alone_under])

    def corner_on_plane(self) -> _Piece:
        """Facets with one corner on the plane and the others on either side: two pieces each."""
        signs = self.side[self.facets]
        chosen = (signs == 0).any(axis=1)
        facets, parent = self.facets[chosen], self.crossing[chosen]
        start = np.argmax(signs[chosen] == 0, axis=1)
        o, b, c = (np.take_along_axis(facets, ((start + k) % 3)[:, None], axis=1)[:, 0] for k in range(3))
        p = self.on(b, c)
        made = np.concatenate([np.stack(t, axis=1) for t in ((o, b, p), (o, p, c))])
        under = self.side[b] < 0
        return made, np.tile(parent, 2), np.concatenate([under, ~under])
