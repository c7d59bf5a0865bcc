"""Whose hours are when: yard hours and holidays, crew hours and daylight, as slots; and how work runs through them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cached_property
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import Grid
from boottop.plan.inputs import Crew, Hours, Yard

Marks = NDArray[np.int32]
Bools = NDArray[np.bool_]

TWILIGHT_DEG = -6.0
"""Sun elevation below which nobody works outdoors without lamps: civil twilight, whose end is at 6 degrees below the
horizon (common practice; the definition from memory)."""

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """Slots in the yard's own time. `day` (slot,): local day ordinal; `yard`, `crew`, `light` (slot,): open slots.

    `crew` holds the crew's hours by daylight; `hours` the same hours whether light or dark.
    """

    grid: Grid
    zone: ZoneInfo
    day: NDArray[np.int64]
    yard: Bools
    crew: Bools
    hours: Bools
    light: Bools

    def local(self, mark: int) -> datetime:
        """Local time of a mark."""
        return self.grid.time_of(mark).astimezone(self.zone)

    def said(self, mark: int) -> str:
        """A mark as people say it: "Tue 14 Apr 10:45"; past the known weather it says where the file ends."""
        if mark > self.grid.count:
            return f"after the weather file ends ({said(self.grid.end.astimezone(self.zone))})"
        return said(self.local(mark))

    def hour_said(self, mark: int, *, beside: int) -> str:
        """A mark beside another one: the clock alone where both fall on one day, else day and clock."""
        if mark <= self.grid.count and self.local(mark).date() == self.local(min(beside, self.grid.count)).date():
            return f"{self.local(mark):%H:%M}"
        return self.said(mark)

    def day_of_mark(self) -> NDArray[np.int64]:
        """Local day ordinal on which work that ends at each mark ends, shape (mark,): midnight sharp counts back."""
        return np.concatenate([self.day[:1], self.day])

    @cached_property
    def day_ends(self) -> NDArray[np.int64]:
        """First slot of the day after that on which work that ends at each mark ends, shape (mark,)."""
        return np.searchsorted(self.day, self.day_of_mark(), side="right")


def said(local: datetime) -> str:
    """Day and clock in English, whatever the locale: "Tue 14 Apr 10:45"."""
    return f"{day_said(local.date())} {local:%H:%M}"


def day_said(day: date) -> str:
    """A date in English: "Tue 14 Apr".

    >>> day_said(date(2026, 4, 14))
    'Tue 14 Apr'
    """
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def calendar_for(yard: Yard, crew: Crew, *, grid: Grid, sun_elevation_deg: NDArray[np.float64]) -> Calendar:
    """Calendar of a job; `sun_elevation_deg` (slot,)."""
    zone = ZoneInfo(yard.zone_name)
    day, minute = grid.local(zone)
    light = np.asarray(sun_elevation_deg > TWILIGHT_DEG)
    hours = open_slots(crew.hours, (), day=day, minute=minute)
    return Calendar(
        grid=grid,
        zone=zone,
        day=day,
        yard=open_slots(yard.hours, yard.closed, day=day, minute=minute),
        crew=hours & light,
        hours=hours,
        light=light,
    )


def open_slots(
    hours: Sequence[Hours], closed: Iterable[date], *, day: NDArray[np.int64], minute: NDArray[np.int64]
) -> Bools:
    """Slots that lie wholly within the hours of their weekday and not on a closed date, shape (slot,)."""
    weekday = (day + 6) % 7  # ordinal 1 was a Monday
    found = np.zeros(day.shape, dtype=np.bool_)
    for span in hours:
        opens, closes = _minute(span.opens), _minute(span.closes) or 1440
        found |= (weekday == span.weekday) & (minute >= opens) & (minute + 15 <= closes)
    shut = np.array([when.toordinal() for when in closed], dtype=np.int64)
    return found & ~np.isin(day, shut)


def _minute(clock: time) -> int:
    return clock.hour * 60 + clock.minute


def finish_of_work(open_: Bools, slots: int) -> Marks:
    """Mark at which work of `slots` open slots ends if taken up at each slot, pausing while closed, shape (slot,).

    Work taken up while closed waits for the next open slot. `count + 1` where it does not end in time.

    >>> finish_of_work(np.array([1, 1, 0, 0, 1, 1], dtype=bool), 3).tolist()
    [5, 6, 7, 7, 7, 7]
    """
    count = open_.size
    if slots < 1:
        return np.arange(count, dtype=np.int32)
    which = np.flatnonzero(open_).astype(np.int32)
    ends = np.full(which.size + 1, count + 1, dtype=np.int32)  # by the rank of the first open slot of the work
    ends[: max(which.size - slots + 1, 0)] = which[slots - 1 :] + 1
    rank = np.cumsum(open_, dtype=np.int32)
    rank -= open_  # open slots before: the rank of the next open one
    return np.take(ends, rank)


def finish_at_once(count: int, slots: int) -> Marks:
    """Mark at which work that does not pause ends, by start slot, shape (slot,); `count + 1` past the end."""
    ends = np.arange(count, dtype=np.int32) + np.int32(slots)
    return np.where(ends > count, np.int32(count + 1), ends).astype(np.int32)


def all_open(open_: Bools, slots: int) -> Bools:
    """Slots from which `slots` slots on end are all open, shape (slot,).

    >>> all_open(np.array([1, 1, 1, 0, 1], dtype=bool), 2).tolist()
    [True, True, False, False, False]
    """
    count = open_.size
    found = np.zeros(count, dtype=np.bool_)
    if slots <= count:
        shut = np.zeros(count + 1, dtype=np.int32)
        np.cumsum(~open_, dtype=np.int32, out=shut[1:])
        found[: count - slots + 1] = shut[slots:] == shut[: count - slots + 1]
    return found


def worked(open_: Bools, start: int, slots: int) -> tuple[int, int]:
    """First slot and end mark of `slots` open slots of work taken up at `start`."""
    which = np.flatnonzero(open_[start:])[:slots] + start
    return int(which[0]), int(which[-1]) + 1
