"""Where stands, blocks and slings touch the hull: their footprints, and other places for them next time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.measure.hull import Side
from boottop.measure.mesh import Array, Facets

SpotKind = Literal["pads", "blocks", "slings"]
CLEAR_M = 0.05
_FLAT, _REACH_M = 0.02, 0.05
"""Bare skin to leave between an old spot and a new one, so that a roller reaches round: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Spot:
    """One place that is covered while she stands or hangs.

    `station_m` aft from the fore end of the waterline to its middle; `height_m` up from the lowest point of the boat
    (keel sole) to its middle; `length_m` along the boat, `width_m` round the hull (a sling: its breadth, and the girth
    it covers). `stand_set`: which set of stands it belongs to.
    """

    name: str
    kind: SpotKind
    side: Side
    station_m: float
    height_m: float
    length_m: float
    width_m: float
    stand_set: int = 1


@dataclass(frozen=True, kw_only=True, eq=False)
class Box:
    """A footprint on the skin: its middle, its three axes (along, round, outwards; rows), half its length and width,
    and how deep it reaches."""

    centre_m: Array
    axes: Array
    half_m: tuple[float, float]
    depth_m: float


def footprint(surface: Facets, spot: Spot) -> Box:
    """The rectangle that a pad, block or sling covers on the skin, laid on the facet nearest to its middle.

    `surface` is in the frame of measure.mesh.HullMesh. Raises InputError where the hull has no skin at that station and
    height on that side. Source: geometry.
    """
    low = float(surface.vertices_m[:, 2].min())
    height = low + spot.height_m
    choice = _facets_for(surface, spot)
    off = surface.centres_m[choice][:, [0, 2]] - np.array([spot.station_m, height])
    nearest = choice[np.argmin(np.hypot(*off.T))]
    if float(np.hypot(*off.T).min()) > 0.5 * max(spot.length_m, spot.width_m) + 0.1:
        raise InputError(_no_skin(surface, spot, low))
    normal = surface.normals[nearest]
    corners = surface.vertices_m[surface.facets[nearest]]
    centre = _on_plane(corners, normal, spot, height=height)
    along = np.array([1.0, 0.0, 0.0]) - normal[0] * normal
    along /= np.linalg.norm(along)
    return Box(
        centre_m=centre,
        axes=np.stack((along, np.cross(normal, along), normal)),
        half_m=(0.5 * spot.length_m, 0.5 * spot.width_m),
        depth_m=0.5 * max(spot.length_m, spot.width_m),
    )


def _facets_for(surface: Facets, spot: Spot) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Facets that the middle may lie on: of its side, looking down for a block, out to the side for a pad."""
    n, y = surface.normals, surface.centres_m[:, 1]
    fits = n[:, 2] < 0.2 if spot.kind == "pads" else n[:, 2] < -0.5
    fits = fits & (np.abs(n[:, 0]) < 0.94)
    if spot.side != "centre":
        fits &= (y > 0.0) == (spot.side == "starboard")
    found = np.flatnonzero(fits)
    if not len(found):
        raise InputError(_no_skin(surface, spot, float(surface.vertices_m[:, 2].min())))
    return found


def _on_plane(corners: Array, normal: Array, spot: Spot, *, height: float) -> Array:
    """The point of a facet's plane at the spot's station: at its height, or for blocks on the centreline."""
    corner, x = corners[0], spot.station_m
    if spot.kind != "pads" or abs(normal[1]) < _FLAT:
        y = 0.0 if spot.kind != "pads" else float(corners[:, 1].mean())
        z = corner[2] - (normal[0] * (x - corner[0]) + normal[1] * (y - corner[1])) / normal[2]
        return np.array([x, y, z])
    y = corner[1] - (normal[0] * (x - corner[0]) + normal[2] * (height - corner[2])) / normal[1]
    return np.array([x, np.clip(y, corners[:, 1].min() - _REACH_M, corners[:, 1].max() + _REACH_M), height])


def _no_skin(surface: Facets, spot: Spot, low: float) -> Problem:
    x, z = surface.vertices_m[:, 0], surface.vertices_m[:, 2]
    return Problem(
        where=f"{spot.name}, {spot.side}",
        found=f"station {spot.station_m:.2f} m, height {spot.height_m:.2f} m, where she has no skin",
        allowed=f"stations {x.min():.2f} to {x.max():.2f} m, heights 0 to {z.max() - low:.2f} m, on her skin",
        advice="Stations count aft from the fore end of the waterline, heights up from the lowest point of the keel.",
    )


@dataclass(frozen=True, kw_only=True)
class Clash:
    """A spot that covers part of an older one; `shared_m` is how far they overlap along the boat."""

    now: Spot
    before: Spot
    shared_m: float


def clashes(now: Sequence[Spot], before: Sequence[Spot]) -> tuple[Clash, ...]:
    """Spots that cover again what was covered before: same kind and side, overlapping along and up."""
    found = []
    for one in now:
        for other in before:
            along = 0.5 * (one.length_m + other.length_m) - abs(one.station_m - other.station_m)
            up = 0.5 * (one.width_m + other.width_m) - abs(one.height_m - other.height_m)
            same = one.kind == other.kind and (one.side == other.side or "centre" in (one.side, other.side))
            if same and along > 0.0 and up > 0.0:
                found.append(Clash(now=one, before=other, shared_m=along))
    return tuple(found)


def other_places(before: Sequence[Spot], *, length_m: float) -> tuple[Spot, ...]:
    """The places to ask the yard for next time: each spot moved along the boat by the least that leaves every older one
    bare, opposite spots together; a spot that finds no place within a metre and a half stays where it is.

    Heights stay: a stand bears at the bulkhead or frame it was put at, so the yard decides whether the new place bears.
    Haul-outs that ask for these alternate between two sets of places. Source: ours.
    """
    moved: list[Spot] = []
    for spot in before:
        pair = next((m for m, b in zip(moved, before, strict=False) if _opposite(b, spot)), None)
        moved.append(replace(spot, station_m=pair.station_m) if pair else _shifted(spot, before, length_m=length_m))
    return tuple(moved)


def _opposite(one: Spot, other: Spot) -> bool:
    same = abs(one.station_m - other.station_m) < 0.05 and one.kind == other.kind
    return same and {one.side, other.side} == {"port", "starboard"}


def _shifted(spot: Spot, before: Sequence[Spot], *, length_m: float) -> Spot:
    for step in np.arange(0.05, 1.5001, 0.05).tolist():
        for way in (step, -step):
            tried = replace(spot, station_m=round(spot.station_m + way, 3), length_m=spot.length_m + 2 * CLEAR_M)
            inside = 0.5 * spot.length_m <= tried.station_m <= length_m - 0.5 * spot.length_m
            if inside and not clashes([tried], before):
                return replace(tried, length_m=spot.length_m)
    return spot
