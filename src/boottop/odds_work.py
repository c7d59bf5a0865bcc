"""A study of the odds, part by part: one stretch of weather in one year, made into windows and walked through.

Pure like `workflow`: the weather is an argument. A part knows nothing of the others, so that they can be done in any
order, anywhere, with the same result.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import to_utc
from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Weather
from boottop.coating.scope import zones_for
from boottop.files.job import Job
from boottop.plan.inputs import Hire, PlanInput
from boottop.workflow import Ashore, Outlook, outlook_for

if TYPE_CHECKING:
    from boottop.plan.odds_ways import Outcomes, Way
    from boottop.plan.rules_draft import JobNetwork

HORIZON_DAYS = 35
_HOURLY = (
    "air_c", "dew_c", "wind_m_s", "rain_mm", "pressure_pa", "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "longwave_w_m2",
    "cloud",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Season:
    """Days of the year on which a start is looked at, from (month, day) to (month, day), both included; may run over
    the turn of the year."""

    first: tuple[int, int] = (1, 1)
    last: tuple[int, int] = (12, 31)

    def holds(self, day: date) -> bool:
        """Whether a start on that day is wanted."""
        at = (day.month, day.day)
        if self.first <= self.last:
            return self.first <= at <= self.last
        return at >= self.first or at <= self.last


@dataclass(frozen=True, kw_only=True)
class Study:
    """What is asked: the ways, the horizon in days from each start, the season, a start a day or at every slot; how
    often the forecast is right, and the seed of which days it is."""

    ways: tuple[Way, ...]
    horizon_days: int = HORIZON_DAYS
    season: Season = Season()
    every_slot: bool = False
    skill_share: float = 0.8
    seed: int = 20


@dataclass(frozen=True, kw_only=True)
class Piece:
    """What is to be walked in one go: the starts of one year that lie in one stretch of weather of one file, `place`;
    `at`: the name of the place of a study that the file belongs to."""

    place: str
    at: str = ""
    year: int
    weather: Weather
    first_day: date
    last_day: date

    @property
    def key(self) -> str:
        """Name of the piece, for files and progress."""
        return f"{self.place} {self.first_day:%Y-%m-%d}..{self.last_day:%Y-%m-%d}"


@dataclass(frozen=True, kw_only=True)
class Part:
    """Result of a piece. `start_day` (start,): local day ordinal; `start_minute` (start,): minute of it."""

    place: str
    year: int
    start_day: NDArray[np.int64]
    start_minute: NDArray[np.int16]
    outcomes: Outcomes
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Coverage:
    """Of the start days of one year of a file: how many there are in the season, how many could be walked, and how
    many were left out because the weather ends or has a hole within their horizon."""

    place: str
    year: int
    wanted: int
    walked: int

    @property
    def left_out(self) -> int:
        return self.wanted - self.walked


def pieces_of(
    job: Job, place: str, weathers: Sequence[Weather], *, study: Study, covers: tuple[date, date]
) -> tuple[tuple[Piece, ...], tuple[Coverage, ...]]:
    """The pieces of one file and, year by year, what its holes and ends cost. `covers`: first and last local day."""
    zone = ZoneInfo(job.plan.yard.zone_name)
    pieces: list[Piece] = []
    walked: dict[int, int] = {}
    for weather in weathers:
        first, last = _start_days(weather, zone, study.horizon_days)
        for year in range(first.year, last.year + 1):
            days = [
                day
                for day in _days(max(first, date(year, 1, 1)), min(last, date(year, 12, 31)))
                if study.season.holds(day)
            ]
            if days:
                piece = Piece(place=place, year=year, weather=weather, first_day=days[0], last_day=days[-1])
                pieces.append(replace(piece, weather=_cut(piece, zone, study.horizon_days)))
                walked[year] = walked.get(year, 0) + len(days)
    wanted = {
        year: sum(
            study.season.holds(day)
            for day in _days(max(covers[0], date(year, 1, 1)), min(covers[1], date(year, 12, 31)))
        )
        for year in range(covers[0].year, covers[1].year + 1)
    }
    coverage = tuple(
        Coverage(place=place, year=year, wanted=count, walked=walked.get(year, 0)) for year, count in wanted.items()
    )
    return tuple(pieces), coverage


def _start_days(weather: Weather, zone: ZoneInfo, horizon_days: int) -> tuple[date, date]:
    """First and last local day whose start has its whole horizon within the weather."""
    first = (weather.start + timedelta(hours=1)).astimezone(zone)
    begins = first.date() + timedelta(days=0 if first.time() == time(0) else 1)
    end = (weather.start + timedelta(hours=weather.hours - 1)).astimezone(zone)
    return begins, end.date() - timedelta(days=horizon_days + 1)


def _cut(piece: Piece, zone: ZoneInfo, horizon_days: int) -> Weather:
    """The weather of a piece with its run-in and a day or two after it: what is sent to whoever walks it."""
    weather = piece.weather
    begin = _midnight(piece.first_day, zone) - timedelta(days=3)
    end = _midnight(piece.last_day, zone) + timedelta(days=horizon_days + 4)
    first = max(0, (begin - weather.start) // timedelta(hours=1))
    hours = slice(first, max(first, (end - weather.start) // timedelta(hours=1)))
    return replace(
        weather,
        start=weather.start + timedelta(hours=first),
        filled={name: marks[hours] for name, marks in weather.filled.items()},
        **{name: getattr(weather, name)[:, hours] for name in _HOURLY},
    )


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=at) for at in range((last - first).days + 1)]


def walk_piece(ashore: Ashore, piece: Piece, study: Study, *, workers: int = 1) -> Part:
    """Windows of the piece as a plan makes them, and every way walked from every start."""
    from boottop.plan.odds_ways import Foresight, Terms, draft_ways, outcomes

    outlook, jobs = piece_networks(ashore, piece, study)
    foresight = Foresight(skill_share=study.skill_share, seed=study.seed, coat_minor=coat_minor(ashore))
    readies, pool = draft_ways(jobs, ashore.hull, study.ways, foresight=foresight)
    calendar = next(iter(jobs.values())).calendar
    starts, days = _starts(piece, study, calendar.day)
    wanted = np.array([_wanted(ashore.job.plan, date.fromordinal(int(day))) for day in days], dtype=np.int64)
    result = outcomes(
        readies,
        pool,
        starts,
        terms=Terms(horizon_days=study.horizon_days, wanted=wanted, tent_days=_tent_days(ashore.job.plan.hire)),
        workers=workers,
    )
    _, minute = outlook.grid.local(calendar.zone)
    return Part(
        place=piece.place,
        year=piece.year,
        start_day=days,
        start_minute=minute[starts].astype(np.int16),
        outcomes=result,
        notes=tuple(dict.fromkeys([*outlook.climate.notes, *next(iter(jobs.values())).findings])),
    )


def piece_networks(ashore: Ashore, piece: Piece, study: Study) -> tuple[Outlook, Mapping[int | None, JobNetwork]]:
    """The outlook of a piece and the plan's networks over it by number of coats."""
    from boottop.plan.odds_ways import with_coats
    from boottop.plan.odds_windows import long_windows
    from boottop.plan.rules import network_for

    zone = ZoneInfo(ashore.job.plan.yard.zone_name)
    begin = _midnight(piece.first_day, zone)
    days = (piece.last_day - piece.first_day).days + study.horizon_days + 1
    inputs = season_inputs(ashore.job.plan, study.ways, begin=begin, days=days)
    seasonal = Ashore(replace(ashore.job, plan=inputs))
    outlook = outlook_for(seasonal, piece.weather, days=days)
    windows = long_windows(outlook.windows)
    jobs = {
        coats: network_for(
            replace(with_coats(inputs, coats), cleaner=ashore.job.coating.cleaner),
            ashore.hull,
            windows=windows,
            climate=outlook.climate,
            tent_climate=outlook.tent,
        )
        for coats in {way.option.coats for way in study.ways}
    }
    return outlook, jobs


