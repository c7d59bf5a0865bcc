"""The checker: reads a finished plan again from the raw weather and the printed sheet.

It shares no code with windows, rules or model, and none of their short cuts: plain loops over quarters of an hour. It
checks what must hold on the central reading of every doubtful input; the plan itself keeps the cautious edge, so a
sound plan passes with room to spare. What it cannot read (drying of the film, surface wetness) it does not claim.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from boottop.climate.climate import Climate
from boottop.climate.weather import Weather
from boottop.coating.sheet import System, Times
from boottop.measure.hull import Hull, Zone
from boottop.plan.checker_facts import QUARTER, Reached, Skin, Sky, clock, quarters
from boottop.plan.checker_people import crew_faults, money_faults, yard_faults
from boottop.plan.inputs import PlanInput
from boottop.plan.plan import Plan, PlannedTask

COATING_KINDS = {"primer_coat": "primer", "barrier_coat": "barrier", "coat": "antifouling"}
ROUNDING_K, ROUNDING_RH = 0.3, 0.01
"""Humidity and temperature formulas of two rooms differ by this much at most near the limits."""


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """All that the checker reads. `tent_climate` only where a tent was on offer."""

    plan: Plan
    inputs: PlanInput
    hull: Hull
    weather: Weather
    climate: Climate
    tent_climate: Climate | None = None

    @property
    def sky(self) -> Sky:
        return Sky(weather=self.weather)

    def zone(self, name: str) -> Zone:
        return next(zone for zone in self.hull.zones if zone.name == name)

    def skin(self, task: PlannedTask) -> Skin:
        """The surface the task is done on, in the open or under the tent."""
        climate = self.tent_climate if task.under_tent and self.tent_climate is not None else self.climate
        rows = tuple(row for row, (zone, _) in enumerate(climate.patches) if zone == task.zone)
        return Skin(climate=climate, rows=rows)

    def system(self, task: PlannedTask) -> System:
        return next(system for system in self.inputs.systems if system.sheet.name == task.product)

    def coats(self, zone: str | None = None) -> list[PlannedTask]:
        """Coats in the order of their start, of one zone or all."""
        return [task for task in self.plan.tasks if task.kind in COATING_KINDS and (zone is None or task.zone == zone)]

    def all_of(self, kind: str) -> list[PlannedTask]:
        return [task for task in self.plan.tasks if task.kind == kind]


@dataclass(frozen=True, kw_only=True)
class CheckReport:
    """What was gone through, in words, and every fault found."""

    checked: tuple[str, ...]
    faults: tuple[str, ...]


def check_plan(evidence: Evidence) -> CheckReport:
    """Go through every rule; faults name task, limit and value. A plan without tasks has nothing to check."""
    if not evidence.plan.tasks:
        return CheckReport(checked=(), faults=())
    faults = [fault for rule in RULES.values() for fault in rule(evidence)]
    return CheckReport(checked=tuple(RULES), faults=tuple(faults))


def _weather_known(evidence: Evidence) -> Iterator[str]:
    for task in evidence.plan.tasks:
        if not (evidence.sky.knows(task.start) and evidence.sky.knows(task.end)):
            yield f"{task.key}: {task.start:%Y-%m-%d %H:%M} UTC lies outside the weather file"


def _coats_complete(evidence: Evidence) -> Iterator[str]:
    for zone in evidence.hull.zones:
        if not zone.coated:
            continue
        for system in evidence.inputs.systems:
            if system.zones and zone.name not in system.zones:
                continue
            done = [task.coat for task in evidence.coats(zone.name) if task.product == system.sheet.name]
            if done != list(range(1, system.coats + 1)):
                yield f"{zone.name}: coats of {system.sheet.name} are {done}, wanted 1 to {system.coats} in order"


def _rain_kept_off(evidence: Evidence) -> Iterator[str]:
    for task in evidence.coats():
        if task.under_tent:
            continue
        skin, times = evidence.skin(task), evidence.system(task).sheet.rain_safe
        safe = _last(clock(times, skin, row=row, finished=task.end) for row in skin.rows)
        until = safe or evidence.climate.grid.end
        if (rain_mm := evidence.sky.rain_mm(task.start, until)) > 1e-6:
            yield f"{task.key}: {rain_mm:.2f} mm of rain between its start and the film being rain-safe"


def _limits_kept(evidence: Evidence) -> Iterator[str]:
    for task in evidence.coats():
        limits = evidence.system(task).sheet.limits
        skin = evidence.skin(task)
        for when in quarters(task.start, task.end):
            surfaces = [skin.surface_c(row, when) for row in skin.rows]
            low, high = min(surfaces), max(surfaces)
            if low < limits.surface_min_c - ROUNDING_K or high > limits.surface_max_c + ROUNDING_K:
                yield f"{task.key}: surface {low:.1f} to {high:.1f} degC, limits {limits.surface_min_c:g} to " \
                    f"{limits.surface_max_c:g} degC"  # fmt: skip
            if low - evidence.sky.dew_c(when) < limits.dew_margin_k - ROUNDING_K:
                yield f"{task.key}: {low - evidence.sky.dew_c(when):.1f} K above the dew point at {when:%d %b %H:%M} " \
                    f"UTC, limit {limits.dew_margin_k:g} K"  # fmt: skip
            air = evidence.sky.air_c(when)
            if not limits.air_min_c - ROUNDING_K <= air <= limits.air_max_c + ROUNDING_K:
                yield f"{task.key}: air {air:.1f} degC, limits {limits.air_min_c:g} to {limits.air_max_c:g} degC"
            if evidence.sky.humidity(when) > limits.humidity_max + ROUNDING_RH:
                yield f"{task.key}: humidity {evidence.sky.humidity(when):.0%}, limit {limits.humidity_max:.0%}"


def _overcoating(evidence: Evidence) -> Iterator[str]:
    for zone in evidence.hull.zones:
        coats = evidence.coats(zone.name)
        for before, after in pairwise(coats):
            if before.product != after.product:
                continue
            sheet, skin = evidence.system(before).sheet, evidence.skin(before)
            ready = [clock(sheet.tacky, skin, row=row, finished=before.end) for row in skin.rows]
            late = [clock(sheet.overcoat_max, skin, row=row, finished=before.end) for row in skin.rows]
            if (earliest := _last(iter(ready))) is None or after.start < earliest - QUARTER:
                yield f"{after.key}: starts at {after.start:%d %b %H:%M} UTC, before coat {before.coat} is tacky"
            ends = [reached.when for reached in late if reached.printed and reached.when is not None]
            if ends and after.start > min(ends) + QUARTER:
                yield f"{after.key}: starts at {after.start:%d %b %H:%M} UTC, past the longest overcoat of coat " \
                    f"{before.coat} ({min(ends):%d %b %H:%M} UTC)"  # fmt: skip


def _cured(evidence: Evidence) -> Iterator[str]:
    launch = evidence.all_of("launch")
    moves = evidence.all_of("move_stands")
    for task in evidence.coats():
        sheet = evidence.system(task).sheet
        for after in launch:
            yield from _cure_fault(evidence, (task, after), times=sheet.immersion, state="may be launched")
        if evidence.zone(str(task.zone)).kind in {"side", "named"}:
            for after in moves:
                yield from _cure_fault(evidence, (task, after), times=sheet.stands_safe, state="may carry a stand")


def _cure_fault(
    evidence: Evidence, pair: tuple[PlannedTask, PlannedTask], *, times: Times, state: str
) -> Iterator[str]:
    task, after = pair
    skin = evidence.skin(task)
    reached = _last(clock(times, skin, row=row, finished=task.end) for row in skin.rows)
    if reached is None or after.start < reached - QUARTER:
        shown = "the weather file ends first" if reached is None else f"{reached:%d %b %H:%M} UTC"
        yield f"{after.key}: starts before {task.key} {state} ({shown})"


def _pads_after_stands(evidence: Evidence) -> Iterator[str]:
    moves = evidence.all_of("move_stands")
    pads = {zone.name for zone in evidence.hull.zones if zone.kind == "pads"}
    for task in evidence.plan.tasks:
        if task.zone in pads and not any(move.end <= task.start for move in moves):
            yield f"{task.key}: before the stands were moved off {task.zone}"


def _one_day(evidence: Evidence) -> Iterator[str]:
    zone_info = ZoneInfo(evidence.inputs.yard.zone_name)
    for zone in evidence.hull.zones:
        for system in evidence.inputs.systems:
            coats = [task for task in evidence.coats(zone.name) if task.product == system.sheet.name]
            days = {task.start.astimezone(zone_info).date() for task in coats}
            days |= {(task.end - timedelta(seconds=1)).astimezone(zone_info).date() for task in coats}
            if system.sheet.one_day and len(days) > 1:
                yield f"{zone.name}: coats of {system.sheet.name} fall on {len(days)} days, the sheet wants one"


def _activated(evidence: Evidence) -> Iterator[str]:
    launch = evidence.plan.launch
    wanted = [s.sheet.activation_before_launch_h for s in evidence.inputs.systems if s.sheet.activation_grit]
    for task in evidence.all_of("activate"):
        limit_h = min((hours for hours in wanted if hours is not None), default=None)
        if launch is not None and limit_h is not None and (launch - task.end) / timedelta(hours=1) > limit_h + 0.25:
            yield f"{task.key}: ends more than {limit_h:g} h before the launch"
    if any(system.sheet.activation_grit for system in evidence.inputs.systems) and not evidence.all_of("activate"):
        yield "the copper is never laid bare: no task sands it before the launch"


def _last(reached: Iterator[Reached]) -> datetime | None:
    whens = [one.when for one in reached]
    return None if None in whens else max(when for when in whens if when is not None)


RULES: Mapping[str, Callable[[Evidence], Iterator[str]]] = {
    "every task lies inside the known weather": _weather_known,
    "every zone has all its coats, in order": _coats_complete,
    "no raw rain from the start of a coat until it is rain-safe": _rain_kept_off,
    "surface, air, humidity and dew margin within the sheet in every quarter of an hour of a coat": _limits_kept,
    "each coat after the last is tacky and before its longest overcoat": _overcoating,
    "stands moved and boat launched only onto cured film": _cured,
    "pad spots only after the stands have moved": _pads_after_stands,
    "all coats of a zone in one day where the sheet says so": _one_day,
    "copper laid bare, and not too long before the launch": _activated,
    "hands, hours and the time the work takes": lambda evidence: crew_faults(
        evidence.plan, evidence.inputs, evidence.hull
    ),
    "yard hours, crane slots, and haul-out first, launch last": lambda evidence: yard_faults(
        evidence.plan, evidence.inputs
    ),
    "the bill adds up": lambda evidence: money_faults(evidence.plan, evidence.inputs),
}
