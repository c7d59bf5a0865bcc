"""The lines of a boat from what was taped: half-sections at many stations, for drawing her and for nothing else."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from boottop.measure.girths import fill_ends
from boottop.measure.inputs import Dimensions, Girths, HullMeasure, Offsets
from boottop.measure.mesh import Array
from boottop.measure.offsets import section_at
from boottop.measure.regressions import coefficients_of

KNOTS, POINTS = 81, 33
USUAL_BEAM_SHARE = 0.86
"""Half-beam over half-girth where no half-beams were taped: common practice, no source."""
WIDEST = {"yacht": 0.56, "motor": 0.62, "ship": 0.5}
STERN_BEAM = {"yacht": 0.35, "motor": 0.88, "ship": 0.4}
STERN_DEPTH = {"yacht": 0.08, "motor": 0.75, "ship": 0.3}
"""Where a form is widest (share of the waterline from forward), and what is left of beam and depth at its stern:
for a likeness only, no source."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Lines:
    """Starboard half-sections: `stations_m` (station,) from the fore end aft; `points_m` (station, point, 2) y and z,
    at equal shares of the girth from the centreline up to the waterline, where z is 0."""

    stations_m: Array
    points_m: Array

    @property
    def length_m(self) -> float:
        return float(self.stations_m[-1])

    def at(self, stations_m: Array, shares: Array) -> Array:
        """Points on the skin at stations and shares of the half-girth (0 centreline, 1 waterline), m; shape
        (station, share, 2)."""
        row = np.interp(stations_m, self.stations_m, np.arange(len(self.stations_m)))
        low = np.minimum(row.astype(np.int64), len(self.stations_m) - 2)
        part = (row - low)[:, None, None]
        curves = (1.0 - part) * self.points_m[low] + part * self.points_m[low + 1]
        column = np.clip(shares, 0.0, 1.0) * (curves.shape[1] - 1)
        left = np.minimum(column.astype(np.int64), curves.shape[1] - 2)
        along = (column - left)[None, :, None]
        return np.asarray((1.0 - along) * curves[:, left] + along * curves[:, left + 1])

    def half_girth_m(self, station_m: float) -> float:
        """Half-girth at a station, m."""
        curve = self.at(np.asarray([station_m]), np.linspace(0.0, 1.0, POINTS))[0]
        return float(np.hypot(*np.diff(curve, axis=0).T).sum())

    def bottom_m(self, stations_m: Array) -> Array:
        """Height of the bottom at the centreline, m, below zero; shape (station,)."""
        return np.asarray(self.at(stations_m, np.zeros(1))[:, 0, 1])


def lines_of(measure: HullMeasure) -> Lines:
    """Lines by whichever of girths, offsets and dimensions was measured (exactly one, already checked).

    Girths and half-beams are met at their stations; between them, and for the shape of a section, the drawing is a
    guess: a bottom at the deadrise that turns up to the waterline. Never used for the area.
    """
    if measure.girths is not None:
        return _from_girths(measure.girths, measure.deadrise_deg)
    if measure.offsets is not None:
        return _from_offsets(measure.offsets)
    assert measure.dimensions is not None
    return _from_dimensions(measure.dimensions, measure.deadrise_deg)


def _from_girths(girths: Girths, deadrise_deg: float) -> Lines:
    taped = fill_ends(girths)
    x = np.union1d(np.linspace(0.0, girths.waterline_length_m, KNOTS), np.maximum(taped.stations_m, 0.0))
    beams = USUAL_BEAM_SHARE * taped.half_girths_m if taped.half_beams_m is None else taped.half_beams_m
    g = np.maximum(PchipInterpolator(taped.stations_m, taped.half_girths_m)(x), 0.0)
    b = np.clip(PchipInterpolator(taped.stations_m, beams)(x), 0.0, g)
    low, high = np.zeros_like(g), g.copy()
    for _ in range(45):
        depth = 0.5 * (low + high)
        short = _lengths(section_curves(b, depth, deadrise_deg)) < g
        low, high = np.where(short, depth, low), np.where(short, high, depth)
    return Lines(stations_m=x, points_m=_even(section_curves(b, high, deadrise_deg)))


def _from_dimensions(dimensions: Dimensions, deadrise_deg: float) -> Lines:
    """Waterplane by its coefficient, depths so that the body displaces what was said, as far as such a form can."""
    x = np.linspace(0.0, dimensions.waterline_length_m, KNOTS)
    form, half_beam = dimensions.form, 0.5 * dimensions.waterline_beam_m
    widest = WIDEST[form]
    fullness = widest + (1.0 - widest) * (1.0 - STERN_BEAM[form])
    power = np.clip(fullness / max(1.0 - coefficients_of(dimensions).waterplane, 0.02) - 1.0, 1.1, 12.0)
    beams = half_beam * _swell(x / x[-1], widest, end=STERN_BEAM[form], power=float(power))
    deadrise_deg = _deadrise_for(dimensions, deadrise_deg)
    low, high = 1.05, 14.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        depths = dimensions.body_draft_m * _swell(x / x[-1], widest, end=STERN_DEPTH[form], power=middle)
        curves = section_curves(beams, depths, deadrise_deg)
        areas = 2.0 * np.trapezoid(curves[:, :, 0], curves[:, :, 1], axis=1)
        short = float(np.trapezoid(areas, x)) < dimensions.displaced_m3
        low, high = (middle, high) if short else (low, middle)
    return Lines(stations_m=x, points_m=_even(curves))


