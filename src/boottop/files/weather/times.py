"""Time stamps of a weather file to epoch seconds: with an offset, or as a wall clock whose zone the header states."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

import numpy as np

from boottop.base.clock import to_utc, zone_info
from boottop.base.errors import InputError, Problem
from boottop.files.weather.table import Ints, Request, at_lines

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
FIRST, LAST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)
_OFFSET = re.compile(r"^([+-])(\d\d):(\d\d)$")
_ADVICE = "Write times as 2026-04-18T05:00Z, or with an offset; or state the zone once: time[Europe/Lisbon]."


@dataclass(frozen=True, kw_only=True)
class Stamps:
    """Epoch seconds of the rows that have a time, those rows' indices, and what was wrong with the others."""

    epoch_s: Ints
    rows: Ints
    problems: tuple[Problem, ...]


def zone_from_header(text: str, where: str) -> tzinfo | None:
    """The zone in a header such as `time[Europe/Lisbon]` or `time[-05:00]`; None when it states none."""
    if not text:
        return None
    if match := _OFFSET.match(text):
        minutes = int(match[2]) * 60 + int(match[3])
        if minutes < 24 * 60:
            return timezone(timedelta(minutes=minutes if match[1] == "+" else -minutes))
    if text in {"UTC", "Z", "GMT"}:
        return UTC
    return zone_info(text, where=where)


def read_stamps(cells: Sequence[str], lines: Ints, *, zone: tzinfo | None, request: Request) -> Stamps:
    """Epoch seconds of every row; a wall-clock hour that the clocks skip or repeat is refused, near the window only."""
    clock = _Clock(zone)
    epoch = np.zeros(len(cells), dtype=np.int64)
    bad: dict[str, list[int]] = {}
    for row, cell in enumerate(cells):
        read = clock.epoch_of(cell.strip())
        if isinstance(read, str):
            bad.setdefault(read, []).append(row)
        else:
            epoch[row] = read
    changed = clock.changed(cells, lines, request.where)
    changed = {row: problem for row, problem in changed.items() if request.near(epoch[[row]])[0]}
    dropped = {row for rows in bad.values() for row in rows} | set(changed)
    keep = np.array([row for row in range(len(cells)) if row not in dropped], dtype=np.int64)
    problems = [
        _unread(f"{cells[rows[0]].strip()[:40]!r} ({reason})", at_lines(f"{request.where}, time,", lines[rows]))
        for reason, rows in bad.items()
    ]
    return Stamps(epoch_s=epoch[keep], rows=keep, problems=(*problems, *list(changed.values())[:4]))


class _Clock:
    """Reads cells; remembers the rows whose wall-clock day has a change of the clocks."""

    def __init__(self, zone: tzinfo | None) -> None:
        self.zone = zone
        self.steady: dict[int, int | None] = {}

    def epoch_of(self, cell: str) -> int | str:
        if len(cell) < 13:
            return "no date with an hour"
        try:
            when = datetime.fromisoformat(cell)
        except ValueError:
            return "no time"
        if when.tzinfo is None and self.zone is None:
            return "a time without a zone"
        if not FIRST.year < when.year < LAST.year:
            return f"the year {when.year}"
        if when.tzinfo is not None:
            return (when - EPOCH) // timedelta(seconds=1)
        wall_s = (when.replace(tzinfo=UTC) - EPOCH) // timedelta(seconds=1)
        offset_s = self._steady_offset_s(when)
        if offset_s is None:
            offset_s = _offset_s(when, self.zone)
        return wall_s - offset_s

    def _steady_offset_s(self, when: datetime) -> int | None:
        """Offset of the wall-clock day when it is the same all through the day, else None."""
        day = when.toordinal()
        if day not in self.steady:
            midnight = when.replace(hour=0, minute=0, second=0, microsecond=0)
            ends = [_offset_s(midnight + timedelta(hours=hours), self.zone) for hours in (-2, 26)]
            self.steady[day] = ends[0] if ends[0] == ends[1] else None
        return self.steady[day]

    def changed(self, cells: Sequence[str], lines: Ints, where: str) -> dict[int, Problem]:
        """Rows whose wall-clock time does not exist or happens twice, with what to say about each."""
        zone = self.zone
        changing = {day for day, offset in self.steady.items() if offset is None}
        if not isinstance(zone, ZoneInfo) or not changing:
            return {}
        found = {}
        for row, cell in enumerate(cells):
            if _wall_day(cell) in changing:
                try:
                    to_utc(datetime.fromisoformat(cell.strip()), zone, where=at_lines(where, [lines[row]]))
                except InputError as error:
                    found[row] = _with_logger(error.problems[0])
        return found


def _offset_s(wall: datetime, zone: tzinfo | None) -> int:
    offset = wall.replace(tzinfo=zone).utcoffset()
    return int(offset.total_seconds()) if offset is not None else 0


def _wall_day(cell: str) -> int | None:
    try:
        when = datetime.fromisoformat(cell.strip())
    except ValueError:
        return None
    return when.toordinal() if when.tzinfo is None else None


def _with_logger(problem: Problem) -> Problem:
    logger = "A logger whose clock never changes: state its offset once, such as time[-05:00]."
    return replace(problem, advice=f"{problem.advice} {logger}")


def _unread(found: str, where: str) -> Problem:
    return Problem(
        where=where,
        found=found,
        allowed="date and hour with an offset from UTC, between 1901 and 2199",
        advice=_ADVICE,
    )
