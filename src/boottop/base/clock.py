"""One place for time: aware UTC inside, the yard's zone at the edges, a 15-minute grid of slots."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from boottop.base.errors import InputError, Problem

SLOT_S = 900
SLOTS_PER_HOUR = 3600 // SLOT_S


@dataclass(frozen=True, kw_only=True)
class Grid:
    """`count` slots of 15 minutes from `start` (aware UTC, on a whole hour).

    Slot s is the span [start + s*900 s, start + (s+1)*900 s). A *mark* is a slot boundary 0..count;
    `beyond` = count + 1 stands for "not within the known weather" (never for "never").
    """

    start: datetime
    count: int

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or self.start.utcoffset() != timedelta(0):
            raise InputError(
                Problem(
                    where="grid start",
                    found=repr(self.start),
                    allowed="an aware UTC time",
                    advice="Convert the time to UTC before building the grid.",
                )
            )

    @property
    def days(self) -> int:
        """How many days it spans, a begun one as one."""
        return -(-self.count // (24 * SLOTS_PER_HOUR))

    @property
    def beyond(self) -> int:
        return self.count + 1

    @property
    def end(self) -> datetime:
        return self.time_of(self.count)

    def time_of(self, mark: int) -> datetime:
        """Aware UTC time of a mark."""
        return self.start + timedelta(seconds=SLOT_S * int(mark))

    def mark_at_or_after(self, when: datetime) -> int:
        """First mark not before `when` (aware); may lie outside 0..count."""
        return -int((self.start - when) // timedelta(seconds=SLOT_S))

    def mark_at_or_before(self, when: datetime) -> int:
        """Last mark not after `when` (aware); may lie outside 0..count."""
        return int((when - self.start) // timedelta(seconds=SLOT_S))

    def epoch_s(self) -> NDArray[np.int64]:
        """Start of every slot in seconds since 1970-01-01 UTC, shape (slot,)."""
        first = int(self.start.timestamp())
        return first + SLOT_S * np.arange(self.count, dtype=np.int64)

    def local(self, zone: ZoneInfo) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Local day ordinal (date.toordinal) and minute of the local day at each slot start, both shape (slot,)."""
        offsets = _offsets_s(self.epoch_s(), zone)
        local_s = self.epoch_s() + offsets
        return local_s // 86400 + date(1970, 1, 1).toordinal(), (local_s % 86400) // 60


def _offsets_s(epoch_s: NDArray[np.int64], zone: ZoneInfo) -> NDArray[np.int64]:
    """Offset from UTC at the full hour of each time, (slot,): asked once a day, and hour by hour on the days in
    which the clocks change. No zone since 1970 changes its clocks there and back within one day of UTC."""
    hours = epoch_s // 3600
    days = hours // 24
    first, last = (int(days.min()), int(days.max()) + 1) if days.size else (0, 0)
    by_day = [_offset_at(day * 86400, zone) for day in range(first, last + 1)]
    found = np.asarray(by_day, dtype=np.int64)[days - first]
    for day in range(first, last):
        if by_day[day - first] != by_day[day - first + 1]:
            here = np.flatnonzero(days == day)
            found[here] = [_offset_at(int(hour) * 3600, zone) for hour in hours[here]]
    return found


def _offset_at(epoch_s: int, zone: ZoneInfo) -> int:
    offset = datetime.fromtimestamp(epoch_s, tz=zone).utcoffset()
    return int(offset.total_seconds()) if offset is not None else 0


def zone_info(name: str, *, where: str) -> ZoneInfo:
    """Time zone by its IANA name; InputError naming `where` if there is none."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError(
            Problem(
                where=where,
                found=repr(name),
                allowed="an IANA time zone such as Europe/Lisbon",
                advice="Write the zone of the yard as continent/city.",
            )
        ) from None


def to_utc(wall: datetime, zone: ZoneInfo, *, where: str) -> datetime:
    """Aware UTC from a wall-clock time in the yard's zone; doubled or missing hours are refused, never guessed."""
    if wall.tzinfo is not None:
        return wall.astimezone(UTC)
    first, second = wall.replace(tzinfo=zone, fold=0), wall.replace(tzinfo=zone, fold=1)
    if first.utcoffset() == second.utcoffset():
        return first.astimezone(UTC)
    back = first.astimezone(UTC).astimezone(zone).replace(tzinfo=None)
    kind = "happens twice" if back == wall else "does not exist"
    raise InputError(
        Problem(
            where=where,
            found=f"{wall.isoformat(sep=' ')}, which {kind} in {zone.key} (the clocks change)",
            allowed="a time that exists once, or one with its offset from UTC",
            advice="Write the offset too, for instance 2026-10-25T02:30:00+01:00.",
        )
    )


def hour_count(start: datetime, end: datetime) -> float:
    """Hours from start to end, both aware."""
    return (end - start) / timedelta(hours=1)
