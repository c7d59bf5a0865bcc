"""The checker's rules on people, yard and money, in plain loops over quarters of an hour."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from boottop.measure.hull import Hull
from boottop.plan.checker_facts import QUARTER, quarters
from boottop.plan.inputs import Hours, PlanInput
from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.tasks import TASK_KINDS


def _within(hours: tuple[Hours, ...], when: datetime) -> bool:
    for span in hours:
        closes = span.closes.hour * 60 + span.closes.minute or 24 * 60
        minute = when.hour * 60 + when.minute
        if span.weekday == when.weekday() and span.opens.hour * 60 + span.opens.minute <= minute < closes:
            return True
    return False


def crew_faults(plan: Plan, inputs: PlanInput, hull: Hull) -> Iterator[str]:
    """Nobody works outside the crew's hours, no more hands than there are, and no task is shorter than its work."""
    zone = ZoneInfo(inputs.yard.zone_name)
    hands = inputs.crew.people + (inputs.hire.helper_people if "helper" in plan.options else 0)
    at_work: dict[datetime, int] = {}
    for task in plan.tasks:
        if task.people == 0:
            continue
        pauses = TASK_KINDS[task.kind].pauses
        worked = 0
        for when in quarters(task.start, task.end):
            inside = _within(inputs.crew.hours, when.astimezone(zone))
            worked += inside
            if not inside and not pauses:
                yield f"{task.key}: at {when.astimezone(zone):%a %d %b %H:%M} outside the crew's hours"
            if inside:
                at_work[when] = at_work.get(when, 0) + task.people
        yield from _too_short(task, inputs, hull=hull, worked=worked)
    for when, people in sorted(at_work.items()):
        if people > hands:
            yield f"{people} people at work at {when.astimezone(zone):%a %d %b %H:%M}, there are {hands}"


def _too_short(task: PlannedTask, inputs: PlanInput, *, hull: Hull, worked: int) -> Iterator[str]:
    key = TASK_KINDS[task.kind].work_key
    area_m2 = sum(zone.area_m2 for zone in hull.zones if zone.name == task.zone)
    rate_m2_h = inputs.crew.rates_m2_h.get(key or "")
    if rate_m2_h is None or area_m2 == 0.0:
        return
    needed_h = area_m2 / (rate_m2_h * task.people)
    if worked / 4 < needed_h - 1e-6:
        yield f"{task.key}: {worked / 4:g} h of work for {area_m2:.1f} m2, {task.people} people need {needed_h:.2f} h"


def yard_faults(plan: Plan, inputs: PlanInput) -> Iterator[str]:
    """The yard's own tasks in the yard's hours, lifts at lift slots, everything else between haul-out and launch."""
    zone = ZoneInfo(inputs.yard.zone_name)
    for task in plan.tasks:
        if TASK_KINDS[task.kind].who == "yard":
            for when in quarters(task.start, task.end):
                local = when.astimezone(zone)
                if not _within(inputs.yard.hours, local) or local.date() in inputs.yard.closed:
                    yield f"{task.key}: at {local:%a %d %b %H:%M} the yard is shut"
        if task.kind in {"haul_out", "launch"} and task.start not in inputs.yard.lift_slots:
            yield f"{task.key}: {task.start.astimezone(zone):%a %d %b %H:%M} is no lift slot"
        if task.kind != "haul_out" and plan.haul_out is not None and task.start < plan.haul_out:
            yield f"{task.key}: before the haul-out"
        if task.kind != "launch" and plan.launch is not None and task.end > plan.launch:
            yield f"{task.key}: ends after the launch"
    if plan.haul_out is not None and plan.haul_out < inputs.wishes.earliest_haul - QUARTER:
        yield "hauled out before the earliest date that was asked for"


def money_faults(plan: Plan, inputs: PlanInput) -> Iterator[str]:
    """The lines of the bill sum to the cost, and hold at least the days ashore and both lifts."""
    if plan.cost_minor is None or plan.haul_out is None or plan.launch is None:
        yield "a plan with tasks has no cost, haul-out or launch"
        return
    total = sum(line.amount_minor for line in plan.cost_lines)
    if total != plan.cost_minor:
        yield f"the lines of the bill sum to {total}, the cost is {plan.cost_minor} (minor units)"
    zone = ZoneInfo(inputs.yard.zone_name)
    days = (plan.launch.astimezone(zone).date() - plan.haul_out.astimezone(zone).date()) / timedelta(days=1)
    least = int(days) * inputs.yard.day_charge_minor + 2 * inputs.yard.lift_charge_minor
    if total < least:
        yield f"the bill of {total} is below {int(days)} days ashore and two lifts, {least} (minor units)"
