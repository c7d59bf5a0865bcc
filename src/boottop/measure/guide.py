"""Which girths to tape, where and in which order, and how sure the area is after each one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from scipy.interpolate import PchipInterpolator

from boottop.measure.girths import fill_ends, girth_area
from boottop.measure.inputs import Girth, Girths

FIRST = (0.25, 0.5, 0.75)
MOST = 15
SHORTEST_BAY_M = 0.5
LITTLE = 0.05
"""What is not worth the climb, as a share of the doubt: common practice, no source."""
USUAL_BEAM_SHARE, USUAL_DRAFT_SHARE = 0.30, 0.30
"""Waterline beam over waterline length, body draft over half that beam, of a cruiser: common practice, no source."""
USUAL_TRANSOM_SHARE = 0.35
"""Half-beam at the aft end of the waterline over the greatest: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Body:
    """What is known of a hull before it is taped; None takes the usual share."""

    waterline_length_m: float
    waterline_beam_m: float | None = None
    body_draft_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class Step:
    """One girth of the list: where to tape it, what is to be expected there, whether it was taped already, and the
    area's standard deviation once it is (None until three are taped)."""

    station_m: float
    half_girth_m: float
    half_beam_m: float | None
    taped: bool
    sd_m2: float | None


@dataclass(frozen=True, kw_only=True)
class Guide:
    """The list in the order of taping, the area now expected, and the part of its doubt that no more girths remove."""

    waterline_length_m: float
    steps: tuple[Step, ...]
    area_m2: float
    floor_sd_m2: float


def usual_girths(body: Body) -> Girths:
    """A usual cruising hull of that size, to plan by before the first girth is taped: sections are parabolas, finer
    forward, with an immersed counter. Source: ours; only the order of the stations and rough doubts rest on it."""
    length = body.waterline_length_m
    beam = 0.5 * (body.waterline_beam_m or USUAL_BEAM_SHARE * length)
    draft = body.body_draft_m or USUAL_DRAFT_SHARE * beam
    u = np.linspace(0.0, 1.0, 41)
    fore, aft = np.maximum(1.0 - u / 0.55, 0.0), np.maximum((u - 0.55) / 0.45, 0.0)
    half_beam = beam * (1.0 - fore**2.0 - (1.0 - USUAL_TRANSOM_SHARE) * aft**2.0)
    depth = draft * (1.0 - fore**2.2 - 0.85 * aft**1.8)
    girth = half_beam * (1.0 + 2.0 / 3.0 * (depth / np.maximum(half_beam, 1e-6)) ** 2)
    readings = tuple(
        Girth(station_m=float(x), half_girth_m=max(float(g), float(b)), half_beam_m=float(b))
        for x, g, b in zip(length * u, girth, half_beam, strict=True)
    )
    return Girths(waterline_length_m=length, readings=readings)


def tape_guide(shape: Girths, taped: Sequence[Girth] = (), *, most: int = 9) -> Guide:
    """The girths to tape, in order: those taped already, the quarters, both ends, then always the one that takes most
    off the doubt.

    `shape` says what girths to expect (a usual hull, or those taped already); `most` is the number of stations in all,
    at most 15. The standard deviations are those of `measure.girths.girth_area` with the girths to come as expected, so
    they are forecasts: a hull that turns out less smooth keeps more doubt. Bays under 0.5 m are not divided.
    """
    tape = _Tape(shape, taped)
    order = [reading.station_m for reading in taped]
    for share in (*FIRST, 0.0, 1.0):
        station = round(share * shape.waterline_length_m, 2)
        if len(order) < most and all(abs(station - x) > 0.5 * SHORTEST_BAY_M for x in order):
            order.append(station)
    while len(order) < min(most, MOST) and (best := tape.best_after(order)) is not None:
        order.append(best)
    whole = girth_area(tape.girths(order))
    return Guide(
        waterline_length_m=shape.waterline_length_m,
        steps=tuple(tape.step(order[: count + 1]) for count in range(len(order))),
        area_m2=whole.area_m2,
        floor_sd_m2=float(np.hypot(whole.scale_sd_m2, whole.spline_m2 * whole.obliquity_sd)),
    )


