"""The checker's rules on a job that has begun: facts stand as they were written down, and nothing else lies behind."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from boottop.plan.checker_facts import QUARTER, Reached
from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.progress import Deed, Progress

FILM = ("primer_coat", "barrier_coat", "coat")
TOUCH_HOLDS = timedelta(minutes=10)
"""A touch test speaks for ten minutes (common practice, no source)."""


def lies_ahead(progress: Progress | None, task: PlannedTask) -> bool:
    """A task that is still to be planned: it starts no earlier than now, and the log does not know it."""
    return progress is None or (task.start >= progress.at and deed_of(progress, task) is None)


def deed_of(progress: Progress | None, task: PlannedTask) -> Deed | None:
    """What the log says of a task: the deed of its kind, zone and coat (or its name) that ended with it."""
    if progress is None:
        return None
    name = task.key.removeprefix("extra/") if task.kind == "extra" else ""
    found = [
        deed
        for deed in progress.deeds
        if (deed.kind, deed.zone, deed.coat, deed.name) == (task.kind, task.zone, task.coat, name)
        and (task.product is None or deed.product in (None, task.product))
    ]
    return next((deed for deed in reversed(found) if _same_time(deed, task)), None)


def _same_time(deed: Deed, task: PlannedTask) -> bool:
    ends = deed.end is None or abs(deed.end - task.end) <= QUARTER
    starts = deed.start is None or abs(deed.start - task.start) <= QUARTER
    return ends and starts


def past_faults(plan: Plan, progress: Progress | None) -> Iterator[str]:
    """What the plan has behind it is in the log, or went before something that is; every coat in the log is there."""
    if progress is None:
        return
    behind = [task for task in plan.tasks if not lies_ahead(progress, task) and task.kind != "dry"]
    for task in behind:
        if deed_of(progress, task) is None and not _went_before(progress, task):
            yield f"{task.key}: lies before now, {progress.at:%d %b %H:%M} UTC, and nothing was written down of it"
        if task.end > progress.at and (deed := deed_of(progress, task)) is not None and deed.end is not None:
            yield f"{task.key}: goes on after now, though it was written down as done"
    told = {id(deed) for task in behind if (deed := deed_of(progress, task)) is not None}
    for deed in progress.deeds:
        if deed.kind in FILM and id(deed) not in told:
            yield f"{deed.kind} {deed.coat} on {deed.zone}: written down, and not in the plan at its time"
    yield from _in_order(plan, progress)
    yield from _spots_left(plan, progress)


def _went_before(progress: Progress, task: PlannedTask) -> bool:
    """Not written down, but something was that cannot be without it: a later coat, or work on what was prepared."""
    if task.kind in FILM:
        return any(
            deed.zone == task.zone and deed.kind in FILM and (deed.product != task.product or (deed.coat or 0) >
                                                              (task.coat or 0))
            for deed in progress.deeds
        )  # fmt: skip
    later = [deed for deed in progress.deeds if deed.latest >= task.end - QUARTER]
    if task.kind in ("haul_out", "wash", "move_stands", "mask"):
        return bool(later)
    if task.kind in ("activate", "extra", "launch"):
        return False
    return any(deed.zone == task.zone for deed in later)


def _in_order(plan: Plan, progress: Progress) -> Iterator[str]:
    """Of each zone the coats of one product that are still to come follow those that are on, in order."""
    highest: dict[tuple[str | None, str | None], int] = {}
    ordered = sorted(plan.tasks, key=lambda task: (lies_ahead(progress, task), task.start))
    for task in ordered:
        if task.kind not in FILM:
            continue
        place, number = (task.zone, task.product), task.coat or 0
        if lies_ahead(progress, task) and number <= highest.get(place, 0):
            yield f"{task.key}: comes after coat {highest[place]} of {task.zone}"
        highest[place] = max(highest.get(place, 0), number)


def _spots_left(plan: Plan, progress: Progress) -> Iterator[str]:
    """A film that rain spotted is sanded at some time before she is launched, the last coat too."""
    sandings = [task for task in plan.tasks if task.kind in ("abrade", "activate")]
    for deed in progress.deeds:
        if deed.kind not in FILM or not deed.rained or deed.end is None:
            continue
        if not any(task.zone == deed.zone and task.end > deed.end for task in sandings):
            yield f"{deed.kind} {deed.coat} on {deed.zone}: rain fell on it before it was rain-safe, never sanded after"


def learned(reached: Reached, before: PlannedTask, progress: Progress | None) -> Reached:
    """A moment of the sheet's clock as touch tests have corrected that film: its lag times the factor."""
    factor = 1.0 if progress is None else dict(progress.film).get(before.product or "", 1.0)
    if reached.when is None or factor == 1.0:
        return reached
    return Reached(when=before.end + (reached.when - before.end) * factor, printed=reached.printed)


def spoilt_faults(
    before: PlannedTask, after: PlannedTask, *, progress: Progress | None, sanded: bool
) -> Iterator[str]:  # fmt: skip
    """A film that rain spotted, or that is past tacky to the touch, is sanded before the next coat."""
    deed = deed_of(progress, before)
    if deed is None or sanded:
        return
    if deed.rained:
        yield f"{after.key}: not sanded before it, though rain fell on coat {before.coat} before it was rain-safe"
    if deed.touch == "past tacky":
        yield f"{after.key}: not sanded before it, though coat {before.coat} was past tacky to the touch"


def touched(
    before: PlannedTask, progress: Progress | None, ready: datetime | None, *, ends: list[datetime]
) -> tuple[datetime | None, list[datetime]]:  # fmt: skip
    """When the next coat may go on and until when, with the touch test, which goes before the clock."""
    deed = deed_of(progress, before)
    if deed is None or deed.touched is None or deed.touch not in ("wet", "tacky"):
        return ready, ends
    again = deed.touched + TOUCH_HOLDS
    if deed.touch == "tacky":
        ready = deed.touched
    elif ready is not None:
        ready = max(ready, again)
    return ready, [max(end, again) for end in ends]
