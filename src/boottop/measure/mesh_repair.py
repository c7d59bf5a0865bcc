"""A mesh as it came made into one whole hull, or refused with the reason: gaps, doubles, turned facets, halves."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from boottop.base.errors import InputError, Problem
from boottop.measure.mesh import Array, Bools, Facets
from boottop.measure.mesh_sections import skins
from boottop.measure.mesh_weld import (
    Edges,
    edges_of,
    pulled_together,
    shells,
    turned_alike,
    without_doubles,
    without_slivers,
)

Halves = Literal["whole", "half", "guess"]
GAP_SHARE = 1e-4
"""Gaps up to this share of the length are closed, 1 mm on 10 m, or less where that would press a facet flat."""
MOST_FORKED_SHARE = 0.02
LOPSIDED = 0.5
WALL_SHARE = 0.4
"""Half a hull is told by the share of its breadthwise area that looks one way, or lies in a wall at one end: ours."""
WHERE = "hull file"


def refuse(found: str, *, allowed: str, advice: str) -> InputError:
    """The InputError of a mesh that cannot be made a hull."""
    return InputError(Problem(where=WHERE, found=found, allowed=allowed, advice=advice))


@dataclass(kw_only=True, eq=False)
class Repair:
    """A welded surface under repair, upright in metres, and what was done to it, one sentence each."""

    surface: Facets
    notes: list[str] = field(default_factory=list)
    known: tuple[Facets, Edges] | None = None

    def edges(self) -> Edges:
        """The edges of the surface as it is now, found once."""
        if self.known is None or self.known[0] is not self.surface:
            self.known = (self.surface, edges_of(self.surface))
        return self.known[1]

    def whole_hull(self, halves: Halves = "guess") -> Facets:
        """One hull, both sides, every facet facing outwards, the centreplane at y = 0.

        Raises InputError where that cannot be had: a one-sided surface, facets that fork (walls within the hull), an
        inner skin or a second copy.
        """
        self.clean()
        self.turn()
        if halves == "half" or (halves == "guess" and lopsided(self.surface)):
            self.mirror()
        else:
            self.centre()
        self.face_outwards()
        self.check_skins()
        return self.surface

    def clean(self) -> None:
        """Slivers and doubles dropped, hair gaps closed."""
        surface, slivers = without_slivers(self.surface)
        if surface.count == 0:
            raise refuse("facets without area", allowed="a hull's surface", advice="Export the hull as a mesh.")
        surface, doubles = without_doubles(surface)
        if doubles:
            share = doubles / (surface.count + doubles)
            twice = ", the same half or hull twice" if share > 0.3 else ""
            self.notes.append(f"{doubles} facets lay on others ({100 * share:.0f} %{twice}): one of each was kept.")
        if slivers:
            self.notes.append(f"{slivers} facets without area were dropped.")
        self.surface = surface
        self.close_gaps()

    def close_gaps(self) -> None:
        """Open edges that lie a hair apart joined, as long as that presses no facet flat."""
        surface, edges = self.surface, self.edges()
        before = int(np.count_nonzero(edges.is_open))
        if not before:
            return
        open_corners = np.zeros(len(surface.vertices_m), dtype=np.bool_)
        open_corners[edges.ends[edges.is_open].ravel()] = True
        reach = GAP_SHARE * float(np.ptp(surface.vertices_m, axis=0).max())
        for tried in (reach, 0.25 * reach, 0.06 * reach):
            pulled = pulled_together(surface, open_corners, tried)
            closed, flat = without_slivers(pulled)
            if flat or pulled is surface:
                continue
            joined = edges_of(closed)
            if (after := int(np.count_nonzero(joined.is_open))) < before:
                self.surface, self.known = closed, (closed, joined)
                found = f"{before} open edges became {after}"
                self.notes.append(f"Hair gaps of up to {1000 * tried:.1f} mm closed: {found}.")
                return

    def turn(self) -> None:
        """All facets of each shell turned one way."""
        edges = self.edges()
        forked = int(np.count_nonzero(edges.meets > 2))
        if forked > MOST_FORKED_SHARE * len(edges.meets):
            raise refuse(
                f"{forked} of {len(edges.meets)} edges where three facets or more meet (not manifold)",
                allowed="a plain skin, two facets at an edge",
                advice="Export the outer skin alone, without bulkheads, decks, frames or the inside.",
            )
        if forked:
            self.notes.append(f"At {forked} edges three facets or more meet; look for walls within the hull.")
        if np.any(edges.turns[edges.meets == 2] != 0):
            self.surface, turned, possible = turned_alike(self.surface, edges)
            if not possible:
                raise refuse("a one-sided surface", allowed="an outside and an inside", advice="Mend it and export it.")
            self.notes.append(f"{turned} facets were turned over to face as their neighbours do.")

    def centre(self) -> None:
        """A whole hull moved sideways so that her middle is at y = 0."""
        y = self.surface.vertices_m[:, 1]
        middle, breadth = 0.5 * float(y.min() + y.max()), float(np.ptp(y))
        if abs(middle) > 0.005 * breadth:
            self.surface = self.surface.moved(self.surface.vertices_m - np.array([0.0, middle, 0.0]))
            self.notes.append(f"Moved {abs(middle):.3f} m sideways to her own middle.")

    def mirror(self) -> None:
        """Half a hull made whole: a closing wall on the centreplane dropped, the rest mirrored about it."""
        y = self.surface.vertices_m[:, 1]
        breadth = float(np.ptp(y))
        edges = self.edges()
        plane = self._centreplane(edges, breadth)
        on_plane = np.abs(y - plane) <= 1e-6 * breadth
        wall: Bools = np.asarray(on_plane[self.surface.facets].all(axis=1))
        moved = self.surface.vertices_m - np.array([0.0, plane, 0.0])
        moved[on_plane | self._astray(edges, np.abs(y - plane) / breadth), 1] = 0.0
        half = self.surface.moved(moved).kept(np.logical_not(wall))
        if half.count == 0:
            raise refuse("a flat sheet", allowed="half a hull or a whole one", advice="Export the hull's skin.")
        whole, _ = without_slivers(half.with_mirror_image())
        self.surface = without_doubles(whole)[0]
        closing = f" A wall of {np.count_nonzero(wall)} facets on it was dropped." if wall.any() else ""
        self.notes.append(f"Half a hull, mirrored about y = {plane:.3f} m.{closing}")

    def _astray(self, edges: Edges, off: Array) -> Bools:
        """Rim corners that belong on the centreplane and lie beside it: only where most of those near it do, else the
        fine ends of the waterline would be pressed flat. `off`: distance from it as a share of the breadth."""
        rim = np.zeros(len(off), dtype=np.bool_)
        rim[edges.ends[edges.is_open].ravel()] = True
        near = rim & (off <= 1e-3)
        beside = near & (off > 2e-5)
        most = np.count_nonzero(beside) > 0.5 * np.count_nonzero(near)
        return np.asarray(near if most else near & (off <= 2e-5))

    def _centreplane(self, edges: Edges, breadth: float) -> float:
        """Where half a hull has its centreplane: at the file's own y = 0, else at the open or flat end of y."""
        v, y = self.surface.vertices_m, self.surface.vertices_m[:, 1]
        ends = edges.ends[edges.is_open]
        lengths = np.linalg.norm(v[ends[:, 1]] - v[ends[:, 0]], axis=1)
        flat = np.abs(self.surface.normals[:, 1]) > 0.99
        weight = {}
        at_zero = [end for end in (float(y.min()), float(y.max())) if abs(end) <= 1e-3 * breadth]
        for plane in at_zero[:1] or (float(y.min()), float(y.max())):
            at = np.abs(y - plane) <= 0.01 * breadth
            rim = float(lengths[at[ends].all(axis=1)].sum()) if len(ends) else 0.0
            wall = float(self.surface.areas_m2[at[self.surface.facets].all(axis=1) & flat].sum())
            weight[plane] = rim + wall / max(breadth, 1e-9)
        return max(weight, key=lambda plane: (weight[plane], -abs(plane)))

    def face_outwards(self) -> None:
        """Each shell faces away from the boat's middle: by its volume where closed, else away from the deck's middle
        line."""
        surface, edges = self.surface, self.edges()
        label = shells(surface, edges)
        count = int(label.max()) + 1
        open_in = np.zeros(count, dtype=np.bool_)
        open_in[label[edges.facet[edges.is_open[edges.number]]]] = True
        own = _shell_centres(surface, label, count)
        deck = np.stack((np.zeros(count), np.zeros(count), np.full(count, surface.vertices_m[:, 2].max())), axis=1)
        origin = np.where(open_in[:, None], deck, own)[label]
        away = surface.centres_m - origin
        away[open_in[label], 0] = 0.0
        volume = np.bincount(label, weights=np.einsum("ij,ij->i", surface.doubled_normals_m2, away), minlength=count)
        inside_out = volume < 0.0
        if not inside_out.any():
            return
        over = inside_out[label]
        facets = surface.facets.copy()
        facets[over] = facets[over][:, ::-1]
        self.surface = Facets(vertices_m=surface.vertices_m, facets=facets)
        self.notes.append(f"{np.count_nonzero(over)} facets were inside out and were turned over.")

    def check_skins(self) -> None:
        """Refuse an inner skin or a second hull within the first."""
        port, starboard = (skins(self.surface, starboard=side) for side in (False, True))
        if min(port, starboard) >= 2.0:
            raise refuse(
                "two skins over each other on both sides",
                allowed="the outer skin once",
                advice="Take the inside of the shell or the second copy out of the file; of a catamaran give one hull.",
            )
        if max(port, starboard) >= 2.0 or min(port, starboard) < 1.0:
            raise refuse(
                f"{port:g} skins to port and {starboard:g} to starboard",
                allowed="one on each side, or half a hull",
                advice="Is one half there twice, or missing? Say whether the file holds half a hull or a whole one.",
            )