class _Tape:
    """The girths taped, and those to be expected where none was."""

    def __init__(self, shape: Girths, taped: Sequence[Girth]) -> None:
        self.shape = shape
        self.known = {reading.station_m: reading for reading in taped}
        full = fill_ends(shape)
        self.girth = PchipInterpolator(full.stations_m, full.half_girths_m)
        beams = full.half_beams_m
        self.beam = None if beams is None else PchipInterpolator(full.stations_m, beams)

    def at(self, station_m: float) -> Girth:
        """The girth taped there, or the one to be expected."""
        if station_m in self.known:
            return self.known[station_m]
        inside = min(max(station_m, 0.0), self.shape.waterline_length_m)
        girth = max(float(self.girth(inside)), 0.0)
        beam = None if self.beam is None else min(max(float(self.beam(inside)), 0.0), girth)
        return Girth(station_m=station_m, half_girth_m=girth, half_beam_m=beam)

    def girths(self, stations_m: Sequence[float]) -> Girths:
        return replace(self.shape, readings=tuple(self.at(station) for station in sorted(stations_m)))

    def sd_m2(self, stations_m: Sequence[float]) -> float | None:
        return girth_area(self.girths(stations_m)).sd_m2 if len(stations_m) >= 3 else None

    def step(self, stations_m: Sequence[float]) -> Step:
        """What the last of these stations gives."""
        reading = self.at(stations_m[-1])
        return Step(
            station_m=reading.station_m,
            half_girth_m=reading.half_girth_m,
            half_beam_m=reading.half_beam_m,
            taped=reading.station_m in self.known,
            sd_m2=self.sd_m2(stations_m),
        )

    def best_after(self, stations_m: Sequence[float]) -> float | None:
        """The middle of the bay whose halving leaves the least doubt; None where all bays are short."""
        ends = sorted({0.0, *stations_m, self.shape.waterline_length_m})
        middles = [round(0.5 * (a + b), 2) for a, b in pairwise(ends) if b - a >= 2.0 * SHORTEST_BAY_M]
        if not middles:
            return None
        return min(middles, key=lambda middle: self.sd_m2([*stations_m, middle]) or np.inf)


def worth(guide: Guide, *, m2_per_kit: float | None = None) -> str:
    """One sentence: what the girths still to tape take off the doubt, in square metres and in kits.

    `m2_per_kit`: area that one kit covers with all its coats.
    """
    to_come = [step for step in guide.steps if not step.taped]
    known = [step.sd_m2 for step in guide.steps if step.taped and step.sd_m2 is not None]
    sds = [step.sd_m2 for step in guide.steps if step.sd_m2 is not None]
    if not to_come or not sds:
        return f"Taped enough: give or take {sds[-1]:.2f} m2." if sds else "Tape three girths at least."
    before, after = known[-1] if known else sds[0], sds[-1]
    count = len(to_come) if known else len(guide.steps) - len(FIRST)
    if count < 1:
        return f"The first three girths leave a doubt of {after:.2f} m2."
    share = 1.0 - after / before
    much = "halve" if 0.4 <= share <= 0.6 else f"take {100.0 * share:.0f} % off"
    kits = "" if m2_per_kit is None else f", or {(before - after) / m2_per_kit:.1f} kits less to allow for"
    where = _where([step.station_m / guide.waterline_length_m for step in to_come[-count:]])
    girths = "One more girth" if count == 1 else f"{count} more girths"
    if share < LITTLE:
        return (
            f"Taped enough: give or take {before:.2f} m2; {girths.lower()}{where} would take {100.0 * share:.0f} % off."
        )
    return f"{girths}{where} would {much} the doubt: from {before:.2f} to {after:.2f} m2{kits}."


def _where(shares: Sequence[float]) -> str:
    if all(share > 0.6 for share in shares):
        return " aft"
    return " forward" if all(share < 0.4 for share in shares) else ""
