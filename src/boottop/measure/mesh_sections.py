"""Sections of a mesh across the boat: girths, breadths, areas, and how many skins lie over each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from boottop.measure.inputs import Girth, Girths
from boottop.measure.mesh import Array, Facets

_NUDGE = 1e-7
"""Share of the length by which a section is moved, so that it meets edges and not corners."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Section:
    """What a plane across the boat meets: `points_m` (segment, 2 ends, y and z) and `keys` (segment, 2 ends), the same
    where segments hang together."""

    station_m: float
    points_m: Array
    keys: NDArray[np.int64]

    def girth_m(self, *, starboard: bool | None = None) -> float:
        """Length of one side, or of both together, m."""
        lengths = np.hypot(*(self.points_m[:, 1] - self.points_m[:, 0]).T)
        if starboard is None:
            return float(lengths.sum())
        middle = self.points_m[:, :, 0].mean(axis=1)
        return float(lengths[(middle > 0.0) == starboard].sum())

    @property
    def half_breadth_m(self) -> float:
        return float(np.abs(self.points_m[:, :, 0]).max(initial=0.0))

    @property
    def lowest_m(self) -> float:
        return float(self.points_m[:, :, 1].min(initial=0.0))


def sections(surface: Facets, stations_m: Sequence[float] | Array) -> list[Section]:
    """Sections at stations, as the surface's own x counts them."""
    x = surface.vertices_m[:, 0]
    corners = x[surface.facets]
    low, high = corners.min(axis=1), corners.max(axis=1)
    length = float(np.ptp(x)) or 1.0
    return [_section(surface, float(at) + _NUDGE * length, low, high=high) for at in stations_m]


def _section(surface: Facets, at: float, low: Array, *, high: Array) -> Section:
    facets = surface.facets[np.flatnonzero((low < at) & (high >= at))].astype(np.int64)
    over = surface.vertices_m[facets, 0] >= at
    lone = np.argmax(over == (over.sum(axis=1) == 1)[:, None], axis=1)
    a, b, c = (np.take_along_axis(facets, ((lone + k) % 3)[:, None], axis=1)[:, 0] for k in range(3))
    points, keys = [], []
    for other in (b, c):
        first, last = np.minimum(a, other), np.maximum(a, other)
        p, q = surface.vertices_m[first], surface.vertices_m[last]
        share = (at - p[:, 0]) / (q[:, 0] - p[:, 0])
        points.append(p[:, 1:] + share[:, None] * (q - p)[:, 1:])
        keys.append(first * len(surface.vertices_m) + last)
    return Section(station_m=at, points_m=np.stack(points, axis=1), keys=np.stack(keys, axis=1))


def chains(section: Section, *, starboard: bool) -> list[Array]:
    """The segments of one side strung together, each line (point, 2) from its end at the centreline or lowest, the
    lowest line first."""
    middle = section.points_m[:, :, 0].mean(axis=1)
    chosen = np.flatnonzero((middle > 0.0) == starboard)
    at: dict[int, list[int]] = defaultdict(list)
    for number in chosen.tolist():
        for key in section.keys[number].tolist():
            at[key].append(number)
    left = set(chosen.tolist())
    ends = [number for key, found in at.items() if len(found) == 1 for number in found]
    lines = [_string(section, start, at=at, left=left) for start in [*ends, *chosen.tolist()] if start in left]
    return sorted((_from_below(line) for line in lines), key=lambda line: float(line[:, 1].mean()))


def _string(section: Section, start: int, *, at: dict[int, list[int]], left: set[int]) -> Array:
    """One line, followed from a segment until nothing hangs on."""
    one, other = section.keys[start].tolist()
    end = 0 if len(at[one]) == 1 else 1 if len(at[other]) == 1 else 0
    points, number = [section.points_m[start, end]], start
    while True:
        left.discard(number)
        points.append(section.points_m[number, 1 - end])
        key = int(section.keys[number, 1 - end])
        following = [n for n in at[key] if n in left]
        if not following:
            return np.asarray(points)
        number = following[0]
        end = 0 if int(section.keys[number, 0]) == key else 1


def _from_below(line: Array) -> Array:
    first, last = line[0], line[-1]
    turned = (abs(last[0]), last[1]) < (abs(first[0]), first[1])
    return line[::-1] if turned else line


def skins(surface: Facets, *, starboard: bool, count: int = 15) -> float:
    """Middle number of skins that a level line meets from the centreplane outwards on one side; 1 for a hull.

    0: that side is missing. 2: a second skin within the first (the inside of the shell, or the same half twice).
    """
    x = surface.vertices_m[:, 0]
    stations = np.linspace(x.min(), x.max(), count + 2)[1:-1]
    met: list[int] = []
    for section in sections(surface, stations):
        low = section.lowest_m
        high = float(section.points_m[:, :, 1].max(initial=low))
        side = (section.points_m[:, :, 0].mean(axis=1) > 0.0) == starboard
        z = section.points_m[side][:, :, 1]
        for share in (0.55, 0.65, 0.75, 0.85):
            level = low + share * (high - low) + _NUDGE
            met.append(int(np.count_nonzero((z.min(axis=1, initial=np.inf) < level) & (z.max(axis=1) >= level))))
    return float(np.median(met)) if met else 0.0


def girths_of(surface: Facets, count: int, *, length_m: float, fore_m: float = 0.0) -> Girths:
    """Half-girths and half-beams as a tape would find them at `count` even stations of the waterline, on a whole hull.

    Means of both sides; the tape is taken as exact. An end where there is nothing to tape reads zero.
    """
    edge = 1e-4 * length_m
    stations = np.linspace(0.0, length_m, count)
    inside = np.clip(stations, edge, length_m - edge) + fore_m
    readings = tuple(
        Girth(station_m=float(at), half_girth_m=max(0.5 * s.girth_m(), s.half_breadth_m), half_beam_m=s.half_breadth_m)
        for at, s in zip(stations, sections(surface, inside), strict=True)
    )
    return Girths(waterline_length_m=length_m, readings=readings, tape_sd_m=0.0)


def nearest_on(lines: Sequence[Array], *, spacing_m: float) -> tuple[Array, Array]:
    """Points along lines that follow each other, no further apart than `spacing_m`, and the girth at each, m."""
    points, girths, gone = [], [], 0.0
    for line in lines:
        for one, two in pairwise(line):
            step = float(np.hypot(*(two - one)))
            share = np.linspace(0.0, 1.0, 2 + int(step / spacing_m))
            points.append(one + share[:, None] * (two - one))
            girths.append(gone + share * step)
            gone += step
    return np.concatenate(points), np.concatenate(girths)
