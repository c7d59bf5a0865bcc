"""From a table of half-breadths to the wetted area of both sides by lofting the sections between stations."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from boottop.measure.girths import LEFT_OUT_SHARE, TRAPEZOID_SHARE
from boottop.measure.inputs import Offsets
from boottop.measure.rules import pchip_integral, trapezoid

Array = NDArray[np.float64]

OFFSETS_SD = 0.01
"""Hull as built against her table, and her draft against the table's: common practice, no source."""
COARSE_CHANGE = 0.02
FEW_WATERLINES = 5
BOTTOM_JUMP = 0.5
GAP_SHARE_SD = 0.3
"""Doubt of an unresolved bottom, which lies between a straight line (0) and a square bilge (1): ours."""
_STRINGS = 97
_PER_CHORD = 16


@dataclass(frozen=True, kw_only=True)
class OffsetsArea:
    """Wetted area of both sides from a table of offsets, m2, with what else the table says of the body under `draft_m`.

    `girth_m2` is before obliquity; `area_m2` = `girth_m2` * `obliquity_factor` + both `end_faces_m2` (fore, aft).
    `volume_m3` and `block_coefficient` are for checking the table against what is known of the boat.
    """

    area_m2: float
    sd_m2: float
    girth_m2: float
    obliquity_factor: float
    end_faces_m2: tuple[float, float]
    waterplane_m2: float
    volume_m3: float
    block_coefficient: float
    length_m: float
    beam_m: float
    draft_m: float
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Section:
    """One half-section from the keel at the centreline up to the waterline, as a fine polyline."""

    y_m: Array
    z_m: Array

    @property
    def girth_m(self) -> float:
        return float(np.hypot(np.diff(self.y_m), np.diff(self.z_m)).sum())

    @property
    def half_area_m2(self) -> float:
        return trapezoid(self.z_m, self.y_m)

    def strings(self) -> Array:
        """Points at equal shares of the girth, shape (string, 2)."""
        along = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(self.y_m), np.diff(self.z_m)))))
        at = np.linspace(0.0, along[-1], _STRINGS)
        return np.stack((np.interp(at, along, self.y_m), np.interp(at, along, self.z_m)), axis=1)


def offsets_area(table: Offsets) -> OffsetsArea:
    """Wetted area of both sides, m2, of the hull in a table of offsets cut at its draft.

    Each section is a shape-preserving cubic in chord length, closed to the centreline: flat where the lowest row of
    the table still has a breadth, else half a waterline below the lowest one. Girths are integrated over the length by
    a shape-preserving spline and multiplied by the ratio of lofted surface to girth area (obliquity). A section left
    open at the first or last station adds its flat face (a transom).

    Doubt: `OFFSETS_SD`, the stations as for taped girths, a third of the change when every second waterline is left
    out, and `GAP_SHARE_SD` of what a square bilge would add where the bottom is not resolved. Valid for tables with
    three stations under the draft or more. Source: ours, from the definition of surface area; closed forms in the
    tests.
    """
    x, sections = wetted_sections(table)
    girths = np.asarray([section.girth_m for section in sections])
    girth = 2.0 * pchip_integral(x, girths)
    factor = _obliquity(x, sections)
    faces = (2.0 * sections[0].half_area_m2, 2.0 * sections[-1].half_area_m2)
    coarse = abs(2.0 * pchip_integral(x, _coarse_girths(table, x)) - girth) if len(_below(table)) > 2 else 0.1 * girth
    gaps = np.asarray([_bottom_gap_m(table, table.stations_m.index(float(station))) for station in x])
    unresolved = 2.0 * GAP_SHARE_SD * trapezoid(x, gaps)
    sd = np.linalg.norm((OFFSETS_SD * girth, _stations_sd(x, girths), coarse / 3.0, unresolved))
    half_breadths = np.asarray([float(section.y_m[-1]) for section in sections])
    volume = 2.0 * pchip_integral(x, np.asarray([section.half_area_m2 for section in sections]))
    length, beam = float(x[-1] - x[0]), 2.0 * float(half_breadths.max())
    depth = table.draft_m - min(float(section.z_m.min()) for section in sections)
    return OffsetsArea(
        area_m2=girth * factor + sum(faces),
        sd_m2=float(sd) * factor,
        girth_m2=girth,
        obliquity_factor=factor,
        end_faces_m2=faces,
        waterplane_m2=2.0 * pchip_integral(x, half_breadths),
        volume_m3=volume,
        block_coefficient=volume / (length * beam * depth) if beam > 0 else 0.0,
        length_m=length,
        beam_m=beam,
        draft_m=depth,
        notes=_notes(table, coarse / girth, gaps),
    )


