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
from boottop.plan.checker_order import own_job_faults, preparation_faults
from boottop.plan.checker_past import learned, lies_ahead, past_faults, spoilt_faults, touched
from boottop.plan.checker_people import crew_faults, money_faults, yard_faults
from boottop.plan.inputs import PlanInput
from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.progress import Progress
from boottop.plan.tasks import TASK_KINDS

COATING_KINDS = {"primer_coat": "primer", "barrier_coat": "barrier", "coat": "antifouling"}
METALS = {"steel", "cast_iron", "aluminium", "lead", "bronze", "stainless"}
ACTIVATION_HOLDS_H = 48.0
"""How long bare copper may wait for the water where the sheet is silent (common practice, no source)."""
ROUNDING_K, ROUNDING_RH = 0.3, 0.01
"""Humidity and temperature formulas of two rooms differ by this much at most near the limits."""


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """All that the checker reads. `tent_climate` only where a tent was on offer; `roofed`: she stands in a shed.
    `progress`: what was done when the plan was made."""

    plan: Plan
    inputs: PlanInput
    hull: Hull
    weather: Weather
    climate: Climate
    tent_climate: Climate | None = None
    roofed: bool = False
    progress: Progress | None = None

    def ahead(self, task: PlannedTask) -> bool:
        """The task is still to come; what is done or in hand is a fact, not a choice of the plan."""
        return lies_ahead(self.progress, task)

    @property
    def sky(self) -> Sky:
        return Sky(weather=self.weather, caution=self.inputs.wishes.caution)

    def zone(self, name: str) -> Zone:
        return next(zone for zone in self.hull.zones if zone.name == name)

    def _around(self, task: PlannedTask) -> Climate:
        return self.tent_climate if task.under_tent and self.tent_climate is not None else self.climate

    def air(self, task: PlannedTask, when: datetime) -> tuple[float, float]:
        """Temperature in degC and relative humidity, a fraction, of the air at a task: raw, or the tent's own."""
        if not task.under_tent or self.tent_climate is None:
            return self.sky.air_c(when), self.sky.humidity(when)
        slot = self.tent_climate.grid.mark_at_or_before(when)
        slot = min(max(slot, 0), self.tent_climate.grid.count - 1)
        return float(self.tent_climate.air_c[0, slot]), float(self.tent_climate.rh[slot])

    def rained_on(self, task: PlannedTask, when: datetime) -> bool:
        """Rain falls on work that rain stops, in the quarter of an hour around a time."""
        hire = self.inputs.hire
        if self.roofed or self._rain_is_nothing_to(task):
            return False
        if "tent" in self.plan.options and hire.tent_from is not None and hire.tent_to is not None \
                and hire.tent_from <= when < hire.tent_to:  # fmt: skip
            return False
        return self.sky.rain_mm(when - QUARTER / 2, when + QUARTER / 2) > 0.0

    def _rain_is_nothing_to(self, task: PlannedTask) -> bool:
        if task.kind != "extra":
            return TASK_KINDS[task.kind].weather == "nothing"
        return not any(job.dry_weather and task.key == f"extra/{job.name}" for job in self.inputs.extra_jobs)

    def skin(self, task: PlannedTask) -> Skin:
        """The surface the task is done on, in the open or under the tent."""
        climate = self._around(task)
        rows = tuple(row for row, (zone, _) in enumerate(climate.patches) if zone == task.zone)
        return Skin(climate=climate, rows=rows)

    def system(self, task: PlannedTask) -> System:
        return next(system for system in self.inputs.systems if system.sheet.name == task.product)

    def coats(self, zone: str | None = None) -> list[PlannedTask]:
        """Coats in the order of their start, of one zone or all."""
        every = sorted(self.plan.tasks, key=lambda task: task.start)
        return [task for task in every if task.kind in COATING_KINDS and (zone is None or task.zone == zone)]

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
    for task in filter(evidence.ahead, evidence.plan.tasks):
        if not (evidence.sky.knows(task.start) and evidence.sky.knows(task.end)):
            yield f"{task.key}: {task.start:%Y-%m-%d %H:%M} UTC lies outside the weather file"


