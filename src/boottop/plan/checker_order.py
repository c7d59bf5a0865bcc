"""The checker's rules on the order of the work: prepared before coated, and the owner's own jobs as she wants them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from boottop.measure.hull import Hull, Zone
from boottop.plan.checker_facts import Ahead, RainedOn, inside, quarters
from boottop.plan.inputs import ExtraJob, PlanInput
from boottop.plan.plan import Plan, PlannedTask

COATS = ("primer_coat", "barrier_coat", "coat")
WIPE_HOLDS = timedelta(hours=6)
"""A wiped surface is coated within six hours or wiped again (common practice, no source)."""


def preparation_faults(plan: Plan, inputs: PlanInput, hull: Hull, *, ahead: Ahead) -> Iterator[str]:
    """Washed before all work; each zone stripped, dried, abraded and masked, and wiped before each new product and
    after each sanding. Coats that are on already stay as they are."""
    wash_end = max((task.end for task in plan.tasks if task.kind == "wash"), default=None)
    for task in filter(ahead, plan.tasks):
        if wash_end is not None and task.kind not in {"haul_out", "wash"} and task.start < wash_end:
            yield f"{task.key}: starts before the wash is done"
    if wash_end is None and inputs.yard.wash_h > 0.0:
        yield "the hull is never washed"
    for zone in hull.zones:
        here = sorted((task for task in plan.tasks if task.zone == zone.name), key=lambda task: task.start)
        coats = [task for task in here if task.kind in COATS]
        if coats and ahead(coats[0]):
            yield from _prepared(coats[0], zone, here=here, inputs=inputs, ahead=ahead)
            yield from _masked(coats[0], zone, plan=plan, hull=hull)
        for coat in filter(ahead, _openers(coats, here)):
            yield from _wiped(coat, here)


def _openers(coats: list[PlannedTask], here: list[PlannedTask]) -> Iterator[PlannedTask]:
    """Coats that go onto a prepared surface: the first, the first of each product, and each after a sanding."""
    yield from coats[:1]
    for before, after in pairwise(coats):
        sanded = any(task.kind == "abrade" and before.end <= task.start < after.start for task in here)
        if before.product != after.product or sanded:
            yield after


def _prepared(
    coat: PlannedTask, zone: Zone, *, here: list[PlannedTask], inputs: PlanInput, ahead: Ahead
) -> Iterator[str]:
    wanted = ("strip", "abrade") if inputs.wishes.strip else ("abrade",)
    done = {
        kind: [task for task in here if task.kind == kind and task.end <= coat.start] for kind in ("strip", "abrade")
    }
    for kind in wanted:
        if not done[kind]:
            yield f"{coat.key}: no {kind} of {zone.name} ends before it"
    if zone.kind in {"side", "named"} and done["strip"] and done["abrade"]:
        dry_from = done["strip"][-1].end + timedelta(hours=inputs.wishes.dry_h)
        if ahead(abrade := done["abrade"][0]) and abrade.start < dry_from:
            yield f"{abrade.key}: starts before {zone.name} has dried for {inputs.wishes.dry_h:g} h after stripping"


def _masked(coat: PlannedTask, zone: Zone, *, plan: Plan, hull: Hull) -> Iterator[str]:
    """A side is masked in one go with its named zones; gear by itself; pad spots and sole have no edge to mask."""
    if zone.kind == "gear":
        together = {zone.name}
    elif zone.kind in {"side", "named"}:
        together = {other.name for other in hull.zones if other.kind in {"side", "named"} and other.side == zone.side}
    else:
        return
    if not any(task.kind == "mask" and task.zone in together and task.end <= coat.start for task in plan.tasks):
        yield f"{coat.key}: no mask of {zone.name} ends before it"


def _wiped(coat: PlannedTask, here: list[PlannedTask]) -> Iterator[str]:
    known = [task for task in here if task.kind == "abrade" and task.state != "taken as done"]
    sanded = max((task.end for task in known if task.end <= coat.start), default=None)
    wipes = [
        task.end
        for task in here
        if task.kind == "wipe" and task.end <= coat.start and (sanded is None or task.start >= sanded)
    ]
    if not wipes or coat.start - max(wipes) > WIPE_HOLDS:
        yield f"{coat.key}: not wiped within {WIPE_HOLDS / timedelta(hours=1):g} h before it"


def own_job_faults(plan: Plan, inputs: PlanInput, *, rained_on: RainedOn, ahead: Ahead) -> Iterator[str]:
    """Each of the owner's own jobs is there, long enough, with its people, after and before what she named, as far
    as that is still to come."""
    for job in inputs.extra_jobs:
        tasks = [task for task in plan.tasks if task.key == f"extra/{job.name}"]
        if len(tasks) != 1:
            yield f"extra/{job.name}: planned {len(tasks)} times, wanted once"
            continue
        if not ahead(tasks[0]):
            continue
        zone = ZoneInfo(inputs.yard.zone_name)
        worked = sum(
            inside(inputs.crew.hours, when.astimezone(zone)) and not rained_on(tasks[0], when)
            for when in quarters(tasks[0].start, tasks[0].end)
        )
        yield from _own_job(tasks[0], job, plan=plan, worked_h=worked / 4, ahead=ahead)


def _own_job(task: PlannedTask, job: ExtraJob, *, plan: Plan, worked_h: float, ahead: Ahead) -> Iterator[str]:
    if worked_h < job.duration_h - 1e-6:
        yield f"{task.key}: {worked_h:g} h of work, it needs {job.duration_h:g} h"
    if task.people < job.people:
        yield f"{task.key}: {task.people} at work, it needs {job.people}"
    for name in job.after:
        if any(other.end > task.start for other in _named(plan, name)):
            yield f"{task.key}: starts before {name} is done"
    for name in job.before:
        if any(other.start < task.end for other in _named(plan, name) if ahead(other)):
            yield f"{task.key}: ends after {name} has begun"


def _named(plan: Plan, name: str) -> list[PlannedTask]:
    """Another own job by its name, else all tasks of a kind."""
    own = [task for task in plan.tasks if task.key == f"extra/{name}"]
    return own or [task for task in plan.tasks if task.kind == name]