def section_at(table: Offsets, row: int, *, step: int = 1) -> Section | None:
    """Half-section of one station under the draft, None where there is no hull; `step` 2 leaves out waterlines."""
    z, y = _known(table, row)
    if step > 1 and len(z) > 2:
        keep = np.zeros(len(z), dtype=np.bool_)
        keep[::step] = True
        keep[[0, -1]] = True
        z, y = z[keep], y[keep]
    if len(z) == 0 or not np.any(y > 0):
        return None
    wet = np.flatnonzero(y > 0)
    first, last = max(wet[0] - 1, 0), min(wet[-1] + 2, len(z))
    z, y = z[first:last], y[first:last]
    if step == 1:
        z, y = _with_buttocks(table, row, z=z, y=y)
    if y[0] > 0:
        z, y = np.concatenate(([_keel_height(table, row, lowest=float(z[0]))], z)), np.concatenate(([0.0], y))
    if z[-1] < table.draft_m - 1e-9 and y[-1] > 0:
        z, y = np.concatenate((z, z[-1:])), np.concatenate((y, [0.0]))
    return _smooth(y, z)


def _known(table: Offsets, row: int) -> tuple[Array, Array]:
    """Heights and half-breadths of one station up to the draft, with a point at the draft itself."""
    pairs = [(z, y) for z, y in zip(table.waterlines_m, table.half_breadths_m[row], strict=True) if y is not None]
    z = np.asarray([pair[0] for pair in pairs], dtype=np.float64)
    y = np.asarray([pair[1] for pair in pairs], dtype=np.float64)
    under = z < table.draft_m - 1e-9
    if under.all() or not under.any():
        return z[under], y[under]
    top = float(PchipInterpolator(z, y)(table.draft_m)) if len(z) > 2 else float(np.interp(table.draft_m, z, y))
    return np.append(z[under], table.draft_m), np.append(y[under], top)


def _with_buttocks(table: Offsets, row: int, *, z: Array, y: Array) -> tuple[Array, Array]:
    """The section's points with those of its buttock heights between them, in the order from the keel outwards and up.

    A height that would make the section turn back, or that lies over the draft, is left out.
    """
    if not table.heights_m:
        return z, y
    heights = [(h, b) for b, h in zip(table.buttocks_m, table.heights_m[row], strict=True) if h is not None]
    added = [(h, b) for h, b in heights if h < table.draft_m and b <= float(y.max())]
    points = sorted(
        [*zip(z.tolist(), y.tolist(), strict=True), *added], key=lambda point: (point[0] + point[1], point[1])
    )
    kept = [points[0]]
    for point in points[1:]:
        known = point not in added
        forward = point[0] >= kept[-1][0] - 1e-9 and (known or point[1] >= kept[-1][1] - 1e-9)
        if forward and point != kept[-1]:
            kept.append(point)
    return np.asarray([p[0] for p in kept]), np.asarray([p[1] for p in kept])


def _keel_height(table: Offsets, row: int, *, lowest: float) -> float:
    """Where the bottom meets the centreline under the lowest breadth: the table's own keel height, else flat on the
    first row, else half a row down."""
    if table.keel_m and (own := table.keel_m[row]) is not None and own <= lowest:
        return own
    index = table.waterlines_m.index(lowest) if lowest in table.waterlines_m else 0
    return lowest if index == 0 else 0.5 * (lowest + table.waterlines_m[index - 1])


def _smooth(y: Array, z: Array) -> Section:
    chord = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(y), np.diff(z)))))
    if len(chord) < 3:
        return Section(y_m=y, z_m=z)
    shares = np.linspace(0.0, 1.0, _PER_CHORD, endpoint=False)
    at = np.append((chord[:-1, None] + np.diff(chord)[:, None] * shares).ravel(), chord[-1])
    return Section(y_m=PchipInterpolator(chord, y)(at), z_m=PchipInterpolator(chord, z)(at))


