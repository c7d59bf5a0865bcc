"""Which day came nearest for the coats of each zone, and what stopped the next one there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from boottop.plan.because_days import DayRoom, one_day_coats, room_on
from boottop.plan.calendar import day_said
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.ways_out_horizon import earliest_starts


def day_reasons(job: JobNetwork) -> Iterator[str]:
    """For zones whose coats belong in one day: what each day has room for, every zone taken alone with all hands.

    Zones with the same answer share a sentence.
    """
    earliest = earliest_starts(job.network)
    told: dict[str, list[str]] = {}
    zones = dict.fromkeys(job.facts[key].parts[-1].zone or "" for group in job.network.same_day for key in group.tasks)
    for zone in zones:
        coats = one_day_coats(job, zone)
        if coats and (rooms := _rooms_by_day(job, coats, first=earliest[coats[0]])):
            told.setdefault(_told(job, rooms), []).append(zone)
    for says, names in told.items():
        yield f"{', '.join(names)}: {says}"


def _rooms_by_day(job: JobNetwork, coats: tuple[str, ...], *, first: int) -> list[DayRoom]:
    """Room for the coats of one zone on every day from slot `first` on, with all that is on offer."""
    options = tuple(option.key for option in job.network.options)
    day = job.calendar.day
    starts = np.flatnonzero(np.diff(day, prepend=day[0] - 1))
    return [
        room_on(job, coats, start=max(int(start), first), options=options)
        for start, end in zip(starts, [*starts[1:], job.network.count], strict=True)
        if end > first
    ]


def _told(job: JobNetwork, rooms: Sequence[DayRoom]) -> str:
    nearest = max(rooms, key=lambda room: room.coats)
    if nearest.coats == nearest.wanted:
        full = [room for room in rooms if room.coats == room.wanted]
        return f"taken alone, all {nearest.wanted} coats fit on {len(full)} of {len(rooms)} days ({_spans(job, full)})."
    runs = [list(run) for _, run in groupby(rooms, key=lambda room: room.coats)]
    table = ", ".join(f"{run[0].coats} on {_spans(job, run)}" for run in runs)
    return (
        f"no day has room for all {nearest.wanted} coats. {_date(job, nearest)} came nearest with {nearest.coats} "
        f"({nearest.stopped}). Coats that fit, day by day: {table}."
    )


def _spans(job: JobNetwork, rooms: Sequence[DayRoom]) -> str:
    """Days as people list them, runs of days shortened."""
    spans = []
    for _, run in groupby(enumerate(rooms), key=lambda pair: pair[1].day - pair[0]):
        days = [room for _, room in run]
        first, last = _date(job, days[0]), _date(job, days[-1])
        spans.append(first if len(days) == 1 else f"{first} to {last}")
    return ", ".join(spans)


def _date(job: JobNetwork, room: DayRoom) -> str:
    start = int(np.searchsorted(job.calendar.day, room.day))
    return day_said(job.calendar.local(start).date())