def _coats_complete(evidence: Evidence) -> Iterator[str]:
    for zone in evidence.hull.zones:
        if not zone.coated:
            continue
        for system in evidence.inputs.systems:
            if not _covers(system, zone):
                continue
            coats = [task for task in evidence.coats(zone.name) if task.product == system.sheet.name]
            behind = sorted(task.coat or 0 for task in coats if not evidence.ahead(task))
            done = [*behind, *(task.coat for task in coats if evidence.ahead(task))]
            if done != list(range(1, system.coats + 1)):
                yield f"{zone.name}: coats of {system.sheet.name} are {done}, wanted 1 to {system.coats} in order"


def _covers(system: System, zone: Zone) -> bool:
    """Named zones as named; without names every zone, a primer only the metal running gear."""
    if system.zones:
        return zone.name in system.zones
    return system.role != "primer" or (zone.kind == "gear" and zone.substrate in METALS)


def _tent_hired(evidence: Evidence) -> Iterator[str]:
    hire, hired = evidence.inputs.hire, "tent" in evidence.plan.options
    for task in evidence.plan.tasks:
        if not task.under_tent or not evidence.ahead(task):
            continue
        if not hired or hire.tent_from is None or hire.tent_to is None:
            yield f"{task.key}: under a tent that is not hired"
        elif task.start < hire.tent_from or (task.kind in COATING_KINDS and task.end > hire.tent_to):
            yield f"{task.key}: outside the hire of the tent, {hire.tent_from:%d %b} to {hire.tent_to:%d %b %H:%M} UTC"


def _rain_kept_off(evidence: Evidence) -> Iterator[str]:
    for task in filter(evidence.ahead, evidence.coats()):
        if task.under_tent or evidence.roofed:
            continue
        skin, times = evidence.skin(task), evidence.system(task).sheet.rain_safe
        safe = _last(clock(times, skin, row=row, finished=task.end) for row in skin.rows)
        until = safe or evidence.climate.grid.end
        if (rain_mm := evidence.sky.rain_mm(task.start, until)) > 1e-6:
            yield f"{task.key}: {rain_mm:.2f} mm of rain between its start and the film being rain-safe"


def _limits_kept(evidence: Evidence) -> Iterator[str]:
    for task in filter(evidence.ahead, evidence.coats()):
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
            air, humidity = evidence.air(task, when)
            if not limits.air_min_c - ROUNDING_K <= air <= limits.air_max_c + ROUNDING_K:
                yield f"{task.key}: air {air:.1f} degC, limits {limits.air_min_c:g} to {limits.air_max_c:g} degC"
            if humidity > limits.humidity_max + ROUNDING_RH:
                yield f"{task.key}: humidity {humidity:.0%}, limit {limits.humidity_max:.0%}"


def _overcoating(evidence: Evidence) -> Iterator[str]:
    for zone in evidence.hull.zones:
        coats = evidence.coats(zone.name)
        for before, after in pairwise(coats):
            if not evidence.ahead(after):
                continue
            sheet, skin = evidence.system(before).sheet, evidence.skin(before)
            ready, late = (
                [learned(clock(times, skin, row=row, finished=before.end), before, evidence.progress)
                 for row in skin.rows]
                for times in (sheet.tacky, sheet.overcoat_max)
            )  # fmt: skip
            ends = [reached.when for reached in late if reached.printed and reached.when is not None]
            earliest, ends = touched(before, evidence.progress, _last(iter(ready)), ends=ends)
            if earliest is None or after.start < earliest - QUARTER:
                yield f"{after.key}: starts at {after.start:%d %b %H:%M} UTC, before coat {before.coat} is tacky"
            sanded = _sanded(evidence, before, after)
            yield from spoilt_faults(before, after, progress=evidence.progress, sanded=sanded)
            if ends and after.start > min(ends) + QUARTER and not sanded:
                yield f"{after.key}: starts at {after.start:%d %b %H:%M} UTC, past the longest overcoat of coat " \
                    f"{before.coat} ({min(ends):%d %b %H:%M} UTC)"  # fmt: skip


def _sanded(evidence: Evidence, before: PlannedTask, after: PlannedTask) -> bool:
    """The zone is abraded between two coats."""
    return any(
        task.zone == before.zone and before.end <= task.start and task.end <= after.start
        for task in evidence.all_of("abrade")
    )