def lopsided(surface: Facets) -> bool:
    """Whether this must be half a hull: its facets look to one side only, or one side of it is a flat wall.

    Of two equal walls (half a barge, or a whole one) that at y = 0 tells.
    """
    y = surface.vertices_m[:, 1]
    across = 0.5 * surface.doubled_normals_m2[:, 1]
    total = max(float(np.abs(across).sum()), 1e-300)
    if abs(float(across.sum())) > LOPSIDED * total:
        return True
    reach = 1e-6 * float(np.ptp(y))
    ends = (float(y.min()), float(y.max()))
    walls = [float(np.abs(across[(np.abs(y - end) <= reach)[surface.facets].all(axis=1)]).sum()) for end in ends]
    if max(walls) < WALL_SHARE * total:
        return False
    return min(walls) < 0.5 * max(walls) or any(abs(end) <= reach for end in ends)


def _shell_centres(surface: Facets, label: NDArray[np.int64], count: int) -> Array:
    weight = np.maximum(np.bincount(label, weights=surface.areas_m2, minlength=count), 1e-300)
    moments = [
        np.bincount(label, weights=surface.areas_m2 * surface.centres_m[:, axis], minlength=count) for axis in range(3)
    ]
    return np.stack([moment / weight for moment in moments], axis=1)


def open_rims(surface: Facets, edges: Edges) -> tuple[Array, Bools]:
    """Lengths of the edges that only one facet has, m, and which edges those are."""
    chosen = edges.is_open
    ends = surface.vertices_m[edges.ends[chosen]]
    return np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1), chosen
