"""A plan carried out up to a moment, as the log would have it."""

from __future__ import annotations

from datetime import datetime

from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.progress import Deed, Progress


def deed_of(task: PlannedTask, now: datetime) -> Deed:
    """A task as a deed: done, or in hand at `now`."""
    return Deed(
        kind=task.kind,
        zone=task.zone,
        start=task.start,
        end=task.end if task.end <= now else None,
        coat=task.coat,
        product=task.product,
        people=task.people or None,
        name=task.key.removeprefix("extra/") if task.kind == "extra" else "",
    )


def carried_out(plan: Plan, now: datetime) -> Progress:
    """Everything that the plan had begun by `now` was begun just so."""
    begun = [task for task in plan.tasks if task.start < now and task.kind != "dry"]
    return Progress(at=now, deeds=tuple(deed_of(task, now) for task in begun), hired=plan.options)
