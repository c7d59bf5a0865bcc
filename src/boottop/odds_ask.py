"""A whole study as a command or a page asks for it: files in, answers out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.odds_places import Place, ashore_at
from boottop.odds_spread import Spread, Told, run_study
from boottop.odds_wish import Wish
from boottop.odds_work import Coverage, Part, Piece, Season, Study, pieces_of
from boottop.workflow import Ashore

TARGET_DAYS = 14

if TYPE_CHECKING:
    from boottop.files.weather.stretches import Stretches
    from boottop.plan.odds_result import PlaceOdds, Question
    from boottop.plan.odds_table import Starts
    from boottop.plan.odds_ways import Way


@dataclass(frozen=True, kw_only=True)
class Ask:
    """What is asked of which files. `files` are the yard's own; `places` instead: the same job at several."""

    files: tuple[Path, ...] = ()
    places: tuple[Place, ...] = ()
    station: str | None = None
    assume_dry: bool = False
    study: Study
    question: Question


@dataclass(frozen=True, kw_only=True)
class FileRead:
    """What a file gave: where it is from, from when to when, its holes, and by year the starts that had to go."""

    name: str
    stretches: Stretches
    coverage: tuple[Coverage, ...]


@dataclass(frozen=True, kw_only=True)
class PlaceAnswer:
    """The answer for one place, with all that it rests on."""

    ashore: Ashore
    files: tuple[FileRead, ...]
    odds: PlaceOdds
    starts: Starts
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Answer:
    """The answer of a study, place by place in the order asked."""

    ashore: Ashore
    ask: Ask
    places: tuple[PlaceAnswer, ...]


@dataclass(frozen=True, kw_only=True)
class _Read:
    """A place whose files were read: the job as it is there, and the pieces to be walked."""

    name: str
    ashore: Ashore
    words: tuple[str, ...]
    files: tuple[FileRead, ...]
    pieces: tuple[Piece, ...]


def answer(ashore: Ashore, ask: Ask, *, spread: Spread, told: Told) -> Answer:
    """Read, walk, count. The pieces of all places go to the workers together."""
    from boottop.plan.odds_result import place_odds

    _check_twice(ask)
    reads = _read_places(ashore, ask)
    pieces = [piece for read in reads for piece in read.pieces]
    parts = iter(run_study({read.name: read.ashore for read in reads}, pieces, ask.study, spread=spread, told=told))
    answers = []
    for read in reads:
        own = [next(parts) for _ in read.pieces]
        starts = joined(own, ask.study)
        answers.append(
            PlaceAnswer(
                ashore=read.ashore,
                files=read.files,
                odds=place_odds(read.name, starts, ask.study.ways, question=ask.question),
                starts=starts,
                notes=(*read.words, *dict.fromkeys(note for part in own for note in part.notes)),
            )
        )
    return Answer(ashore=ashore, ask=ask, places=tuple(answers))


def _read_places(ashore: Ashore, ask: Ask) -> list[_Read]:
    if not ask.places:
        files, pieces = read_files(ashore, ask, Place(name="", files=ask.files, station=ask.station))
        name = ashore.job.plan.yard.name
        return [_Read(name=name, ashore=ashore, words=(), files=files, pieces=_at(name, pieces))]
    found = []
    for place in ask.places:
        place = replace(place, station=place.station or ask.station)
        there, words = ashore_at(ashore, place)
        files, pieces = read_files(there, ask, place)
        found.append(_Read(name=place.name, ashore=there, words=(words,), files=files, pieces=_at(place.name, pieces)))
    return found


