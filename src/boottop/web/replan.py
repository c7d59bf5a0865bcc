"""What a new plan rests on beside the sheet: the log and the newest weather; and what it changed, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from boottop.base.money import format_money
from boottop.begun import Begun, begun_from, since_haul, with_readings
from boottop.board_table import board_table as board_for
from boottop.climate.weather import Weather
from boottop.job.board import BoardTable, BoardTask
from boottop.job.learned import Learned
from boottop.job.state import State
from boottop.plan.calendar import said
from boottop.plan.plan import Plan, PlannedTask
from boottop.store.entry import Logged
from boottop.web.closings import closings

CHANGES_MAX = 13
SHIFT_S = 900
SLOWER, WARMER_K = 0.05, 1.0
"""What was learned is worth a sentence from here on (common practice, no source)."""

__all__ = ["Work", "begun_from", "board_for", "changes_between", "readings_of", "since_haul"]


@dataclass(frozen=True, kw_only=True)
class Work:
    """The state of the work when a plan was made anew."""

    state: State
    begun: Begun

    @property
    def learned(self) -> Learned:
        return self.begun.learned

    @property
    def at(self) -> datetime:
        return self.begun.at


def readings_of(events: Iterable[Logged], weather: Weather, *, now: datetime) -> Weather:
    """The weather corrected by the readings of air and humidity that stand in the log."""
    return with_readings(weather, (one.event for one in events), now=now)


def changes_between(before: BoardTable | None, after: BoardTable, *, plan: Plan, work: Work) -> tuple[str, ...]:
    """What a new plan does at another time than the one before it, and why: launch and cost first, then windows that
    close sooner than before, what is behind the plan, what was learned, new work, and all else that moved with what
    binds it."""
    if before is None:
        return ()
    zone = ZoneInfo(after.zone_name)
    closed = closings(before, after, state=work.state, learned=work.learned, now_s=int(work.at.timestamp()))
    if not plan.tasks:
        return ("There is no plan any more: " + "; ".join(plan.reasons), *closed)
    lines = {task.key: task for task in plan.tasks}
    old = {task.key: task for task in before.tasks}
    moved: list[tuple[bool, str]] = []
    for task in sorted(after.tasks, key=lambda task: (task.kind != "launch", task.key in old, task.start_s)):
        was, line = old.pop(task.key, None), lines[task.key]
        if line.state in ("to do", "in hand"):
            moved += [(task.kind == "launch", text) for text in _moved(was, task, zone=zone, line=line)]
    gone = [f"{task.label}: not in the plan any more." for task in old.values()]
    launch = [text for is_launch, text in moved if is_launch]
    rest = [text for is_launch, text in moved if not is_launch]
    why = [*_behind(before, lines, work=work, zone=zone), *_learned(work.learned)] if moved or closed else []
    if (moved or closed) and not launch:
        launch = [f"Launch: as before, {_said(task.start_s, zone)}." for task in after.tasks if task.kind == "launch"]
    cost = _cost(before, after) if moved or closed or gone or before.cost_minor != after.cost_minor else []
    found = [*launch, *cost, *closed, *why, *rest, *gone]
    if len(found) > CHANGES_MAX:
        return (*found[:CHANGES_MAX], f"{len(found) - CHANGES_MAX} more tasks moved.")
    return tuple(found) or ("The plan stands as it was.",)


def _cost(before: BoardTable, after: BoardTable) -> list[str]:
    """What the new plan costs more or less than the one before it."""
    if before.cost_minor is None or after.cost_minor is None or before.currency != after.currency:
        return []
    now, more = format_money(after.cost_minor, after.currency), after.cost_minor - before.cost_minor
    if more == 0:
        return [f"Cost: as before, {now}."]
    was, much = format_money(before.cost_minor, after.currency), format_money(abs(more), after.currency)
    return [f"Cost: {now} instead of {was}, {much} {'more' if more > 0 else 'less'}."]


def _moved(old: BoardTask | None, new: BoardTask, *, zone: ZoneInfo, line: PlannedTask) -> Iterator[str]:
    when = _said(new.start_s, zone)
    if old is None:
        yield f"{new.label}: new, {when}: {line.because}."
    elif line.state == "to do" and abs(old.start_s - new.start_s) >= SHIFT_S:
        yield f"{new.label}: {when} instead of {_said(old.start_s, zone)}: {line.because}."


def _behind(
    before: BoardTable, lines: Mapping[str, PlannedTask], *, work: Work, zone: ZoneInfo
) -> Iterator[str]:  # fmt: skip
    """The first work that the last plan had done by now and the log has not."""
    now_s = int(work.at.timestamp())
    late = [
        task
        for task in before.tasks
        if task.end_s <= now_s and task.kind != "dry" and task.key in lines and lines[task.key].state == "to do"
    ]
    for task in sorted(late, key=lambda task: task.start_s)[:1]:
        more = f"; so are {len(late) - 1} more" if len(late) > 1 else ""
        yield f"{task.label} was planned for {_said(task.start_s, zone)} and is not written down as done{more}."


def _learned(learned: Learned) -> Iterator[str]:
    for clock in learned.clocks:
        if abs(clock.factor - 1.0) >= SLOWER:
            yield f"{clock.product}: {clock.text}."
    for surface in learned.surfaces:
        if abs(surface.bias_k) >= WARMER_K:
            yield f"{surface.text[:1].upper()}{surface.text[1:]}."


def _said(at_s: int, zone: ZoneInfo) -> str:
    return said(datetime.fromtimestamp(at_s, tz=UTC).astimezone(zone))
