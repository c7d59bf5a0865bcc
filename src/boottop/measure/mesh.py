"""The contract of a hull in facets: what the picture, the unrolled map and the hull climate read."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int32]
Bools = NDArray[np.bool_]

Part = Literal["hull", "end", "keel", "sole", "gear"]
PARTS: tuple[Part, ...] = ("hull", "end", "keel", "sole", "gear")


@dataclass(frozen=True, kw_only=True, eq=False)
class Facets:
    """A surface of triangles: `vertices_m` (vertex, 3), `facets` (facet, 3), corners counter-clockwise from outside."""

    vertices_m: Array
    facets: Ints

    @property
    def count(self) -> int:
        return len(self.facets)

    @cached_property
    def doubled_normals_m2(self) -> Array:
        """Outward normals as long as twice their facet's area, m2; shape (facet, 3)."""
        x, y, z = (np.ascontiguousarray(self.vertices_m[:, axis])[self.facets.T] for axis in range(3))
        x, y, z = (ends[1:] - ends[0] for ends in (x, y, z))
        return np.stack(
            (y[0] * z[1] - z[0] * y[1], z[0] * x[1] - x[0] * z[1], x[0] * y[1] - y[0] * x[1]),
            axis=1,
        )

    @cached_property
    def areas_m2(self) -> Array:
        """Area of every facet, m2; shape (facet,).

        >>> corners = np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [0.0, 3.0, 0.0]])
        >>> Facets(vertices_m=corners, facets=np.array([[0, 1, 2]], dtype=np.int32)).areas_m2.tolist()
        [3.0]
        """
        n = self.doubled_normals_m2
        return np.asarray(0.5 * np.sqrt(np.einsum("ij,ij->i", n, n)))

    @cached_property
    def normals(self) -> Array:
        """Unit outward normals, shape (facet, 3); zero where a facet has no area."""
        return np.asarray(self.doubled_normals_m2 / np.maximum(2.0 * self.areas_m2, 1e-300)[:, None])

    @cached_property
    def centres_m(self) -> Array:
        """Centres of gravity of the facets, m; shape (facet, 3)."""
        a, b, c = self.facets.T
        v = self.vertices_m
        return np.asarray((v[a] + v[b] + v[c]) / 3.0)

    def area_m2(self) -> float:
        """Area of the whole surface, m2."""
        return float(self.areas_m2.sum())

    def signed_volume_m3(self) -> float:
        """Volume enclosed by a closed surface, m3, negative inside out (divergence theorem).

        Of a hull open only at z = 0 it is the volume under z = 0, because the lid's share there is nothing.
        """
        return float(0.5 * (self.doubled_normals_m2[:, 2] * self.centres_m[:, 2]).sum())

    def kept(self, keep: Bools | NDArray[np.int64]) -> Facets:
        """Only the facets chosen, with the vertices that they need, in their old order."""
        facets = self.facets[keep]
        used = np.zeros(len(self.vertices_m), dtype=np.bool_)
        used[facets.ravel()] = True
        number = np.cumsum(used, dtype=np.int32) - np.int32(1)
        return Facets(vertices_m=self.vertices_m[used], facets=number[facets])

    def moved(self, vertices_m: Array) -> Facets:
        """The same facets on other places."""
        return replace(self, vertices_m=vertices_m)

    def with_mirror_image(self) -> Facets:
        """Both sides of half a hull: each facet again beyond the centreplane y = 0, corners on it shared."""
        off = self.vertices_m[:, 1] != 0.0
        number = np.arange(len(off), dtype=np.int32)
        number[off] = len(off) + np.arange(np.count_nonzero(off), dtype=np.int32)
        image = self.vertices_m[off] * np.array([1.0, -1.0, 1.0])
        return Facets(
            vertices_m=np.concatenate((self.vertices_m, image)),
            facets=np.concatenate((self.facets, number[self.facets][:, ::-1])),
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class HullMesh:
    """One boat's bottom in facets, cut at the boot top and at the centreplane, each facet in one zone.

    Frame, metres: x aft from the fore end of the waterline, y to starboard, z up from the waterline (so the bottom is
    below zero). `surface` holds vertices (vertex, 3), facets (facet, 3) with corners counter-clockwise from outside,
    their unit outward `normals` (facet, 3) and `areas_m2` (facet,).
    `zone_of` (facet,) is an index into `zone_names`, which are the names of the zones of measure.hull.Hull;
    `part_of` (facet,) an index into PARTS (plain hull, flat end, keel side, keel sole, running gear).
    `unrolled_m` (facet, 3, 2) lays the hull flat, corner by corner of each facet: girth along the skin from the bottom
    of the centreline, port negative, starboard positive; and length, which is x. No facet crosses the centreplane.
    `closed` says whether nothing but the boot top is open.
    """

    surface: Facets
    zone_names: tuple[str, ...]
    zone_of: NDArray[np.int16]
    part_of: NDArray[np.int8]
    unrolled_m: Array
    closed: bool

    @property
    def vertices_m(self) -> Array:
        return self.surface.vertices_m

    @property
    def facets(self) -> Ints:
        return self.surface.facets

    @property
    def normals(self) -> Array:
        return self.surface.normals

    @property
    def areas_m2(self) -> Array:
        return self.surface.areas_m2

    def chosen(self, zone: str, part: Part | None = None) -> Bools:
        """Facets of one zone, or of one part of it; shape (facet,)."""
        number = self.zone_names.index(zone) if zone in self.zone_names else -1
        in_zone = self.zone_of == number
        return np.asarray(in_zone if part is None else in_zone & (self.part_of == PARTS.index(part)))

    def zone_area_m2(self, name: str) -> float:
        """Area of one zone, m2; nothing for a zone that has no facet."""
        return float(self.areas_m2[self.chosen(name)].sum())


@dataclass(frozen=True, kw_only=True, eq=False)
class MeshHull:
    """A hull measured from a file: her facets, one standard deviation of the whole area, how it was had, and which of
    the sheet's hidden things (by number from 0) are placed on her, so that their area is in `mesh` already."""

    mesh: HullMesh
    area_sd_m2: float
    method: str
    notes: tuple[str, ...] = ()
    placed: frozenset[int] = frozenset()

    @property
    def drawn_zones(self) -> tuple[str, ...]:
        """Names of the zones that were drawn by hand."""
        own = ("port side", "starboard side", "keel sole", "under the slings")
        return tuple(name for name in self.mesh.zone_names if name not in own and not name.startswith("pads "))
