"""A plan as an iCalendar file (RFC 5545): stable identities, so that a new plan replaces the old one."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from pathlib import Path

from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.tasks import TASK_KINDS

ALARM_BEFORE = timedelta(hours=12)


def calendar_text(plan: Plan, *, job: str, made: datetime, sequence: int = 0) -> bytes:
    """The calendar's bytes. `made` stamps it; `sequence` rises each time a plan replaces an older one.

    Launch and haul-out carry an alarm the evening before. Times are written in UTC, which every calendar shows in
    its owner's zone.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//boottop//plan//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", job)
    for task in plan.tasks:
        calendar.add_component(_event(task, job=job, made=made, sequence=sequence))
    return bytes(calendar.to_ical())


def _event(task: PlannedTask, *, job: str, made: datetime, sequence: int):  # type: ignore[no-untyped-def]  # the class
    # is imported late, so its name is not known here; the only caller hands the event straight on
    from icalendar import Alarm, Event

    event = Event()
    event.add("uid", f"{_slug(job)}-{_slug(task.key)}@boottop.invalid")
    event.add("sequence", sequence)
    event.add("dtstamp", made)
    event.add("dtstart", task.start)
    event.add("dtend", task.end)
    event.add("summary", words_of(task))
    event.add("description", task.because)
    if task.kind in {"haul_out", "launch"}:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", words_of(task))
        alarm.add("trigger", -ALARM_BEFORE)
        event.add_component(alarm)
    return event


def words_of(task: PlannedTask) -> str:
    """A task in words: "Antifouling coat 2, port side"."""
    label = TASK_KINDS[task.kind].label if task.kind != "extra" else task.key.removeprefix("extra/").capitalize()
    words = label if task.coat is None else f"{label} {task.coat}"
    return words if task.zone is None else f"{words}, {task.zone}"


def next_sequence(path: Path) -> int:
    """One more than the highest SEQUENCE of the calendar at `path`, 0 where there is none or it is not ours."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return 0
    found = re.findall(r"^SEQUENCE:(\d+)\s*$", text, re.M) if "-//boottop//" in text else []
    return max((int(number) for number in found), default=-1) + 1


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
