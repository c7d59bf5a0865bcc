"""Calendar cells of other people's files to stamps: civil dates, hours 1 to 24, typical years laid onto real ones."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from datetime import UTC, datetime

import numpy as np

from boottop.base.errors import Problem
from boottop.files.weather.table import DAY_S, HOUR_S, Bools, Floats, Ints, Request, at_lines

YEARS = (1901, 2199)


def stamps_of(
    parts: Sequence[Floats], *, hours: tuple[int, int], lines: Ints, where: str
) -> tuple[Floats, list[Problem]]:
    """Epoch seconds of year, month, day and hour as if in UTC, NaN where there is no such hour; shape (row,).

    `hours` is the first and last number an hour may have in this format: 0 to 23, or 1 to 24.
    """
    days, good = _days(parts[0], parts[1], parts[2])
    with np.errstate(invalid="ignore"):
        good &= (parts[3] >= hours[0]) & (parts[3] <= hours[1]) & (np.floor(parts[3]) == parts[3])
    epoch = np.full(good.shape, np.nan)
    epoch[good] = days[good] * DAY_S + parts[3][good] * HOUR_S
    if good.all():
        return epoch, []
    problem = Problem(
        where=at_lines(f"{where}, date and hour,", lines[~good]),
        found="a date or hour that does not exist",
        allowed=f"a date from {YEARS[0]} to {YEARS[1]} and an hour from {hours[0]} to {hours[1]}",
        advice="Correct or remove the row.",
    )
    return epoch, [problem]


def _days(year: Floats, month: Floats, day: Floats) -> tuple[Ints, Bools]:
    """Days since 1970 and whether there is such a day, shape (row,)."""
    with np.errstate(invalid="ignore"):
        good = (year >= YEARS[0]) & (year <= YEARS[1]) & (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31)
        good &= (np.floor(year) == year) & (np.floor(month) == month) & (np.floor(day) == day)
    years, months, number = (np.where(good, part, 1).astype(np.int64) for part in (year, month, day))
    first = ((years - 1970) * 12 + months - 1).astype("datetime64[M]")
    days = first.astype("datetime64[D]") + (number - 1)
    good &= days.astype("datetime64[M]") == first
    return days.astype(np.int64), good


def is_typical(dates: Ints) -> bool:
    """Whether the months of `dates` (year, month, day, minutes; shape (row, 4)) come from years out of order."""
    return len(set(dates[:, 0].tolist())) > 2 or bool((np.diff(dates[:, 0]) < 0).any())


def typical_note(dates: Ints) -> str:
    """What is told about a typical year."""
    return (
        f"typical year: its months come from {dates[:, 0].min()} to {dates[:, 0].max()} and are laid onto the year "
        "asked for; it is a year like those here, not a forecast, and the seams between its months are not real weather"
    )


def laid_onto(dates: Ints, offset_h: float, request: Request) -> tuple[Ints, Ints]:
    """Rows and stamps of the typical year, repeated over the years of the window and one on either side."""
    leap_day = bool(((dates[:, 1] == 2) & (dates[:, 2] == 29)).any())
    if request.start_s is None:
        first = int(dates[0, 0])
        first += int(calendar.isleap(first) and not leap_day)
        wanted = [first]
    else:
        end_s = request.end_s if request.end_s is not None else request.start_s + 366 * DAY_S
        span = [datetime.fromtimestamp(second, tz=UTC).year for second in (request.start_s, end_s)]
        wanted = list(range(max(YEARS[0], span[0] - 1), min(YEARS[1], span[1] + 1) + 1))
    rows, stamps = [], []
    for year in wanted:
        real = np.flatnonzero((dates[:, 1] != 2) | (dates[:, 2] != 29) | calendar.isleap(year))
        moved = dates[real].copy()
        moved[:, 0] = year
        rows.append(real)
        stamps.append(epoch_s(moved, offset_h))
    return np.concatenate(rows), np.concatenate(stamps)


def epoch_s(dates: Ints, offset_h: float) -> Ints:
    """Epoch seconds of year, month, day and minutes since midnight (shape (row, 4)) at an offset from UTC."""
    months = (dates[:, 0] - 1970) * 12 + dates[:, 1] - 1
    days = months.astype("datetime64[M]").astype("datetime64[D]").astype(np.int64) + dates[:, 2] - 1
    return days * DAY_S + dates[:, 3] * 60 - round(offset_h * HOUR_S)
