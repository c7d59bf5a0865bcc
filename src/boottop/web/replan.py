"""What a new plan rests on beside the sheet: readings of the log; and what it changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from boottop.climate.blend import Observation, blend
from boottop.climate.weather import Weather
from boottop.job.board import BoardTable, BoardTask
from boottop.job.settle import settle
from boottop.plan.calendar import said
from boottop.plan.plan import Plan
from boottop.store.entry import Logged
from boottop.web.board_table import board_table as board_for

CHANGES_MAX = 12
SHIFT_S = 900

__all__ = ["board_for", "changes_between", "readings_of"]


def readings_of(events: Iterable[Logged], weather: Weather, *, now: datetime) -> Weather:
    """The weather corrected by the readings of air and humidity that stand in the log."""
    observations = [
        Observation(time=event.happened, air_c=float(air_c), rh=_share(event.data.get("humidity")))
        for event in settle(one.event for one in events).events
        if event.kind == "reading" and isinstance(air_c := event.data.get("air_c"), int | float)
    ]
    return blend(weather, observations, now=now).weather if observations else weather


def _share(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and value > 0 else None


def changes_between(before: BoardTable | None, after: BoardTable, plan: Plan, zone: ZoneInfo) -> tuple[str, ...]:  # noqa: PLR0917 before and after read in this order
    """What a new plan does at another time than the one before it, and what binds it there; the launch first."""
    if before is None:
        return ()
    if not plan.tasks:
        return ("There is no plan any more: " + "; ".join(plan.reasons),)
    because = {task.key: task.because for task in plan.tasks}
    old = {task.key: task for task in before.tasks}
    found = [
        sentence
        for task in sorted(after.tasks, key=lambda task: (task.kind != "launch", task.start_s))
        for sentence in _moved(old.pop(task.key, None), task, zone=zone, because=because[task.key])
    ]
    found += [f"{task.label}: not in the plan any more." for task in old.values()]
    if len(found) > CHANGES_MAX:
        return (*found[:CHANGES_MAX], f"{len(found) - CHANGES_MAX} more tasks moved.")
    return tuple(found) or ("The plan stands as it was.",)


def _moved(old: BoardTask | None, new: BoardTask, *, zone: ZoneInfo, because: str) -> Iterator[str]:
    when = said(datetime.fromtimestamp(new.start_s, tz=UTC).astimezone(zone))
    if old is None:
        yield f"{new.label}: new, {when}. {because}"
    elif abs(old.start_s - new.start_s) >= SHIFT_S:
        was = said(datetime.fromtimestamp(old.start_s, tz=UTC).astimezone(zone))
        yield f"{new.label}: {when} instead of {was}. {because}"
