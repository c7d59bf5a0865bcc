"""The checker's rules on people, yard and money, in plain loops over quarters of an hour."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from boottop.measure.hull import Hull
from boottop.plan.checker_facts import QUARTER, Ahead, RainedOn, inside, quarters
from boottop.plan.inputs import PlanInput
from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.tasks import TASK_KINDS


def crew_faults(plan: Plan, inputs: PlanInput, hull: Hull, *, rained_on: RainedOn, ahead: Ahead) -> Iterator[str]:
    """Nobody works outside the crew's hours, no more hands than there are, and no task is shorter than its work: of
    what is still to come.

    `rained_on` says whether it rains on a task in a quarter of an hour: work that rain stops is not done then.
    """
    zone = ZoneInfo(inputs.yard.zone_name)
    hands = inputs.crew.people + (inputs.hire.helper_people if "helper" in plan.options else 0)
    at_work: dict[datetime, int] = {}
    for task in plan.tasks:
        if task.people == 0 or not ahead(task):
            continue
        pauses = TASK_KINDS[task.kind].pauses
        worked = 0
        for when in quarters(task.start, task.end):
            at_hand = inside(inputs.crew.hours, when.astimezone(zone))
            worked += at_hand and not rained_on(task, when)
            if not at_hand and not pauses:
                yield f"{task.key}: at {when.astimezone(zone):%a %d %b %H:%M} outside the crew's hours"
            if at_hand:
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


def yard_faults(plan: Plan, inputs: PlanInput, *, ahead: Ahead) -> Iterator[str]:
    """The yard's own tasks in the yard's hours, lifts at lift slots, everything else between haul-out and launch."""
    zone = ZoneInfo(inputs.yard.zone_name)
    for task in filter(ahead, plan.tasks):
        if TASK_KINDS[task.kind].who == "yard":
            for when in quarters(task.start, task.end):
                local = when.astimezone(zone)
                if not inside(inputs.yard.hours, local) or local.date() in inputs.yard.closed:
                    yield f"{task.key}: at {local:%a %d %b %H:%M} the yard is shut"
        if task.kind in {"haul_out", "launch"} and task.start not in inputs.yard.lift_slots:
            yield f"{task.key}: {task.start.astimezone(zone):%a %d %b %H:%M} is no lift slot"
    yield from _lift_faults(plan, ahead)
    to_haul = [task for task in plan.tasks if task.kind == "haul_out" and ahead(task)]
    if to_haul and plan.haul_out is not None and plan.haul_out < inputs.wishes.earliest_haul - QUARTER:
        yield "hauled out before the earliest date that was asked for"


def _lift_faults(plan: Plan, ahead: Ahead) -> Iterator[str]:
    for kind, when in (("haul_out", plan.haul_out), ("launch", plan.launch)):
        lifts = [task.start for task in plan.tasks if task.kind == kind]
        if lifts != [when]:
            yield f"{kind}: tasks at {[f'{lift:%d %b %H:%M}' for lift in lifts]}, the plan says {when}"
    ashore = max((task.end for task in plan.tasks if task.kind == "haul_out"), default=None)
    for task in plan.tasks:
        if ahead(task) and task.kind != "haul_out" and ashore is not None and task.start < ashore:
            yield f"{task.key}: starts before the haul-out is done"
        if task.kind != "launch" and plan.launch is not None and task.end > plan.launch:
            yield f"{task.key}: ends after the launch"


def money_faults(plan: Plan, inputs: PlanInput) -> Iterator[str]:
    """The lines of the bill sum to the cost, and hold at least the days ashore, both lifts and what is hired."""
    if plan.cost_minor is None or plan.haul_out is None or plan.launch is None:
        yield "a plan with tasks has no cost, haul-out or launch"
        return
    total = sum(line.amount_minor for line in plan.cost_lines)
    if total != plan.cost_minor:
        yield f"the lines of the bill sum to {total}, the cost is {plan.cost_minor} (minor units)"
    zone = ZoneInfo(inputs.yard.zone_name)
    days = (plan.launch.astimezone(zone).date() - plan.haul_out.astimezone(zone).date()) / timedelta(days=1)
    hired = {"tent": inputs.hire.tent_cost_minor, "helper": inputs.hire.helper_cost_minor}
    least = int(days) * inputs.yard.day_charge_minor + 2 * inputs.yard.lift_charge_minor
    least += sum(hired.get(option, 0) for option in plan.options)
    if total < least:
        yield f"the bill of {total} is below {int(days)} days ashore, two lifts and the hire, {least} (minor units)"