def _cured(evidence: Evidence) -> Iterator[str]:
    launch, moves = ([*filter(evidence.ahead, evidence.all_of(kind))] for kind in ("launch", "move_stands"))
    for task in evidence.coats():
        sheet = evidence.system(task).sheet
        for after in launch:
            yield from _cure_fault(evidence, (task, after), times=sheet.immersion, state="may be launched")
        if evidence.zone(str(task.zone)).kind in {"side", "named"}:
            for after in (*moves, *launch):
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
            coats = _unbound(evidence, coats)
            days = {task.start.astimezone(zone_info).date() for task in coats}
            days |= {(task.end - timedelta(seconds=1)).astimezone(zone_info).date() for task in coats}
            if system.sheet.one_day and len(days) > 1:
                yield f"{zone.name}: coats of {system.sheet.name} fall on {len(days)} days, the sheet wants one"


def _unbound(evidence: Evidence, coats: list[PlannedTask]) -> list[PlannedTask]:
    """Coats whose day the plan was free to choose: none of a film that was begun before and goes on unsanded."""
    first = next((place for place, task in enumerate(coats) if evidence.ahead(task)), len(coats))
    while 0 < first < len(coats) and not _sanded(evidence, coats[first - 1], coats[first]):
        first += 1
    return coats[first:]


def _activated(evidence: Evidence) -> Iterator[str]:
    launch = evidence.plan.launch
    wanted = {
        s.sheet.name: s.sheet.activation_before_launch_h or ACTIVATION_HOLDS_H
        for s in evidence.inputs.systems
        if s.sheet.activation_grit
    }
    limit_h = min(wanted.values(), default=None)
    for task in evidence.all_of("activate"):
        if launch is not None and limit_h is not None and (launch - task.end) / timedelta(hours=1) > limit_h + 0.25:
            yield f"{task.key}: ends more than {limit_h:g} h before the launch"
    for zone in evidence.hull.zones:
        coats = evidence.coats(zone.name)
        if not coats or coats[-1].product not in wanted:
            continue
        sanded = [task for task in evidence.all_of("activate") if task.zone == zone.name]
        if not any(task.start >= coats[-1].end for task in sanded):
            yield f"{zone.name}: the copper is never laid bare after {coats[-1].key} and before the launch"


def _last(reached: Iterator[Reached]) -> datetime | None:
    whens = [one.when for one in reached]
    return None if None in whens else max(when for when in whens if when is not None)


RULES: Mapping[str, Callable[[Evidence], Iterator[str]]] = {
    "every task lies inside the known weather": _weather_known,
    "every zone has all its coats, in order": _coats_complete,
    "no raw rain from the start of a coat until it is rain-safe": _rain_kept_off,
    "under the tent only while it is hired": _tent_hired,
    "surface, air, humidity and dew margin within the sheet in every quarter of an hour of a coat": _limits_kept,
    "each coat after the last is tacky and before its longest overcoat": _overcoating,
    "stands moved and boat launched only onto cured film": _cured,
    "pad spots only after the stands have moved": _pads_after_stands,
    "all coats of a zone in one day where the sheet says so": _one_day,
    "copper laid bare, and not too long before the launch": _activated,
    "hands, hours and the time the work takes": lambda evidence: crew_faults(
        evidence.plan, evidence.inputs, evidence.hull, rained_on=evidence.rained_on, ahead=evidence.ahead
    ),
    "washed, stripped, dried, abraded, masked and wiped before the first coat": lambda evidence: preparation_faults(
        evidence.plan, evidence.inputs, evidence.hull, ahead=evidence.ahead
    ),
    "the owner's own jobs, in full and in their order": lambda evidence: own_job_faults(
        evidence.plan, evidence.inputs, rained_on=evidence.rained_on, ahead=evidence.ahead
    ),
    "yard hours, crane slots, and haul-out first, launch last": lambda evidence: yard_faults(
        evidence.plan, evidence.inputs, ahead=evidence.ahead
    ),
    "what was done stands as it was written down, and nothing else lies behind": lambda evidence: past_faults(
        evidence.plan, evidence.progress
    ),
    "the bill adds up": lambda evidence: money_faults(evidence.plan, evidence.inputs),
}
