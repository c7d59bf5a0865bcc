"""A plan as an iCalendar file (RFC 5545): stable identities, so that a new plan replaces the old one."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime, time, timedelta
from hashlib import sha256
from pathlib import Path
from zoneinfo import ZoneInfo

from boottop.plan.plan import Plan, PlannedTask, TaskState
from boottop.plan.tasks import TASK_KINDS

ALARM_AT = time(18)
DONE: tuple[TaskState, ...] = ("done", "taken as done")


def calendar_text(plan: Plan, *, job: str, zone: ZoneInfo, made: datetime, sequence: int = 0) -> bytes:
    """The calendar's bytes. `made` stamps it; `sequence` rises each time a plan replaces an older one.

    What is done is left out: a calendar is for what is to come. Launch and haul-out carry an alarm at six in the
    evening before, in the yard's `zone`. Times are written in UTC, which every calendar shows in its owner's zone.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//boottop//plan//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", job)
    for task in plan.tasks:
        if task.state in DONE:
            continue
        calendar.add_component(_event(task, job=job, zone=zone, stamp=(made, sequence)))
    return bytes(calendar.to_ical())


def _event(task: PlannedTask, *, job: str, zone: ZoneInfo, stamp: tuple[datetime, int]):  # type: ignore[no-untyped-def]  # the class
    # is imported late, so its name is not known here; the only caller hands the event straight on
    from icalendar import Alarm, Event

    event = Event()
    event.add("uid", _uid(job, task.key))
    event.add("sequence", stamp[1])
    event.add("dtstamp", stamp[0])
    event.add("dtstart", task.start)
    event.add("dtend", task.end)
    event.add("summary", words_of(task))
    event.add("description", task.because)
    if task.kind in {"haul_out", "launch"}:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", words_of(task))
        evening = task.start.astimezone(zone).date() - timedelta(days=1)
        rings = datetime.combine(evening, ALARM_AT, tzinfo=zone).astimezone(UTC)
        alarm.add("trigger", rings, parameters={"VALUE": "DATE-TIME"})
        event.add_component(alarm)
    return event


def words_of(task: PlannedTask) -> str:
    """A task in words: "Antifouling coat 2, port side"."""
    name = task.key.removeprefix("extra/")
    label = TASK_KINDS[task.kind].label if task.kind != "extra" else name[:1].upper() + name[1:]
    words = label if task.coat is None else f"{label} {task.coat}"
    return words if task.zone is None else f"{words}, {task.zone}"


STATE_MARKS: Mapping[TaskState, str] = {"to do": "", "in hand": "◐ ", "done": "✓ ", "taken as done": "✓ "}
"""A sign before the words of a state or of a task, where signs can be shown."""


def is_begun(plan: Plan) -> bool:
    """Whether anything of the plan is done or in hand, so that its states are worth a word."""
    return any(task.state != "to do" for task in plan.tasks)


def next_sequence(path: Path) -> int:
    """One more than the highest SEQUENCE of the calendar at `path`, 0 where there is none or it is not ours."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return 0
    found = re.findall(r"^SEQUENCE:(\d+)\s*$", text, re.M) if "-//boottop//" in text else []
    return max((int(number) for number in found), default=-1) + 1


def _uid(job: str, key: str) -> str:
    """Identity of a task of a job: the same in every plan of it, and its own even where the letters are not ours."""
    mark = sha256(f"{job}\n{key}".encode()).hexdigest()[:8]
    return f"{_slug(f'{job} {key}')}-{mark}@boottop.invalid".removeprefix("-")


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
