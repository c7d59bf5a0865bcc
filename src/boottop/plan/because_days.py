"""How many coats of a zone a day has room for, the zone taken alone: why a day would not do, and which was nearest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boottop.plan.because_closed import closed_block
from boottop.plan.network import Link, Mode
from boottop.plan.rules_draft import JobNetwork


@dataclass(frozen=True, kw_only=True)
class DayRoom:
    """`coats` of `wanted` that fit on local day `day` (ordinal); `stopped` says what closed the next one."""

    zone: str
    day: int
    coats: int
    wanted: int
    stopped: str


def one_day_coats(job: JobNetwork, zone: str) -> tuple[str, ...]:
    """Coats of a zone that must share one day, in order; none where no rule says so."""
    for group in job.network.same_day:
        mine = tuple(key for key in group.tasks if job.facts[key].parts[-1].zone == zone)
        if len(mine) > 1:
            return mine
    return ()


def room_on(job: JobNetwork, coats: Sequence[str], *, start: int, options: Sequence[str]) -> DayRoom:
    """How many of `coats` fit on the day of slot `start` from that slot on, all hands at this zone alone."""
    day = job.calendar.day
    last = int(np.searchsorted(day, day[start], side="right"))
    zone = job.facts[coats[0]].parts[-1].zone or ""
    best, stopped = -1, ""
    for first in range(start, last):
        done, why = _run_from(job, coats, span=(first, last), options=options)
        if done > best:
            best, stopped = done, why
        if done == len(coats):
            break
    return DayRoom(zone=zone, day=int(day[start]), coats=max(best, 0), wanted=len(coats), stopped=stopped)


def _run_from(
    job: JobNetwork, coats: Sequence[str], *, span: tuple[int, int], options: Sequence[str]
) -> tuple[int, str]:
    """Coats done one after the other from the first slot of `span`, each as fast as may be; what stopped the next."""
    at, last, until = span[0], span[1], span[1]
    for number, key in enumerate(coats):
        ways = [mode for task in job.network.tasks if task.key == key for mode in task.modes if _allowed(mode, options)]
        chosen = _fastest(ways, at, min(last, until + 1))
        if chosen is None or chosen[2] > last:
            return number, _why(job, key, ways=ways, at=at)
        mode, start, finish = chosen
        if number == 0 and start != at:
            return -1, ""
        if number + 1 < len(coats):
            at, until = _next_span(job, (key, coats[number + 1]), mode=mode.key, finish=finish)
    return len(coats), ""


def _allowed(mode: Mode, options: Sequence[str]) -> bool:
    return all(key in options for key in mode.needs) and not any(key in options for key in mode.without)


def _fastest(ways: Sequence[Mode], at: int, last: int) -> tuple[Mode, int, int] | None:
    """The mode that ends first when started at `at` or later, with its start and finish."""
    found: list[tuple[int, int, Mode]] = []
    for mode in ways:
        starts = np.flatnonzero(mode.starts[at:last])
        if starts.size:
            start = at + int(starts[0])
            found.append((int(mode.finish[start]), start, mode))
    if not found:
        return None
    finish, start, mode = min(found, key=lambda one: (one[0], one[1]))
    return mode, start, finish


def _next_span(job: JobNetwork, pair: tuple[str, str], *, mode: str, finish: int) -> tuple[int, int]:
    """First and last start the links leave the next coat."""
    first, last = finish, job.network.count
    for link in job.network.links:
        if (link.before, link.after) == pair:
            early, late = _read(link, mode, finish)
            first = first if early is None else max(first, early)
            last = last if late is None else min(last, late)
    return first, last


def _read(link: Link, mode: str, finish: int) -> tuple[int | None, int | None]:
    early, late = link.by_mode.get(mode, (link.earliest, link.latest))
    return (None if early is None else int(early[finish])), (None if late is None else int(late[finish]))


def _why(job: JobNetwork, key: str, *, ways: Sequence[Mode], at: int) -> str:
    """What closes the next coat at the moment it could go on."""
    label = f"coat {job.facts[key].parts[-1].coat}"
    if at >= job.network.count or not ways:
        return f"{label} would go on after the weather file ends"
    quickest = min(ways, key=lambda mode: int(mode.finish[at]))
    when = f"{job.calendar.local(at):%H:%M}"
    if quickest.starts[at]:
        return f"{label} at {when} would come too late for the coat before it"
    return f"{label}, possible from {when}: {closed_block(job, key, mode=quickest.key, start=at).says}"
