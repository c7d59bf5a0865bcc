"""The answer of a study: weeks and options side by side, what they rest on, and what was left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.plan.odds_names import POLICIES
from boottop.plan.odds_table import (
    Pick,
    Starts,
    WeekRow,
    always,
    best_of,
    rows_of,
    week_rows,
    with_forecast,
    year_draws,
)
from boottop.plan.odds_ways import Option, Way

WITHIN_DAYS = (7, 10, 14, 18, 21, 28)
TARGET_DAYS = 14
HINDSIGHT = "best of these with hindsight"


@dataclass(frozen=True, kw_only=True)
class Question:
    """How the answer is cut: numbers of days for the chances, the one by which options are compared, the week of the
    start for which they are compared, and the seed of the resamples."""

    within: tuple[int, ...] = WITHIN_DAYS
    target_days: int = TARGET_DAYS
    week: int
    seed: int = 20


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """A question with the resamples of the years, drawn once for all tables."""

    question: Question
    within: tuple[int, ...]
    draws: NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Line:
    """One policy of an option: its table by week (of `OptionOdds.policies` that week alone), and its row for the week
    asked about (None where no start of that week could be walked)."""

    label: str
    short: str
    weeks: tuple[WeekRow, ...]
    here: WeekRow | None


@dataclass(frozen=True, kw_only=True)
class OptionOdds:
    """One option: each policy held to throughout, the best of them (for the week asked about), the best of them for a
    crew that has only its forecast, and hindsight's choice among them at every start. `ashore_days`: of the best, the
    days ashore of every finished start of the week asked about."""

    option: Option
    ashore_days: tuple[int, ...]
    policies: tuple[Line, ...]
    best: Line
    forecast: Line
    hindsight: Line


@dataclass(frozen=True, kw_only=True)
class PlaceOdds:
    """The answer for one place."""

    place: str
    question: Question
    years: tuple[int, ...]
    horizon_days: int
    starts: int
    options: tuple[OptionOdds, ...]

    @property
    def likeliest(self) -> OptionOdds:
        """The option whose best policy is likeliest in time in the week asked about, the cheaper of equals."""

        def rank(one: OptionOdds) -> tuple[float, float]:
            here = one.best.here
            if here is None:
                return -1.0, 0.0
            return here.within[self.question.target_days].value, -here.cost_minor.value

        return max(self.options, key=rank)


def way_short(way: Way) -> str:
    """A way of working in few words, for narrow tables: "side by side, port first"."""
    waits = "" if way.wait_days is None else f" if within {way.wait_days} d"
    return f"{way.policy.replace('_', ' ')}{waits}, {way.first} first"


def way_label(way: Way) -> str:
    """A way of working in words."""
    words = POLICIES[way.policy]
    if way.wait_days is not None:
        words = f"both sides on one day if one comes within {way.wait_days} lost days, else a side a day"
    return f"{words}; {'of equals ' if way.policy == 'longest_first' else ''}{way.first} first"


def place_odds(place: str, starts: Starts, ways: Sequence[Way], *, question: Question) -> PlaceOdds:
    """The whole answer for one place."""
    options = tuple(dict.fromkeys(way.option for way in ways))
    within = tuple(sorted({*question.within, question.target_days}))
    asked = _Asked(question=question, within=within, draws=year_draws(len(starts.years), seed=question.seed))
    return PlaceOdds(
        place=place,
        question=question,
        years=starts.years,
        horizon_days=starts.horizon_days,
        starts=starts.week.size,
        options=tuple(_option_odds(starts, ways, option=option, asked=asked) for option in options),
    )


def _option_odds(starts: Starts, ways: Sequence[Way], *, option: Option, asked: _Asked) -> OptionOdds:
    rows = rows_of(ways, option)
    told = with_forecast(starts)
    best, policies = _best(starts, ways, rows, asked=asked)
    rolled, _ = _best(told, ways, [row for row in rows if ways[row].wait_days is None], asked=asked)
    return OptionOdds(
        option=option,
        ashore_days=_ashore_days(starts, best, week=asked.question.week),
        policies=policies,
        best=_line(starts, always(starts, best, way_label(ways[best])), asked, short=way_short(ways[best])),
        forecast=_line(told, always(told, rolled, way_label(ways[rolled])), asked, short=way_short(ways[rolled])),
        hindsight=_line(starts, best_of(starts, rows, HINDSIGHT), asked, short="best of these"),
    )


def _ashore_days(starts: Starts, row: int, *, week: int) -> tuple[int, ...]:
    """Days ashore of every start of a week that was afloat within the horizon, the fewest first."""
    ashore = starts.outcomes.ashore[row][starts.week == week]
    return tuple(np.sort(ashore[ashore >= 0]).tolist())


def _best(starts: Starts, ways: Sequence[Way], rows: Sequence[int], *, asked: _Asked) -> tuple[int, tuple[Line, ...]]:
    """The way that is likeliest in time, the cheaper of equals, for the week asked about (all weeks where it has no
    start); and every way's row of that week."""
    question, draws = asked.question, asked.draws
    here = starts.week == question.week
    here = here if here.any() else np.ones_like(here)
    days, cost = starts.outcomes.days[list(rows)][:, here], starts.outcomes.cost_minor[list(rows)][:, here]
    chance = ((days >= 0) & (days <= question.target_days)).mean(axis=1)
    best = max(range(len(rows)), key=lambda index: (chance[index], -cost[index].mean()))
    lines = []
    for row in rows:
        pick = always(starts, row, way_label(ways[row]))
        week = week_rows(starts, pick, within=asked.within, draws=draws, week=question.week)
        lines.append(Line(label=pick.label, short=way_short(ways[row]), weeks=week, here=week[0] if week else None))
    return rows[best], tuple(lines)


def _line(starts: Starts, pick: Pick, asked: _Asked, *, short: str) -> Line:
    weeks = week_rows(starts, pick, within=asked.within, draws=asked.draws)
    here = next((row for row in weeks if row.week == asked.question.week), None)
    return Line(label=pick.label, short=short, weeks=weeks, here=here)
