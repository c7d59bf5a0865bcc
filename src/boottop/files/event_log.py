"""The log of a job as a JSON file: what the board's interface gives for its events, or a bare list of events."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from boottop.base.errors import InputError, Problem
from boottop.job.check import event_problems
from boottop.job.coding import event_of
from boottop.job.events import Event

SIZE_MAX = 64_000_000


def read_events(path: Path) -> list[Event]:
    """Every event of a log file; InputError with all that is wrong, by the number of the event."""
    found = _values(path)
    problems: list[Problem] = []
    events: list[Event] = []
    for number, value in enumerate(found, start=1):
        where = f"{path}, event {number}"
        try:
            event = event_of(value["event"] if isinstance(value, dict) and "event" in value else value)
            wrong = event_problems(event)
        except InputError as error:
            wrong = list(error.problems)
        problems += [
            Problem(where=f"{where}, {one.where}", found=one.found, allowed=one.allowed, advice=one.advice)
            for one in wrong
        ]
        if not wrong:
            events.append(event)
    if problems:
        raise InputError(problems)
    return events


def _values(path: Path) -> list[Any]:
    try:
        if path.stat().st_size > SIZE_MAX:
            raise InputError(_no_log(path, f"{path.stat().st_size} bytes"))
        found = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(_no_log(path, error.strerror or str(error))) from None
    except (ValueError, RecursionError) as error:
        raise InputError(_no_log(path, f"no JSON ({str(error)[:120]})")) from None
    values = next(_lists(found), None)
    if values is None or not all(isinstance(one, dict) for one in values):
        raise InputError(_no_log(path, "JSON without a list of events"))
    return values


def _lists(found: object) -> Iterator[list[Any]]:
    if isinstance(found, list):
        yield found
    if isinstance(found, dict) and isinstance(events := found.get("events"), list):
        yield events


def _no_log(path: Path, found: str) -> Problem:
    return Problem(
        where=str(path),
        found=found,
        allowed='a JSON list of events, or an object with such a list under "events" (docs/api.md)',
        advice="Save what the server gives for the events of the job.",
    )
