"""Facets of a bottom grouped into parts and zones: sides, keel, sole, ends, cuts drawn by hand, stands and blocks."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians

import numpy as np
from numpy.typing import NDArray

from boottop.measure.checks import GEAR, PORT, STARBOARD
from boottop.measure.hull import Side
from boottop.measure.mesh import PARTS, Array, Bools, Facets, HullMesh, Part
from boottop.measure.mesh_bottom import Bottom
from boottop.measure.mesh_cut import cut
from boottop.measure.mesh_sections import sections
from boottop.measure.mesh_unroll import unrolled
from boottop.measure.spots import Box, Spot, footprint

END_TILT = cos(radians(20.0))
SOLE_TILT = cos(radians(30.0))
_BODY_TILT = cos(radians(40.0))
NARROW_SHARE = 0.15
KEEL_SHARE = 0.3
RUDDER_FROM = 0.75
"""A flat end faces within 20 deg of fore or aft, a sole within 30 deg of straight down. What lies under the height
where the hull is nowhere wider than 15 % of her beam is a keel if it takes up 30 % of the draft; what of it lies apart
and wholly aft of 75 % of the length is the rudder. Source: ours; shown, and a height may be given instead."""


@dataclass(frozen=True, kw_only=True)
class ZoneCut:
    """A zone drawn by hand: facets of one side (or both) between stations, heights above the waterline and tilts, with
    the planes between cut through the facets. None leaves that side open. `part`: what the facets are; with `name` None
    only that is set and the zone stays."""

    name: str | None
    side: Side = "centre"
    from_m: float | None = None
    to_m: float | None = None
    above_m: float | None = None
    below_m: float | None = None
    tilt_from_deg: float = 0.0
    tilt_to_deg: float = 180.0
    part: Part | None = None


@dataclass(frozen=True, kw_only=True)
class Zoning:
    """How a bottom is divided. `keel_root_m`: height above the waterline (negative) under which all is keel; None to
    guess, "none" for a hull without one."""

    keel_root_m: float | None = None
    has_keel: bool = True
    cuts: tuple[ZoneCut, ...] = ()
    spots: tuple[tuple[str, Spot], ...] = ()


@dataclass(kw_only=True, eq=False)
class _Work:
    """A surface while its facets are being told apart."""

    surface: Facets
    part: NDArray[np.int8]
    zone: NDArray[np.int16]
    names: list[str]

    def split(self, distance_m: Array, *, among: Bools | None = None) -> None:
        made = cut(self.surface, distance_m, among=among)
        self.surface, self.part, self.zone = made.surface, self.part[made.parent], self.zone[made.parent]

    def zone_number(self, name: str) -> int:
        if name not in self.names:
            self.names.append(name)
        return self.names.index(name)


def zoned(bottom: Bottom, zoning: Zoning) -> HullMesh:
    """The bottom with every facet in its part and zone, cut where zones meet.

    First sides by the centreplane; then keel, sole, rudder and flat ends by height and normal; then the cuts drawn by
    hand in their order; then what stands and blocks hide. A later one takes from the earlier. Areas are kept.
    """
    count = bottom.surface.count
    work = _Work(
        surface=bottom.surface,
        part=np.zeros(count, dtype=np.int8),
        zone=np.where(bottom.surface.centres_m[:, 1] > 0.0, 1, 0).astype(np.int16),
        names=[PORT, STARBOARD],
    )
    root = keel_root(bottom) if zoning.keel_root_m is None else zoning.keel_root_m
    if zoning.has_keel and root is not None:
        _part_keel(work, root)
    _part_ends(work)
    for one in zoning.cuts:
        _draw(work, one)
    for name, spot in zoning.spots:
        _stand(work, name, spot)
    return HullMesh(
        surface=work.surface,
        zone_names=tuple(work.names),
        zone_of=work.zone,
        part_of=work.part,
        unrolled_m=unrolled(work.surface),
        closed=bottom.closed,
    )


def keel_root(bottom: Bottom) -> float | None:
    """Height above the waterline, m (negative), under which all is as narrow as a keel; None where she has none."""
    depth = bottom.draft_m
    x = np.linspace(0.02, 0.98, 33) * bottom.waterline_length_m
    levels = -depth + depth * (np.arange(60) + 0.5) / 60.0
    widest = np.zeros(60)
    for section in sections(bottom.surface, x):
        z = section.points_m[:, :, 1]
        y = np.abs(section.points_m[:, :, 0]).max(axis=1, initial=0.0)
        row = np.clip(((z.mean(axis=1) + depth) / depth * 60).astype(int), 0, 59)
        np.maximum.at(widest, row, y)
    narrow = widest <= 0.5 * NARROW_SHARE * bottom.waterline_beam_m
    rows = int(np.argmin(narrow)) if not narrow.all() else 0
    return float(levels[rows] - 0.5 * depth / 60.0) if rows >= KEEL_SHARE * 60 else None


def _part_keel(work: _Work, root_m: float) -> None:
    work.split(work.surface.vertices_m[:, 2] - root_m)
    low = float(work.surface.vertices_m[:, 2].min())
    under = work.surface.centres_m[:, 2] < root_m
    near_bottom = work.surface.centres_m[:, 2] < low + 0.25 * (root_m - low)
    under &= near_bottom | (work.surface.normals[:, 2] > -_BODY_TILT)  # what faces down above the sole is the hull's
    rudder = under & _apart_and_aft(work.surface, under)
    work.part[under] = PARTS.index("keel")
    work.part[rudder] = PARTS.index("gear")
    if rudder.any():
        work.zone[rudder] = work.zone_number(GEAR)
    work.part[under & ~rudder & near_bottom & (work.surface.normals[:, 2] < -SOLE_TILT)] = PARTS.index("sole")


def _apart_and_aft(surface: Facets, under: Bools) -> Bools:
    """Facets under the root that lie behind a gap in the length, wholly aft of `RUDDER_FROM`."""
    x = surface.vertices_m[:, 0]
    low, high = float(x.min()), float(x.max())
    corners = x[surface.facets[under]]
    taken, edges = np.histogram(corners.ravel(), bins=200, range=(low, high))
    first, last = (np.clip(((corners.min(1), corners.max(1))[k] - low) / (high - low) * 200, 0, 199) for k in (0, 1))
    for a, b in zip(first.astype(int).tolist(), last.astype(int).tolist(), strict=True):
        taken[a : b + 1] += 1
    empty = np.flatnonzero(taken == 0)
    gaps = empty[(empty > np.flatnonzero(taken)[0]) & (empty < np.flatnonzero(taken)[-1])] if taken.any() else empty
    aft = gaps[edges[gaps + 1] >= low + RUDDER_FROM * (high - low)] if len(gaps) else gaps
    if not len(aft):
        return np.zeros(surface.count, dtype=np.bool_)
    return np.asarray(surface.centres_m[:, 0] > edges[aft.max() + 1])


def _part_ends(work: _Work) -> None:
    flat = np.abs(work.surface.normals[:, 0]) > END_TILT
    work.part[flat & (work.part == PARTS.index("hull"))] = PARTS.index("end")


def _draw(work: _Work, one: ZoneCut) -> None:
    for axis, low, high in ((0, one.from_m, one.to_m), (2, one.above_m, one.below_m)):
        for edge in (low, high):
            if edge is not None:
                work.split(work.surface.vertices_m[:, axis] - edge)
    x, y, z = work.surface.centres_m.T
    tilt = np.degrees(np.arccos(np.clip(work.surface.normals[:, 2], -1.0, 1.0)))
    chosen = (tilt >= one.tilt_from_deg) & (tilt <= one.tilt_to_deg)
    if one.side != "centre":
        chosen &= (y > 0.0) == (one.side == "starboard")
    for value, low, high in ((x, one.from_m, one.to_m), (z, one.above_m, one.below_m)):
        chosen &= (value >= (-np.inf if low is None else low)) & (value <= (np.inf if high is None else high))
    if one.name is not None:
        work.zone[chosen] = work.zone_number(one.name)
    if one.part is not None:
        work.part[chosen] = PARTS.index(one.part)


def _stand(work: _Work, name: str, spot: Spot) -> None:
    """Facets under a pad, block or sling, cut along its edges, into its zone; a sling lies right round the hull."""
    if spot.kind == "slings":
        ends = (spot.station_m - 0.5 * spot.length_m, spot.station_m + 0.5 * spot.length_m)
        for end in ends:
            work.split(work.surface.vertices_m[:, 0] - end)
        x = work.surface.centres_m[:, 0]
        work.zone[(x > ends[0]) & (x < ends[1]) & (work.part == PARTS.index("hull"))] = work.zone_number(name)
        return
    box = footprint(work.surface, spot)
    for axis in range(2):
        for edge in (-box.half_m[axis], box.half_m[axis]):
            near = _near(work.surface, box)
            work.split((work.surface.vertices_m - box.centre_m) @ box.axes[axis] - edge, among=near)
    under = _inside(work.surface, box)
    if spot.side != "centre":
        under &= (work.surface.centres_m[:, 1] > 0.0) == (spot.side == "starboard")
    work.zone[under] = work.zone_number(name)


def _near(surface: Facets, box: Box) -> Bools:
    reach = float(np.hypot(*box.half_m)) + box.depth_m
    corners = np.abs(surface.vertices_m - box.centre_m).max(axis=1) < reach
    crossing = corners[surface.facets].any(axis=1)
    low, high = surface.vertices_m[surface.facets].min(axis=1), surface.vertices_m[surface.facets].max(axis=1)
    return np.asarray(crossing | ((low < box.centre_m + reach) & (high > box.centre_m - reach)).all(axis=1))


def _inside(surface: Facets, box: Box) -> Bools:
    off = surface.centres_m - box.centre_m
    across = np.abs(off @ box.axes.T)
    facing = surface.normals @ box.axes[2] > 0.3
    within = (across[:, 0] <= box.half_m[0]) & (across[:, 1] <= box.half_m[1]) & (across[:, 2] <= box.depth_m)
    return np.asarray(within & facing)


def parts_area_m2(mesh: HullMesh, zone: str) -> dict[Part, float]:
    """Area of each part of a zone, m2."""
    return {part: float(mesh.areas_m2[mesh.chosen(zone, part)].sum()) for part in PARTS}