def coat_minor(ashore: Ashore) -> dict[str, int]:
    """Material of one antifouling coat by zone, minor units: the order's price shared out by area and coats, nothing
    where the sheet gives no price."""
    found: dict[str, int] = {}
    for line, system in zip(ashore.order.orders, ashore.job.plan.systems, strict=True):
        if line.cost_minor is None or system.role != "antifouling":
            continue
        zones = zones_for(system, ashore.hull)
        area_m2 = system.coats * sum(zone.area_m2 for zone in zones)
        for zone in zones:
            found[zone.name] = round(line.cost_minor * zone.area_m2 / area_m2) if area_m2 > 0.0 else 0
    return found


def _starts(piece: Piece, study: Study, day: NDArray[np.int64]) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    """Slots of the starts and their local days: the first slot of each wanted day, or every slot of it."""
    wanted = [at.toordinal() for at in _days(piece.first_day, piece.last_day) if study.season.holds(at)]
    slots = np.flatnonzero(np.isin(day, wanted))
    if not study.every_slot:
        first = np.concatenate([[True], day[1:] != day[:-1]])
        slots = slots[first[slots]]
    return slots.astype(np.int32), day[slots]


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    """The first whole hour of a local day that exists once."""
    for hour in range(4):
        try:
            return to_utc(datetime.combine(day, time(hour)), zone, where="start of the study")
        except InputError:
            continue
    raise AssertionError(f"no hour of the night of {day} exists in {zone.key}")