def _at(name: str, pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    return tuple(replace(piece, at=name) for piece in pieces)


def _check_twice(ask: Ask) -> None:
    files = [*ask.files, *(path for place in ask.places for path in place.files)]
    if not files or (ask.files and ask.places):
        raise InputError(
            Problem(
                where="--weather",
                found="no weather file" if not files else "files beside those of --place",
                allowed="--weather FILE for the yard, or --place NAME=FILE for each of several places",
                advice="Give the yard a name too, --place NAME=FILE, when it is to be one of several.",
            )
        )
    given: list[tuple[Path, str | None]] = [(path.resolve(), None) for path in ask.files]
    given += [(path.resolve(), place.station) for place in ask.places for path in place.files]
    if len(set(given)) < len(given):
        raise InputError(
            Problem(
                where="--weather" if ask.files else "--place",
                found="a file that is given twice",
                allowed="each file once: its years would count twice",
                advice="Leave one of them away.",
            )
        )


def read_files(ashore: Ashore, ask: Ask, place: Place) -> tuple[tuple[FileRead, ...], tuple[Piece, ...]]:
    """Every file of a place with its stretches, and the pieces to be walked; InputError when there are none."""
    from boottop.files.weather.stretches import load_stretches

    job, zone = ashore.job, ZoneInfo(ashore.job.plan.yard.zone_name)
    reads: list[FileRead] = []
    pieces: list[Piece] = []
    for path in place.files:
        stretches = load_stretches(path, site=job.site, station=place.station, assume_dry=ask.assume_dry)
        first, last = (datetime.fromtimestamp(at, tz=zone).date() for at in stretches.covers_s)
        found, coverage = pieces_of(job, path.name, stretches.weathers, study=ask.study, covers=(first, last))
        reads.append(FileRead(name=path.name, stretches=stretches, coverage=coverage))
        pieces += found
    if not pieces:
        raise _no_starts(ask, reads)
    return tuple(reads), tuple(pieces)


def joined(parts: Sequence[Part], study: Study) -> Starts:
    """All starts of the parts, in order."""
    from boottop.plan.odds_table import Starts, week_of
    from boottop.plan.odds_ways import Outcomes

    day = np.concatenate([part.start_day for part in parts])
    year = np.array([date.fromordinal(int(at)).year for at in day], dtype=np.int64)
    outcomes = [part.outcomes for part in parts]
    return Starts(
        week=week_of(day),
        year=year,
        outcomes=Outcomes(
            **{
                one.name: np.concatenate([getattr(part, one.name) for part in outcomes], axis=1)
                for one in fields(Outcomes)
            }
        ),
        horizon_days=study.horizon_days,
    )


def _no_starts(ask: Ask, reads: Sequence[FileRead]) -> Exception:
    longest = max((weather.hours for read in reads for weather in read.stretches.weathers), default=0)
    return InputError(
        Problem(
            where=", ".join(read.name for read in reads),
            found=f"no start in the season with {ask.study.horizon_days} days of weather after it "
            f"(longest stretch without a hole: {longest // 24} days)",
            allowed="a stretch of known weather longer than the horizon",
            advice="Give a shorter --horizon, another season or a fuller file.",
        )
    )


def study_ways(ashore: Ashore, wish: Wish) -> tuple[Way, ...]:
    """The ways wished for, checked against the job; InputError with all that cannot be."""
    from boottop.plan.odds_ways import Option, ways_for

    plan, problems = ashore.job.plan, []
    if True in wish.tents and plan.hire.tent_from is None:
        problems.append(
            Problem(
                where="--tent",
                found="yes, and no tent on offer",
                allowed="a tent with its days and price in the job sheet",
                advice="Write [hire.tent] with from, to and cost.",
            )
        )
    if wish.coats and not any(system.role == "antifouling" for system in plan.systems):
        problems.append(
            Problem(where="--coats", found="no antifouling", allowed="a job with one", advice="Leave --coats away.")
        )
    most = max((job.people for job in plan.extra_jobs), default=1)
    people = wish.people or (plan.crew.people,)
    if min(people) < most:
        problems.append(
            Problem(
                where="--crew",
                found=f"{min(people)}, and an own job that takes {most}",
                allowed=f"{most} people or more",
                advice="Take more hands, or strike that job from a copy of the sheet.",
            )
        )
    if problems:
        raise InputError(problems)
    options = [
        Option(people=hands, tent=tent, coats=coats)
        for hands in dict.fromkeys(people)
        for tent in wish.tents
        for coats in (dict.fromkeys(wish.coats) or (None,))
    ]
    return ways_for(options, wish.sides, firsts=wish.firsts, waits=wish.waits)


def week_asked(ashore: Ashore, season: Season, asked: str | None = None) -> int:
    """Week of the year of a day written MM-DD; without one that of the job's own earliest haul-out, or of the season's
    first day when it lies outside."""
    from boottop.plan.odds_table import week_of

    if asked is not None:
        return int(week_of(np.array([date(2023, *_month_day("--week", asked)).toordinal()]))[0])
    day = ashore.job.plan.wishes.earliest_haul.astimezone(ZoneInfo(ashore.job.plan.yard.zone_name)).date()
    first = day if season.holds(day) else date(2023, *season.first)
    return int(week_of(np.array([first.toordinal()]))[0])


def days_wanted(ashore: Ashore) -> int:
    """Days from the earliest haul-out to the launch that is wanted, two weeks where the sheet wants none."""
    wishes = ashore.job.plan.wishes
    if wishes.wanted_launch is None:
        return TARGET_DAYS
    first = wishes.earliest_haul.astimezone(ZoneInfo(ashore.job.plan.yard.zone_name)).date()
    return min(max((wishes.wanted_launch - first).days, 2), 60)


def season_of(first: str, last: str) -> Season:
    """A season from two days written MM-DD; InputError when one is none."""
    return Season(first=_month_day("--from", first), last=_month_day("--to", last))


def _month_day(option: str, text: str) -> tuple[int, int]:
    try:
        day = date.fromisoformat(f"2023-{text}")
    except ValueError:
        raise InputError(
            Problem(where=option, found=repr(text), allowed="a day such as 04-15", advice="Write month-day, MM-DD.")
        ) from None
    return day.month, day.day