def wetted_sections(table: Offsets) -> tuple[Array, list[Section]]:
    """Stations with hull under the draft, and one without breadth on each side where the table has it."""
    rows = [section_at(table, row) for row in range(len(table.stations_m))]
    wet = [index for index, section in enumerate(rows) if section is not None]
    first, last = max(wet[0] - 1, 0), min(wet[-1] + 1, len(rows) - 1)
    sections = [rows[index] or _edge(table, index) for index in range(first, last + 1)]
    return np.asarray(table.stations_m[first : last + 1]), sections


def _edge(table: Offsets, row: int) -> Section:
    """A station without breadth: the line of a plumb stem where the table has zeros, else a point at the waterline."""
    z, _ = _known(table, row)
    lowest = float(z[0]) if len(z) else table.draft_m
    return Section(y_m=np.zeros(2), z_m=np.asarray([lowest, table.draft_m]))


def wet_stations(table: Offsets) -> int:
    """Number of stations with hull under the draft."""
    return sum(section_at(table, row) is not None for row in range(len(table.stations_m)))


def _obliquity(x: Array, sections: list[Section]) -> float:
    """Area of the quadrilaterals between strings over the trapezoidal area of the same girths, dimensionless."""
    points = np.stack([section.strings() for section in sections])
    full = np.concatenate((np.broadcast_to(x[:, None, None], (*points.shape[:2], 1)), points), axis=2)
    fore, aft = full[:-1], full[1:]
    one = np.cross(aft[:, 1:] - fore[:, :-1], fore[:, 1:] - aft[:, :-1])
    surface = 0.5 * float(np.linalg.norm(one, axis=2).sum())
    polygons = np.linalg.norm(np.diff(points, axis=1), axis=2).sum(axis=1)
    return max(1.0, surface / trapezoid(x, polygons))


def _coarse_girths(table: Offsets, x: Array) -> Array:
    rows = [table.stations_m.index(float(station)) for station in x]
    sections = [section_at(table, row, step=2) for row in rows]
    return np.asarray([(s or _edge(table, row)).girth_m for s, row in zip(sections, rows, strict=True)])


def _stations_sd(x: Array, girths: Array) -> float:
    whole = pchip_integral(x, girths)
    changes = [abs(pchip_integral(np.delete(x, i), np.delete(girths, i)) - whole) for i in range(1, len(x) - 1)]
    return 2.0 * max(TRAPEZOID_SHARE * abs(whole - trapezoid(x, girths)), LEFT_OUT_SHARE * max(changes))


def _below(table: Offsets) -> list[float]:
    return [z for z in table.waterlines_m if z < table.draft_m]


def _notes(table: Offsets, change: float, gaps: Array) -> tuple[str, ...]:
    notes = []
    if len(_below(table)) < FEW_WATERLINES:
        notes.append(f"Only {len(_below(table))} waterlines under the draft: too coarse to show the turn of the bilge.")
    if change > COARSE_CHANGE:
        notes.append(f"Leaving out every second waterline changes the girths by {100 * change:.1f} %: a coarse table.")
    if (jumps := int(np.count_nonzero(gaps))) > 0.1 * len(gaps):
        notes.append(
            f"At {jumps} of {len(gaps)} stations most of the breadth lies between the two lowest waterlines: the table "
            "is too coarse to show the bottom, and the volume reads low."
        )
    return tuple(notes)


def _bottom_gap_m(table: Offsets, row: int) -> float:
    """What a square bilge would add to a half-girth whose bottom is not resolved, m; 0 where it is.

    Not resolved: the half-breadth grows from nearly none to over `BOTTOM_JUMP` of its greatest between two rows.
    """
    z, y = _known(table, row)
    if table.heights_m and any(height is not None for height in table.heights_m[row]):
        return 0.0
    top = float(y.max()) if len(y) else 0.0
    wet = np.flatnonzero(y > 0.02 * top) if top > 0.0 else np.asarray([], dtype=np.int64)
    if not len(wet) or wet[0] == 0 or y[wet[0]] <= BOTTOM_JUMP * top:
        return 0.0
    breadth, rise = float(y[wet[0]]), float(z[wet[0]] - z[wet[0] - 1])
    return breadth + rise - float(np.hypot(breadth, rise))