def season_inputs(plan: PlanInput, ways: Sequence[Way], *, begin: datetime, days: int) -> PlanInput:
    """The job as it is in other years: the yard's weekly lifts and holidays carried over, the tent up throughout.

    Lifts: on the weekdays and at the clock times of the job sheet's lift slots. Holidays: on the same dates of each
    year. The launch that is wanted is left to the count of money. A helper is one of the people.
    """
    zone = ZoneInfo(plan.yard.zone_name)
    end = begin + timedelta(days=days)
    closed = tuple(
        shut
        for year in range(begin.year - 1, end.year + 2)
        for when in plan.yard.closed
        if (shut := _same_date(when, year)) is not None
    )
    tent = any(way.option.tent for way in ways)
    hire = Hire(tent_from=begin, tent_to=end, tent_cost_minor=plan.hire.tent_cost_minor) if tent else Hire()
    wishes = replace(plan.wishes, earliest_haul=begin, wanted_launch=None, first_side="either")
    return replace(
        plan,
        yard=replace(plan.yard, lift_slots=weekly_lifts(plan, zone, begin=begin, end=end), closed=closed),
        crew=replace(plan.crew, people=max(way.option.people for way in ways)),
        hire=hire,
        wishes=wishes,
    )


def _same_date(when: date, year: int) -> date | None:
    try:
        return when.replace(year=year)
    except ValueError:
        return None


def weekly_lifts(plan: PlanInput, zone: ZoneInfo, *, begin: datetime, end: datetime) -> tuple[datetime, ...]:
    """Lift slots of the weekly pattern that the job sheet's slots show, from begin to end; InputError for a yard that
    lifts by the tide, whose hours no other week shares."""
    if plan.yard.tidal:
        raise InputError(
            Problem(
                where="yard.tide",
                found="lifts that go by the tide",
                allowed="lifts by weekday and clock for a study over other years",
                advice="Give the yard's usual days and times as [[yard.lift_pattern]] in a copy of the sheet.",
            )
        )
    pattern = {(slot.astimezone(zone).weekday(), slot.astimezone(zone).time()) for slot in plan.yard.lift_slots}
    found = []
    for day in _days(begin.astimezone(zone).date(), end.astimezone(zone).date()):
        for weekday, clock in sorted(pattern):
            if day.weekday() == weekday:
                try:
                    found.append(to_utc(datetime.combine(day, clock), zone, where="lift slot"))
                except InputError:
                    continue
    return tuple(found)


def _wanted(plan: PlanInput, start: date) -> int:
    """Local day ordinal of the wanted launch in the year of a start; 0 without one, or when the start lies after it."""
    if plan.wishes.wanted_launch is None:
        return 0
    wanted = _same_date(plan.wishes.wanted_launch, start.year)
    return wanted.toordinal() if wanted is not None and start <= wanted else 0


def _tent_days(hire: Hire) -> int:
    """Days that the sheet's price of the tent is for; one where no tent is on offer."""
    if hire.tent_from is None or hire.tent_to is None:
        return 1
    return max(1, round((hire.tent_to - hire.tent_from) / timedelta(days=1)))
