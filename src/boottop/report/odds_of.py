"""The result of a study as it was written (`boottop odds --save`), read back for page and pictures."""

from __future__ import annotations

import json
import math
from typing import Any

from pydantic import ValidationError

from boottop.base.errors import InputError, Problem
from boottop.files.documents import as_json
from boottop.files.odds_json import IntervalOut, LineOut, OddsDocument, OptionOut, PlaceOut, WeekOut
from boottop.plan.odds_reasons import REASONS
from boottop.plan.odds_result import Line, OptionOdds, PlaceOdds, Question
from boottop.plan.odds_table import Interval, WeekRow, week_label
from boottop.plan.odds_ways import Option

LARGEST_BYTES = 8_000_000
WEEKS, MOST_OPTIONS, MOST_PLACES, MOST = 53, 60, 30, 1e13
WEEK_OF = {week_label(week): week for week in range(WEEKS)}


def read_odds(content: bytes | str, *, where: str) -> OddsDocument:
    """A result as `boottop odds` wrote it; InputError with what is wrong with anything else."""
    if len(content) > LARGEST_BYTES:
        raise InputError(_no_result(where, f"{len(content) / 1e6:.0f} MB"))
    try:
        document = OddsDocument.model_validate(json.loads(content, parse_constant=_no_number))
        as_json(document).encode("utf-8")  # half a character in a name could be neither shown nor kept
        for place in document.places:
            _check(place, document.target_days)
            placed(place, document)
    except ValidationError as error:
        first = error.errors()[0]
        found = f"{'.'.join(map(str, first['loc']))}: {first['msg']}"
        raise InputError(_no_result(where, found[:160])) from None
    except (ValueError, KeyError, RecursionError, OverflowError) as error:
        raise InputError(_no_result(where, str(error)[:160])) from None
    if not document.places:
        raise InputError(_no_result(where, "no place"))
    return document


def placed(place: PlaceOut, document: OddsDocument) -> PlaceOdds:
    """The odds of one place, as the pictures take them."""
    question = Question(target_days=document.target_days, week=WEEK_OF[document.week_of], seed=document.seed)
    return PlaceOdds(
        place=place.name,
        question=question,
        years=tuple(place.years),
        horizon_days=document.horizon_days,
        starts=place.starts,
        options=tuple(_option(option, question.week) for option in place.options),
    )


def _option(option: OptionOut, week: int) -> OptionOdds:
    return OptionOdds(
        option=Option(people=option.people, tent=option.tent, coats=option.coats),
        ashore_days=tuple(option.days_ashore),
        policies=tuple(_line(line, week) for line in option.policies),
        best=_line(option.best, week),
        forecast=_line(option.by_forecast, week),
        hindsight=_line(option.hindsight, week),
    )


def _line(line: LineOut, week: int) -> Line:
    weeks = tuple(_week(row) for row in line.weeks)
    return Line(
        label=line.how, short=line.how, weeks=weeks, here=next((row for row in weeks if row.week == week), None)
    )


def _week(row: WeekOut) -> WeekRow:
    def interval(one: IntervalOut) -> Interval:
        return Interval(value=one.value, low=one.low, high=one.high, starts=row.starts, years=row.years)

    return WeekRow(
        week=WEEK_OF[row.week_of],
        within={one.days: interval(one.chance) for one in row.within},
        never=interval(row.never),
        ashore=interval(row.days_ashore),
        cost_minor=interval(row.cost_minor),
        lost={name: math.nan if (days := row.days_lost[name]) is None else days for name in REASONS},
        spoilt=row.spoilt,
    )


def _check(place: PlaceOut, target_days: int) -> None:
    """What drawing relies on: rows of one table alike, shares from 0 to 1, numbers that can be."""
    if not 0 < len(place.options) <= MOST_OPTIONS:
        raise ValueError(f"{len(place.options)} options at {place.name}")
    lines = [line for one in place.options for line in (one.best, one.by_forecast, one.hindsight, *one.policies)]
    for line in lines:
        days = [one.days for one in line.weeks[0].within] if line.weeks else []
        if len({row.week_of for row in line.weeks}) != len(line.weeks):
            raise ValueError("a week that comes twice")
        for row in line.weeks:
            _check_row(row, days, target_days)


def _check_row(row: WeekOut, days: list[int], target_days: int) -> None:
    if [one.days for one in row.within] != days or target_days not in days:
        raise ValueError(f"other numbers of days in the week of {row.week_of}")
    for share in (row.never, *(one.chance for one in row.within)):
        if not all(0.0 <= part <= 1.0 for part in (share.value, share.low, share.high) if part is not None):
            raise ValueError(f"a chance outside 0 to 1 in the week of {row.week_of}")
    means = (row.days_ashore.value, row.cost_minor.value, row.spoilt, *row.days_lost.values())
    if not all(0.0 <= mean <= MOST for mean in means if mean is not None):
        raise ValueError(f"a number that cannot be in the week of {row.week_of}")


def _no_number(text: str) -> Any:
    raise ValueError(f"{text}, which is no number")


def _no_result(where: str, found: str) -> Problem:
    return Problem(
        where=where,
        found=found.encode("utf-8", "replace").decode("utf-8"),
        allowed="the result of a study as `boottop odds ... --save odds.json` writes it, 8 MB at most",
        advice="Run the study again with this boottop, and give the file that --save wrote.",
    )
