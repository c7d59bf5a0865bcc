"""Keels, rudders, shafts and bulbs as surfaces under the drawn hull, each at the place that is usual for its kind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from boottop.measure.appendages import FOILS
from boottop.measure.inputs import Appendage, HullMeasure
from boottop.measure.mesh import Array, Ints, Part
from boottop.measure.patches import HalfSide
from boottop.measure.shell_lines import Lines
from boottop.measure.shell_spots import Footprint, keel_ends

GAP_SHARE = 0.06
"""Room between the unrolled hull and the gear laid beside it, as a share of the greatest half-girth."""
USUAL_PLACE = {"rudder": 0.955, "skeg": 0.88, "strut": 0.86, "fin": 0.5, "shaft": 0.79}
OFF_CENTRE = 0.45
"""Usual middle of each kind as a share of the waterline, and distance from the centreline of what comes in pairs as a
share of the half-breadth: for a likeness only, no source."""
_CHORD = np.concatenate(([0.0, 0.02, 0.06], np.linspace(0.12, 1.0, 12)))
_SIGN: dict[HalfSide, float] = {"port": -1.0, "starboard": 1.0}


@dataclass(frozen=True, kw_only=True, eq=False)
class Sheet:
    """A grid of points (row, column, 3) that looks `outward`; `flat_m` lays it flat, (row, column, 2) as length, girth.

    `zone_of_cell` (row - 1, column - 1): names where the cells are not all of `zone`. `name`: what is written on it in
    the flat view.
    """

    points_m: Array
    flat_m: Array
    outward: tuple[float, float, float]
    zone: str
    part: Part
    zone_of_cell: Sequence[Sequence[str]] = ()
    name: str = ""

    def triangles(self) -> tuple[Ints, list[str]]:
        """Two facets for each cell, corners counter-clockwise from outside, and the zone of each."""
        rows, columns = self.points_m.shape[:2]
        at = np.arange(rows * columns).reshape(rows, columns)
        a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
        facets = np.stack((np.stack((a, b, c), axis=-1), np.stack((a, c, d), axis=-1)), axis=2).reshape(-1, 3)
        corners = self.points_m.reshape(-1, 3)[facets]
        normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        if float(normals.sum(axis=0) @ np.asarray(self.outward)) < 0.0:
            facets = facets[:, ::-1]
        zones = [name for row in self.zone_of_cell for name in row for _ in range(2)]
        return facets.astype(np.int32), zones or [self.zone] * len(facets)


@dataclass(kw_only=True)
class Gear:
    """Draws every appendage; `taken_m` keeps what is laid beside the flat hull from lying on each other."""

    measure: HullMeasure
    lines: Lines
    zones: Sequence[str]
    blocks: Sequence[Footprint] = ()
    sole_zone: str = ""
    taken_m: list[tuple[float, float]] = field(default_factory=list)

    @property
    def flat_edge_m(self) -> float:
        """Girth at which the gear begins in the flat view, m."""
        girths = [self.lines.half_girth_m(float(x)) for x in self.lines.stations_m[::4]]
        return (1.0 + GAP_SHARE) * max(girths)

    def sheets(self) -> Iterator[Sheet]:
        """All surfaces of all appendages; thruster tunnels lie within the hull and show as their mouths."""
        for one in self.measure.appendages:
            for x, y, side in self._places(one):
                if one.kind in FOILS:
                    yield from self._foil(one, x, y=y, side=side)
                elif one.kind == "shaft":
                    yield from self._shaft(one, x, y=y)
                elif one.kind == "bulb":
                    yield from self._bulb(one, x, y=y)

    def _places(self, one: Appendage) -> Iterator[tuple[float, float, HalfSide | None]]:
        """Middle, distance from the centreline, and side of each of the alike."""
        length = self.lines.length_m
        middle = USUAL_PLACE.get(one.kind, 0.5) * length
        keel = keel_ends(self.measure, length)
        if one.kind in ("fin_keel", "bulb") and keel is not None:
            middle = 0.5 * (keel[0] + keel[1])
        off = OFF_CENTRE * float(self.lines.at(np.asarray([middle]), np.ones(1))[0, 0, 0])
        if one.side != "centre":
            for number in range(one.count):
                yield middle - 1.5 * number * one.length_m, off * _SIGN[one.side], one.side
            return
        for number in range(one.count // 2):
            for side, sign in _SIGN.items():
                yield middle - 1.5 * number * one.length_m, off * sign, side
        if one.count % 2:
            yield middle, 0.0, None

    def _zone(self, one: Appendage, face: HalfSide, side: HalfSide | None) -> str:
        """The zone it is coated with; what goes with the sides, by the side it looks to."""
        if one.zone != "sides":
            return one.zone if one.zone in self.zones else self.zones[0]
        return f"{face if side is None else side} side"

    def _part(self, one: Appendage) -> Part:
        return "keel" if one.kind in ("fin_keel", "bulb") else "gear"

    def _flat_x(self, x: Array) -> float:
        """By how much a panel is pushed aft so that it lies beside the others, m."""
        low, high, gap = float(x.min()), float(x.max()), 0.012 * self.lines.length_m
        shift = 0.0
        for fore, aft in sorted(self.taken_m):
            if low + shift < aft + gap and fore - gap < high + shift:
                shift = aft + gap - low
        self.taken_m.append((low + shift, high + shift))
        return shift

    def _foil(self, one: Appendage, x: float, *, y: float, side: HalfSide | None) -> Iterator[Sheet]:
        thickness = max(one.thickness_m, 0.01)
        keel = one.kind == "fin_keel"
        chord = self._chord(one, x) if keel else _CHORD
        at = x + (chord - 0.5) * one.length_m
        half = thickness * np.sqrt(np.clip(chord * (1.0 - chord), 0.0, None))
        root = np.minimum(self._hull_z(at, y), -0.02)
        foot = np.full_like(root, float(np.median(root)) - one.height_m)
        shift, edge = self._flat_x(at), self.flat_edge_m
        for face, sign in _SIGN.items():
            across = y + sign * half
            rows = np.stack([np.stack((at, across, z), axis=1) for z in (root, foot)])
            drop = np.stack([np.zeros_like(root), np.full_like(root, one.height_m)])
            flat = np.stack((np.broadcast_to(at + shift, drop.shape), sign * (edge + drop)), axis=-1)
            zone = self._zone(one, face, side)
            part = self._part(one)
            yield Sheet(
                points_m=rows, flat_m=flat, outward=(0.0, sign, 0.0), zone=zone, part=part, name=f"{one.name}, {face}"
            )
            under = np.stack([rows[1], np.stack((at, np.full_like(at, y), foot), axis=1)])
            depth = np.stack([np.full_like(at, one.height_m), one.height_m + half])
            below = np.stack((np.broadcast_to(at + shift, depth.shape), sign * (edge + depth)), axis=-1)
            yield Sheet(
                points_m=under,
                flat_m=below,
                outward=(0.0, 0.0, -1.0),
                zone=zone,
                part="sole" if keel else "gear",
                zone_of_cell=self._sole_cells(at, zone) if keel else (),
            )

    def _chord(self, one: Appendage, x: float) -> Array:
        """Shares of the chord, with the edges of the blocks among them."""
        ends = [(end - x) / one.length_m + 0.5 for spot in self.blocks for end in spot.ends_m]
        return np.union1d(_CHORD, [end for end in ends if 0.0 < end < 1.0])

    def _sole_cells(self, at: Array, zone: str) -> list[list[str]]:
        middles = 0.5 * (at[1:] + at[:-1])
        on = [any(spot.ends_m[0] <= middle <= spot.ends_m[1] for spot in self.blocks) for middle in middles]
        return [[self.sole_zone if block and self.sole_zone else zone for block in on]]

    def _hull_z(self, x: Array, y: float) -> Array:
        """Height of the skin over a point under her, m."""
        shares = np.linspace(0.0, 1.0, 33)
        inside = np.clip(x, 0.0, self.lines.length_m)
        curves = self.lines.at(inside, shares)
        return np.asarray([np.interp(abs(y), curve[:, 0], curve[:, 1]) for curve in curves])

    def _shaft(self, one: Appendage, x: float, *, y: float) -> Iterator[Sheet]:
        """A shaft that runs aft and down, 10 degrees off level."""
        at = x + np.linspace(-0.5, 0.5, 5) * one.length_m
        middle = self._hull_z(at[:1], y)[0] - 0.17 * (at - at[0]) - 0.5 * one.thickness_m
        yield from self._round(one, at, y=y, middle=middle, radii=np.full((5, 2), 0.5 * one.thickness_m))

    def _bulb(self, one: Appendage, x: float, *, y: float) -> Iterator[Sheet]:
        keel = next((a for a in self.measure.appendages if a.kind == "fin_keel"), None)
        lean = np.linspace(0.0, np.pi, 15)
        at = x - 0.5 * one.length_m * np.cos(lean)
        top = float(np.median(self._hull_z(at, y))) - (keel.height_m if keel else 0.0)
        radii = 0.5 * np.sin(lean)[:, None] * np.array([one.thickness_m, one.height_m])
        yield from self._round(one, at, y=y, middle=np.full(15, top - 0.4 * one.height_m), radii=radii)

    def _round(self, one: Appendage, at: Array, *, y: float, middle: Array, radii: Array) -> Iterator[Sheet]:
        """Something round about a line fore and aft: `radii` (station, 2) across and upright."""
        turn = np.linspace(0.0, np.pi, 9)
        shift, edge = self._flat_x(at), self.flat_edge_m
        for face, sign in _SIGN.items():
            across = y + sign * radii[:, :1] * np.sin(turn)
            high = middle[:, None] + radii[:, 1:] * np.cos(turn)
            points = np.stack((np.broadcast_to(at[:, None], across.shape), across, high), axis=-1)
            girth = turn * radii.mean(axis=1, keepdims=True)
            flat = np.stack((np.broadcast_to(at[:, None] + shift, girth.shape), sign * (edge + girth)), axis=-1)
            zone = self._zone(one, face, None)
            part = self._part(one)
            yield Sheet(
                points_m=points, flat_m=flat, outward=(0.0, sign, 0.0), zone=zone, part=part, name=f"{one.name}, {face}"
            )
