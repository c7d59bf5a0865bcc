"""Chances, days and money by week of the start, each with an interval from resampling whole years."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from boottop.plan.calendar import MONTHS
from boottop.plan.odds_reasons import REASONS
from boottop.plan.odds_ways import Option, Outcomes, Way

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Measured = float
"""A share, days, times or minor units of money in the mean: as the field says that holds it."""
LEVEL = 0.9
_RESAMPLES = 1000


@dataclass(frozen=True, kw_only=True)
class Starts:
    """All starts of a study at one place: `week` (start,) 0..52, `year` (start,), and what came of each way."""

    week: NDArray[np.int64]
    year: NDArray[np.int64]
    outcomes: Outcomes
    horizon_days: int
    by_forecast: bool = False

    @property
    def years(self) -> tuple[int, ...]:
        """The years that the starts lie in."""
        return tuple(int(year) for year in np.unique(self.year))


@dataclass(frozen=True, kw_only=True)
class Interval:
    """A share or a mean with the middle 90 % of what other draws of the same years would have given.

    `low`, `high` None where there is only one year: one year says nothing of the spread between years. `starts` and
    `years` that it rests on.
    """

    value: Measured
    low: Measured | None
    high: Measured | None
    starts: int
    years: int


@dataclass(frozen=True, kw_only=True)
class WeekRow:
    """One week of starts: chances to be afloat within each number of days, the share never afloat within the horizon,
    mean days ashore and mean cost (a job that is not done counted up to the horizon, so both are least values where
    some are), mean days lost by reason, and how often coats were spoilt and done again, in the mean."""

    week: int
    within: Mapping[int, Interval]
    never: Interval
    ashore: Interval
    cost_minor: Interval
    lost: Mapping[str, float]
    spoilt: Measured


@dataclass(frozen=True, kw_only=True)
class Pick:
    """Which way stands for each start: its row by (start,), and what it is called."""

    label: str
    row: NDArray[np.int64]


def with_forecast(starts: Starts) -> Starts:
    """The same starts as the crew that goes by its forecast meets them; days lost are not told apart by reason."""
    done = starts.outcomes
    outcomes = replace(
        done,
        days=done.forecast_days,
        ashore=done.forecast_ashore,
        cost_minor=done.forecast_cost_minor,
        lost=np.zeros_like(done.lost),
    )
    return replace(starts, outcomes=outcomes, by_forecast=True)


def week_of(ordinals: NDArray[np.int64]) -> NDArray[np.int64]:
    """Week of the year of local day ordinals, 0..52, week 0 beginning on 1 January (of leap years from March on a day
    earlier, so that a week holds the same dates every year), shape as given.

    >>> week_of(np.array([date(2023, 1, 8).toordinal(), date(2024, 12, 31).toordinal()])).tolist()
    [1, 52]
    """
    weeks = {int(day): _common_day(date.fromordinal(int(day))) // 7 for day in np.unique(ordinals)}
    return np.array([weeks[int(day)] for day in ordinals], dtype=np.int64)


def _common_day(day: date) -> int:
    """Day of the year counted from 0 as if it had 365 days; 29 February goes with the 28th."""
    number = day.timetuple().tm_yday - 1
    leap = date(day.year, 12, 31).timetuple().tm_yday == 366
    return number - 1 if leap and number >= 59 else number


def week_label(week: int) -> str:
    """First day of a week as people say it: "7 May".

    >>> week_label(18)
    '7 May'
    """
    day = date.fromordinal(date(2023, 1, 1).toordinal() + 7 * week)
    return f"{day.day} {MONTHS[day.month - 1]}"


def best_of(starts: Starts, rows: Sequence[int], label: str) -> Pick:
    """At every start the way among `rows` that is afloat first, the cheapest of equals: what hindsight would take."""
    days = starts.outcomes.days[list(rows)].astype(np.int64)
    cost = starts.outcomes.cost_minor[list(rows)]
    late = np.where(days < 0, starts.horizon_days + 1, days)
    first = np.where(late == late.min(axis=0), cost, np.iinfo(np.int64).max)
    return Pick(label=label, row=np.asarray(list(rows), dtype=np.int64)[np.argmin(first, axis=0)])


def always(starts: Starts, row: int, label: str) -> Pick:
    """One way for every start."""
    return Pick(label=label, row=np.full(starts.week.size, row, dtype=np.int64))


def rows_of(ways: Sequence[Way], option: Option) -> list[int]:
    """Rows of an option's ways."""
    return [row for row, way in enumerate(ways) if way.option == option]


