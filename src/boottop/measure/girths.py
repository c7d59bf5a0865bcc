"""From half-girths taped at stations to the wetted area of both sides, and how far it can be trusted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from boottop.measure.inputs import Girths
from boottop.measure.rules import even_spacing, simpson_even, spline_integral, spline_or_trapezoid, trapezoid

Array = NDArray[np.float64]

SCALE_SD = 0.01
"""Error shared by all girths of one boat (slack tape, waterline struck too high or low): common practice, no source."""
TYPICAL_OBLIQUITY = 1.012
TYPICAL_OBLIQUITY_SD = 0.008
"""True area over girth area where no half-beams were taped: mean and scatter of our own random small-craft shapes
(tests/measure/shapes.py), no published source; textbooks say up to a few per cent for full sterns (from memory)."""
OBLIQUITY_SHARE_SD = 0.2
"""Doubt of the worked-out correction as a share of itself: ours, twice the error on V to U sections."""
TRANSOM_SD = 0.25
"""Relative doubt of a transom face worked out from its half-beam and half-girth only: ours (triangle to box)."""
END_SHARE_SD = 0.25
"""Doubt of a missing end as a share of end bay times nearest girth: zero girth leaves out 0 to 1/2 of it (ours)."""
TRAPEZOID_SHARE = 0.15
LEFT_OUT_SHARE = 0.25
"""Error of the spline as a share of what it adds to the trapezoid, and of the largest change when one station is left
out: fitted to our own random small-craft shapes so that 1 sd holds 68 % and 2 sd 95 % of them (no published source)."""


@dataclass(frozen=True, kw_only=True)
class GirthArea:
    """Wetted area of both sides from half-girths, m2, with its parts and the parts of its doubt (standard deviations).

    `simpson_m2` is None where the stations are not evenly spaced; `simpson_m2` and `spline_m2` are before the
    obliquity correction. `area_m2` = `spline_m2` * `obliquity_factor` + both `end_faces_m2` (fore, aft).
    Waterplane, draft and volume are those of the parabolic sections, for plausibility only.
    """

    area_m2: float
    sd_m2: float
    spline_m2: float
    simpson_m2: float | None
    obliquity_factor: float
    obliquity_sd: float
    end_faces_m2: tuple[float, float]
    tape_sd_m2: float
    scale_sd_m2: float
    sampling_sd_m2: float
    ends_sd_m2: float
    waterplane_m2: float | None
    draft_m: float | None
    volume_m3: float | None
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Taped:
    """Readings with the two ends filled in; `half_beams_m` is None unless enough of them were taped."""

    stations_m: Array
    half_girths_m: Array
    half_beams_m: Array | None
    taped: NDArray[np.bool_]
    notes: tuple[str, ...]


def girth_area(girths: Girths) -> GirthArea:
    """Wetted area of both sides, m2, from half-girths at stations, both Simpson and spline, corrected for obliquity.

    Ends: where no girth was taped at station 0 or at the aft end of the waterline, it is taken as zero there (a
    raked stem, a counter). A girth taped at an end counts as measured, and with its half-beam the flat face behind
    it (a transom, a pram bow) is added, as the segment of a parabola.

    Doubt: every reading by `tape_sd_m` through its own weight in the spline rule; `SCALE_SD` shared by all; too
    few stations by `sampling_sd`; a missing end by `END_SHARE_SD`; obliquity by its own scatter. Valid for smooth
    hulls with three girths or more.

    Sources: Simpson's first rule as in Basak, Surveying and Levelling, p. 216 (read); obliquity: the surface
    integral of the hull whose sections are parabolas of the taped half-beam and half-girth (ours; exact for the
    Wigley hull); the sizes of the doubts: common practice, no source.
    """
    taped = fill_ends(girths)
    x, g = taped.stations_m, taped.half_girths_m
    spline = 2.0 * spline_integral(x, g)
    simpson = 2.0 * simpson_even(x, g) if even_spacing(x) else None
    form = _form(x, g, taped.half_beams_m)
    body = spline * form.factor
    parts = (
        2.0 * girths.tape_sd_m * float(np.linalg.norm(_weights(x)[taped.taped])) * form.factor,
        SCALE_SD * body,
        sampling_sd(x, g) * form.factor,
        _ends_sd(taped) * form.factor,
        spline * form.factor_sd,
        TRANSOM_SD * sum(form.end_faces_m2),
    )
    return GirthArea(
        area_m2=body + sum(form.end_faces_m2),
        sd_m2=float(np.linalg.norm(parts)),
        spline_m2=spline,
        simpson_m2=simpson,
        obliquity_factor=form.factor,
        obliquity_sd=form.factor_sd,
        end_faces_m2=form.end_faces_m2,
        tape_sd_m2=parts[0],
        scale_sd_m2=parts[1],
        sampling_sd_m2=parts[2],
        ends_sd_m2=parts[3],
        waterplane_m2=form.waterplane_m2,
        draft_m=form.draft_m,
        volume_m3=form.volume_m3,
        notes=taped.notes + _rule_notes(x, simpson) + form.notes,
    )


def fill_ends(girths: Girths) -> Taped:
    """Stations from 0 to the waterline length, with zero girth where an end was not taped, and a note for each."""
    readings = girths.readings
    x = [r.station_m for r in readings]
    g = [r.half_girth_m for r in readings]
    b: list[float | None] = [r.half_beam_m for r in readings]
    length, notes, real = girths.waterline_length_m, [], [True] * len(x)
    slack = 0.002 * length
    if x[0] > slack:
        x, g, b, real = [0.0, *x], [0.0, *g], [0.0, *b], [False, *real]
        notes.append("No girth at the fore end of the waterline: taken as zero (raked stem). A plumb stem has one.")
    if x[-1] < length - slack:
        x, g, b, real = [*x, length], [*g, 0.0], [*b, 0.0], [*real, False]
        notes.append("No girth at the aft end of the waterline: taken as zero. Tape the transom if it is immersed.")
    stations = np.asarray(x, dtype=np.float64)
    half_girths = np.asarray(g, dtype=np.float64)
    beams, beam_notes = _beams(stations, b)
    return Taped(
        stations_m=stations,
        half_girths_m=half_girths,
        half_beams_m=None if beams is None else np.minimum(beams, half_girths),
        taped=np.asarray(real),
        notes=(*notes, *beam_notes),
    )


def _beams(x: Array, given: list[float | None]) -> tuple[Array | None, tuple[str, ...]]:
    known = np.asarray([value is not None for value in given])
    values = np.asarray([np.nan if value is None else value for value in given], dtype=np.float64)
    if known.all():
        return values, ()
    if known.sum() < max(4, 0.6 * len(given)):
        return None, (
            f"Half-beams at too few stations: the usual correction for obliquity, {TYPICAL_OBLIQUITY:.3f} +- "
            f"{TYPICAL_OBLIQUITY_SD:.3f}, was used. Tape the half-beam at the waterline with every girth.",
        )
    filled = np.where(known, values, CubicSpline(x[known], values[known])(x))
    missing = ", ".join(f"{station:.2f} m" for station in x[~known])
    return np.maximum(filled, 0.0), (f"Half-beam at {missing} interpolated from the others.",)


def _weights(x: Array) -> Array:
    """Weight of every reading in the spline rule, m (the rule is linear)."""
    return np.asarray([spline_integral(x, unit) for unit in np.eye(len(x))])


def sampling_sd(x: Array, g: Array) -> float:
    """Doubt of the area of both sides from too few stations, m2 (one standard deviation).

    The larger of `TRAPEZOID_SHARE` times the difference between spline and trapezoid, and `LEFT_OUT_SHARE` times the
    largest change when one inner station is left out. Valid for smooth hulls; source: ours (coverage is tested).
    """
    spline = spline_integral(x, g)
    changes = [abs(spline_or_trapezoid(np.delete(x, i), np.delete(g, i)) - spline) for i in range(1, len(x) - 1)]
    return 2.0 * max(TRAPEZOID_SHARE * abs(spline - trapezoid(x, g)), LEFT_OUT_SHARE * max(changes))


def _ends_sd(taped: Taped) -> float:
    x, g = taped.stations_m, taped.half_girths_m
    fore = 0.0 if taped.taped[0] else (x[1] - x[0]) * g[1]
    aft = 0.0 if taped.taped[-1] else (x[-1] - x[-2]) * g[-2]
    return 2.0 * END_SHARE_SD * float(np.hypot(fore, aft))


def _rule_notes(x: Array, simpson: float | None) -> tuple[str, ...]:
    if simpson is None:
        return ("Stations are not evenly spaced: Simpson's rule left out, the spline alone was used.",)
    if len(x) % 2 == 0:
        return ("Even number of stations: Simpson's rule with a trapezoid on the last bay.",)
    return ()


@dataclass(frozen=True, kw_only=True)
class _Form:
    factor: float
    factor_sd: float
    end_faces_m2: tuple[float, float]
    waterplane_m2: float | None
    draft_m: float | None
    volume_m3: float | None
    notes: tuple[str, ...]


def _form(x: Array, g: Array, b: Array | None) -> _Form:
    """What the half-beams add: obliquity, end faces, waterplane, and an inferred draft and volume."""
    if b is None:
        return _Form(
            factor=TYPICAL_OBLIQUITY,
            factor_sd=TYPICAL_OBLIQUITY_SD,
            end_faces_m2=(0.0, 0.0),
            waterplane_m2=None,
            draft_m=None,
            volume_m3=None,
            notes=("A transom face under the waterline is not in the area: tape its half-beam to have it added.",),
        )
    depth = parabola_depth(b, g)
    factor = obliquity_factor(x, b, depth)
    faces = (float(4.0 / 3.0 * b[0] * depth[0]), float(4.0 / 3.0 * b[-1] * depth[-1]))
    notes = (f"End faces (transom, pram bow) of {sum(faces):.2f} m2 added from half-beam and half-girth.",)
    return _Form(
        factor=factor,
        factor_sd=OBLIQUITY_SHARE_SD * (factor - 1.0),
        end_faces_m2=faces,
        waterplane_m2=2.0 * spline_integral(x, b),
        draft_m=float(depth.max()),
        volume_m3=4.0 / 3.0 * spline_integral(x, b * depth),
        notes=notes if sum(faces) > 0.005 else (),
    )


def parabola_depth(half_beam_m: Array, half_girth_m: Array) -> Array:
    """Depth of the parabola y = b (1 - (z/t)^2) whose length from waterline to centreline is the half-girth, m.

    Length = 1/2 sqrt(t^2 + 4 b^2) + t^2/(4 b) asinh(2 b/t) (closed form); solved by bisection. Needs girth >= beam.

    >>> round(float(parabola_depth(np.array([1.0]), np.array([1.4789]))[0]), 3)
    1.0
    """
    low, high = np.zeros_like(half_girth_m), np.array(half_girth_m, dtype=np.float64)
    for _ in range(60):
        middle = 0.5 * (low + high)
        short = _parabola_length(half_beam_m, middle) < half_girth_m
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.asarray(0.5 * (low + high), dtype=np.float64)


def _parabola_length(b: Array, t: Array) -> Array:
    safe_b, safe_t = np.maximum(b, 1e-9), np.maximum(t, 1e-12)
    return np.asarray(0.5 * np.hypot(t, 2 * b) + t**2 / (4 * safe_b) * np.arcsinh(2 * safe_b / safe_t))


_GAUSS_S, _GAUSS_W = np.polynomial.legendre.leggauss(16)


def obliquity_factor(stations_m: Array, half_beams_m: Array, depths_m: Array) -> float:
    """Surface integral over girth integral of the hull with parabolic sections through the stations, dimensionless.

    With s = z/t: area = int int sqrt(t^2 + (2 b s)^2 + (t y_x)^2) ds dx, t y_x = t b' (1-s^2) + 2 b s^2 t';
    the girth integral drops y_x. Valid for smooth hulls; the slopes b' and t' come from cubic splines.
    Source: ours, from the definition of surface area.
    """
    x = np.linspace(stations_m[0], stations_m[-1], 801)
    b, t = CubicSpline(stations_m, half_beams_m), CubicSpline(stations_m, depths_m)
    s = 0.5 * (_GAUSS_S[:, None] + 1.0)
    beam, depth = np.maximum(b(x), 0.0), np.maximum(t(x), 0.0)
    flat = depth**2 + (2 * beam * s) ** 2
    lean = depth * b(x, 1) * (1 - s**2) + 2 * beam * s**2 * t(x, 1)
    weights = _GAUSS_W[:, None] * np.gradient(x)
    return float(np.sum(weights * np.sqrt(flat + lean**2)) / np.sum(weights * np.sqrt(flat)))
