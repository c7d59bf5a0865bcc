"""A plan carried out, as phones would have written it down."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from uuid import NAMESPACE_URL, uuid5

from boottop.job.events import Event, Json
from boottop.measure.hull import Hull
from boottop.plan.plan import Plan, PlannedTask

KINDS = {
    "haul_out": "hauled_out", "wash": "washed", "strip": "stripped", "abrade": "abraded", "mask": "masked",
    "wipe": "wiped", "activate": "activated", "launch": "launched",
}  # fmt: skip
COATS = ("primer_coat", "barrier_coat", "coat")


def event(kind: str, when: datetime, zone: str | None = None, **data: Json) -> Event:
    """One event, recorded when it happened."""
    name = f"{kind} {zone} {when.isoformat()} {sorted(data.items())!r}"
    return Event(
        id=str(uuid5(NAMESPACE_URL, name)), kind=kind, happened=when, recorded=when, device="phone-1", order=1,
        who="Ana", zone=zone, data=data,
    )  # fmt: skip


def log_of(plan: Plan, hull: Hull, until: datetime) -> list[Event]:
    """What was begun by a moment, just as planned."""
    return [one for task in plan.tasks for one in _events(task, hull) if one.happened <= until]


def _events(task: PlannedTask, hull: Hull) -> Iterator[Event]:
    if task.kind in COATS:
        data: dict[str, Json] = {"product": task.product, "coat": task.coat, "people": task.people}
        yield event("coat_started", task.start, task.zone, **data)
        yield event("coat_finished", task.end, task.zone, **data)
    elif task.kind == "move_stands":
        for number in sorted({zone.stand_set for zone in hull.zones if zone.stand_set is not None}):
            yield event("stands_moved", task.end, stand_set=number)
    elif task.kind == "extra":
        yield event("other_work", task.end, work=task.key.removeprefix("extra/"))
    elif task.kind in KINDS:
        zone = task.zone if task.kind not in ("haul_out", "wash", "launch") else None
        yield event(KINDS[task.kind], task.end, zone)