def week_rows(
    starts: Starts, pick: Pick, *, within: Sequence[int], draws: NDArray[np.int64], week: int | None = None
) -> tuple[WeekRow, ...]:
    """The table of one pick, a row for each week that has starts, or for one week; intervals by resampling years.

    Starts of one week are not independent, and neither are the weeks of one year: whole years are drawn with
    replacement, as many as there are (`draws`, see `year_draws`), and all their starts counted.
    """
    here = np.flatnonzero(starts.week == week) if week is not None else np.arange(starts.week.size)
    if not here.size:
        return ()
    weeks, at = np.unique(starts.week[here], return_inverse=True)
    values, never = _values(starts, pick, here, within=within)
    told = intervals(values, at, starts.year[here], years=starts.years, draws=draws)
    lost = starts.outcomes.lost[pick.row[here], here].astype(np.float64)
    spoilt = starts.outcomes.spoilt[pick.row[here], here] if starts.by_forecast else np.zeros(here.size)
    found = []
    for index, number in enumerate(weeks.tolist()):
        rows = at == index
        done = rows & ~never
        means = lost[done].mean(axis=0) if done.any() else np.full(len(REASONS), np.nan)
        found.append(
            WeekRow(
                week=number,
                within={days: told[place][index] for place, days in enumerate(within)},
                never=told[-3][index],
                ashore=told[-2][index],
                cost_minor=told[-1][index],
                spoilt=float(spoilt[rows].mean()),
                lost=dict(zip(REASONS, means.tolist(), strict=True)),
            )
        )
    return tuple(found)


def _values(starts: Starts, pick: Pick, here: NDArray[np.int64], *, within: Sequence[int]) -> tuple[Floats, Bools]:
    """What is averaged, (quantity, start): afloat within each number of days, never, days ashore, cost; and `never`."""
    rows, done = pick.row[here], starts.outcomes
    days, ashore = done.days[rows, here], done.ashore[rows, here]
    never = np.asarray(days < 0)
    limits = np.asarray(within)[:, None]
    in_time = (~never & (days <= limits)).astype(np.float64)
    rest = np.stack([never, np.where(never, starts.horizon_days, ashore), done.cost_minor[rows, here]])
    return np.concatenate([in_time, rest.astype(np.float64)]), never


def year_draws(years: int, *, seed: int, resamples: int = _RESAMPLES) -> NDArray[np.int64]:
    """How often each year is drawn in each resample, shape (resample, year)."""
    rng = np.random.default_rng(seed)
    drawn = rng.integers(years, size=(resamples, years))
    return np.asarray([np.bincount(row, minlength=years) for row in drawn], dtype=np.int64)


def intervals(
    values: Floats, week: NDArray[np.int64], year: NDArray[np.int64], *, years: Sequence[int], draws: NDArray[np.int64]
) -> list[list[Interval]]:
    """Means by quantity and week with the middle 90 % of their resamples; `values` (quantity, start), `week` from 0.

    A resample without a start of a week does not count for it; a week with starts of one year has no interval.
    """
    count = int(week.max()) + 1
    cell = week * len(years) + np.searchsorted(np.asarray(years), year)
    size = count * len(years)
    starts = np.bincount(cell, minlength=size).reshape(count, len(years))
    sums = np.stack([np.bincount(cell, weights=row, minlength=size) for row in values])
    sums = sums.reshape(values.shape[0], count, len(years))
    present = (starts > 0).sum(axis=1)
    total = draws @ starts.T
    with np.errstate(invalid="ignore", divide="ignore"):
        means = np.where(
            total[:, None] > 0, np.einsum("ry,qwy->rqw", draws, sums, optimize=True) / total[:, None], np.nan
        )
    low, high = _edges(means)
    return [
        [
            Interval(
                value=float(sums[row, at].sum() / starts[at].sum()),
                low=float(low[row, at]) if present[at] > 1 else None,
                high=float(high[row, at]) if present[at] > 1 else None,
                starts=int(starts[at].sum()),
                years=int(present[at]),
            )
            for at in range(count)
        ]
        for row in range(values.shape[0])
    ]


def _edges(means: Floats) -> tuple[Floats, Floats]:
    """The edges of the middle 90 % over the first axis, by order statistics; what is not a number sorts last."""
    ordered = np.sort(means, axis=0)
    known = np.isfinite(ordered).sum(axis=0)
    low = np.floor((1.0 - LEVEL) / 2.0 * known).astype(np.int64)
    high = np.maximum(np.ceil((1.0 + LEVEL) / 2.0 * known).astype(np.int64) - 1, 0)
    low, high = (np.minimum(place, np.maximum(known - 1, 0))[None] for place in (low, high))
    return np.take_along_axis(ordered, low, axis=0)[0], np.take_along_axis(ordered, high, axis=0)[0]