def _deadrise_for(dimensions: Dimensions, deadrise_deg: float) -> float:
    """The deadrise, or as much less as the midship coefficient asks for, degrees."""
    half_beam, draft = 0.5 * dimensions.waterline_beam_m, dimensions.body_draft_m
    low, high = 0.0, deadrise_deg
    for _ in range(20):
        middle = 0.5 * (low + high)
        y, z = section_curves(np.asarray([half_beam]), np.asarray([draft]), middle)[0].T
        too_slack = float(np.trapezoid(y, z)) < coefficients_of(dimensions).midship * half_beam * draft
        low, high = (low, middle) if too_slack else (middle, high)
    return high


def _swell(at: Array, widest: float, *, end: float, power: float) -> Array:
    """0 at the fore end, 1 where widest, `end` at the stern."""
    fore = np.clip((widest - at) / widest, 0.0, 1.0) ** power
    aft = np.clip((at - widest) / (1.0 - widest), 0.0, 1.0) ** power
    return np.asarray(1.0 - fore - (1.0 - end) * aft)


def _from_offsets(table: Offsets) -> Lines:
    rows = [section_at(table, row) for row in range(len(table.stations_m))]
    wet = [index for index, section in enumerate(rows) if section is not None]
    first, last = max(wet[0] - 1, 0), min(wet[-1] + 1, len(rows) - 1)
    curves = []
    for index in range(first, last + 1):
        section = rows[index]
        curve = _edge(table, index) if section is None else section.strings()
        curves.append(curve - np.array([0.0, table.draft_m]))
    known = np.asarray(table.stations_m[first : last + 1]) - table.stations_m[first]
    x = np.union1d(np.linspace(0.0, known[-1], KNOTS), known)
    even = PchipInterpolator(known, np.stack(curves), axis=0)(x)
    even[:, :, 0] = np.maximum(even[:, :, 0], 0.0)
    return Lines(stations_m=x, points_m=_even(even))


def _edge(table: Offsets, row: int) -> Array:
    """A station without breadth: a plumb stem where the table has zeros, else a point at the waterline."""
    known = [z for z, y in zip(table.waterlines_m, table.half_breadths_m[row], strict=True) if y is not None]
    low = min([z for z in known if z < table.draft_m], default=table.draft_m)
    return np.stack((np.zeros(97), np.linspace(low, table.draft_m, 97)), axis=1)


def section_curves(half_beam_m: Array, depth_m: Array, deadrise_deg: float) -> Array:
    """Half-sections as cubic curves from the centreline to the waterline, m; shape (station, point, 2).

    The bottom leaves the centreline at the deadrise, or steeper where the section is deep for its breadth, and meets
    the waterline upright; convex for any breadth and depth above 0. Source: ours.
    """
    b, t = np.maximum(half_beam_m, 1e-9), np.maximum(depth_m, 0.0)
    rise = np.minimum(np.maximum(0.2 * t / b, np.tan(np.radians(deadrise_deg))), 0.9 * t / b)
    nodes = np.zeros((len(b), 4, 2))
    nodes[:, 0, 1] = -t
    nodes[:, 1] = np.stack((0.55 * b, -t + 0.55 * b * rise), axis=1)
    nodes[:, 2] = np.stack((b, -np.minimum(0.5 * t, t - b * rise)), axis=1)
    nodes[:, 3, 0] = b
    s = np.linspace(0.0, 1.0, POINTS)
    weights = np.stack(((1 - s) ** 3, 3 * s * (1 - s) ** 2, 3 * s**2 * (1 - s), s**3), axis=1)
    return np.asarray(np.einsum("pk,nkc->npc", weights, nodes))


def _lengths(curves: Array) -> Array:
    return np.asarray(np.linalg.norm(np.diff(curves, axis=1), axis=2).sum(axis=1))


def _even(curves: Array) -> Array:
    """The same curves with points at equal shares of their length."""
    made = np.empty((len(curves), POINTS, 2))
    for row, curve in enumerate(curves):
        along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(curve, axis=0).T))))
        at = np.linspace(0.0, along[-1], POINTS)
        made[row] = np.stack([np.interp(at, along, curve[:, axis]) for axis in (0, 1)], axis=1)
    return made
