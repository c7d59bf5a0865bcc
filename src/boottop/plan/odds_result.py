"""The answer of a study: weeks and options side by side, what they rest on, and what was left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boottop.plan.odds_names import POLICIES
from boottop.plan.odds_table import Pick, Starts, WeekRow, always, best_of, rows_of, week_rows, with_forecast
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
class Line:
    """One policy of an option: its table by week, and its row for the week asked about (None where no start of that
    week could be walked)."""

    label: str
    weeks: tuple[WeekRow, ...]
    here: WeekRow | None


@dataclass(frozen=True, kw_only=True)
class OptionOdds:
    """One option: each policy held to throughout, the best of them (for the week asked about), the best of them for a
    crew that has only its forecast, and hindsight's choice among them at every start."""

    option: Option
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
    gave_up: int
    options: tuple[OptionOdds, ...]


def way_label(way: Way) -> str:
    """A way of working in words."""
    words = POLICIES[way.policy]
    if way.wait_days is not None:
        words = f"both sides on one day if one comes within {way.wait_days} lost days, else a side a day"
    return f"{words}; {'of equals ' if way.policy == 'longest_first' else ''}{way.first} first"


def place_odds(place: str, starts: Starts, ways: Sequence[Way], *, question: Question) -> PlaceOdds:
    """The whole answer for one place."""
    options = tuple(dict.fromkeys(way.option for way in ways))
    return PlaceOdds(
        place=place,
        question=question,
        years=starts.years,
        horizon_days=starts.horizon_days,
        starts=starts.week.size,
        gave_up=0,
        options=tuple(_option_odds(starts, ways, option=option, question=question) for option in options),
    )


def _option_odds(starts: Starts, ways: Sequence[Way], *, option: Option, question: Question) -> OptionOdds:
    rows = rows_of(ways, option)
    picks = [always(starts, row, way_label(ways[row])) for row in rows]
    lines = [_line(starts, pick, question) for pick in picks]
    best = max(range(len(lines)), key=lambda index: _worth(lines[index], question))
    told = with_forecast(starts)
    rolled = [_line(told, pick, question) for row, pick in zip(rows, picks, strict=True) if ways[row].wait_days is None]
    return OptionOdds(
        option=option,
        policies=tuple(lines),
        best=lines[best],
        forecast=max(rolled, key=lambda line: _worth(line, question)),
        hindsight=_line(starts, best_of(starts, rows, HINDSIGHT), question),
    )


def _line(starts: Starts, pick: Pick, question: Question) -> Line:
    wanted = sorted({*question.within, question.target_days})
    weeks = week_rows(starts, pick, within=wanted, seed=question.seed)
    here = next((row for row in weeks if row.week == question.week), None)
    return Line(label=pick.label, weeks=weeks, here=here)


def _worth(line: Line, question: Question) -> tuple[float, float]:
    """The likelier in time first, then the cheaper; in the week asked about, or over all weeks without it."""
    rows = [line.here] if line.here is not None else list(line.weeks)
    chance = float(np.mean([row.within[question.target_days].value for row in rows]))
    return chance, -float(np.mean([row.cost_minor.value for row in rows]))
