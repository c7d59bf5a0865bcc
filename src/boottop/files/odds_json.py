"""The JSON of `boottop odds` and `boottop choose`."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Literal

from pydantic import Field

from boottop.base.money import minor_digits
from boottop.files.documents import Amount, Document, Instant

if TYPE_CHECKING:
    from boottop.choose_work import Choices
    from boottop.odds_ask import Answer, FileRead, PlaceAnswer
    from boottop.plan.choose_pick import Difference, Rated
    from boottop.plan.odds_result import Line, OptionOdds
    from boottop.plan.odds_table import Interval, WeekRow


class IntervalOut(Document):
    """A share or a mean; `low` and `high` hold the middle 90 % of resampled years, null where one year is all."""

    value: float
    low: float | None
    high: float | None


class WithinOut(Document):
    """The chance to be afloat within so many days of the start."""

    days: int
    chance: IntervalOut


class WeekOut(Document):
    """One week of starts. `at_least`: some never got afloat, and count in days ashore and cost up to the horizon."""

    week_of: str = Field(description="first day of the week, such as 7 May")
    starts: int
    years: int
    within: list[WithinOut]
    never: IntervalOut
    days_ashore: IntervalOut
    cost_minor: IntervalOut
    at_least: bool
    days_lost: dict[str, float | None] = Field(description="mean of the finished, by reason; null when none finished")
    spoilt: float = Field(description="times that coats were spoilt and done again, in the mean")


class LineOut(Document):
    """One way of working: its words and its weeks."""

    how: str
    weeks: list[WeekOut]


class OptionOut(Document):
    """One option: the best policy, the best by forecast, hindsight, and every policy for the week asked about."""

    people: int
    tent: bool
    coats: int | None = Field(description="null: as the job sheet has them")
    best: LineOut
    by_forecast: LineOut
    hindsight: LineOut
    policies: list[LineOut]
    days_ashore: list[int] = Field(description="best policy, week asked about: of every start that was afloat in time")


class YearOut(Document):
    """Start days of a year: wanted by the season, walked, left out for a hole or an end within their horizon."""

    year: int
    wanted: int
    walked: int
    left_out: int


class FileOut(Document):
    """A weather file: its stretches without a hole, hours missing by quantity, and the years."""

    name: str
    station: str
    source: str
    licence: str
    stretches: int
    missing_h: dict[str, int]
    years: list[YearOut]
    refused: list[str]
    findings: list[str]


class PlaceOut(Document):
    """The answer for one place: the yard's own, or one of several."""

    name: str
    zone: str
    latitude: float
    longitude: float
    starts: int
    years: list[int]
    options: list[OptionOut]
    files: list[FileOut]
    notes: list[str]


class DaysAshoreOf(Document):
    """What `days_ashore` is of. `left_out`: starts of that week that were not afloat within the horizon."""

    place: str
    option: str
    how: str
    week_of: str
    starts: int
    left_out: int


class OddsDocument(Document):
    """`boottop odds --json`; `boottop cost --odds` reads `days_ashore` of it."""

    schema_name: Literal["boottop.odds/1"] = Field(default="boottop.odds/1", alias="schema")
    boat: str
    currency: str
    horizon_days: int
    target_days: int
    week_of: str = Field(description="the week for which options are compared")
    forecast_skill: float
    seed: int
    days_ashore: list[int] = Field(description="of the likeliest option at the first place; each as likely")
    days_ashore_of: DaysAshoreOf
    places: list[PlaceOut]


class ChoiceOut(Document):
    """One choice over all members. `late_at_most`: upper end of the 95 % interval of Clopper and Pearson."""

    haul_out: Instant
    first: str
    tent: bool
    helper: bool
    how: str
    late: int
    never: int
    members: int
    late_at_most: float
    cost: Amount = Field(description="mean, major units of the currency")
    cost_minor: int
    cost_sd_minor: int


class DifferenceOut(Document):
    """A choice against another on the same members; `error_minor` the standard error of the mean difference."""

    choice: ChoiceOut
    cost_minor: int
    error_minor: int | None
    points: float = Field(description="points of certainty gained")
    sooner: int
    later: int


class ChooseDocument(Document):
    """`boottop choose --json`."""

    schema_name: Literal["boottop.choose/1"] = Field(default="boottop.choose/1", alias="schema")
    boat: str
    currency: str
    risk: float
    by: str
    members: list[str]
    pick: ChoiceOut | None
    sure: ChoiceOut | None
    choices: list[ChoiceOut] = Field(description="least often late first")
    against: list[DifferenceOut] = Field(description="one change at a time against the pick, else the safest")
    frontier: list[DifferenceOut] = Field(description="what money buys, from the cheapest up")
    notes: list[str]


def odds_document(answer: Answer) -> OddsDocument:
    """The answer of a study as JSON."""
    from boottop.plan.odds_table import week_label

    question, first = answer.ask.question, answer.places[0].odds
    best = first.likeliest
    starts = 0 if best.best.here is None else best.best.here.never.starts
    return OddsDocument(
        boat=answer.ashore.job.boat.name,
        currency=answer.ashore.job.plan.currency,
        horizon_days=answer.ask.study.horizon_days,
        target_days=question.target_days,
        week_of=week_label(question.week),
        forecast_skill=answer.ask.study.skill_share,
        seed=question.seed,
        days_ashore=list(best.ashore_days),
        days_ashore_of=DaysAshoreOf(
            place=first.place,
            option=best.option.label,
            how=best.best.label,
            week_of=week_label(question.week),
            starts=starts,
            left_out=starts - len(best.ashore_days),
        ),
        places=[_place(place) for place in answer.places],
    )


def _place(place: PlaceAnswer) -> PlaceOut:
    site = place.ashore.job.site
    return PlaceOut(
        name=place.odds.place,
        zone=place.ashore.job.plan.yard.zone_name,
        latitude=site.latitude_deg,
        longitude=site.longitude_deg,
        starts=place.odds.starts,
        years=list(place.odds.years),
        options=[_option(option) for option in place.odds.options],
        files=[_file(read) for read in place.files],
        notes=list(place.notes),
    )


def choose_document(choices: Choices, notes: tuple[str, ...] = ()) -> ChooseDocument:
    """The choice as JSON."""
    chosen = choices.chosen
    return ChooseDocument(
        boat=choices.ashore.job.boat.name,
        currency=choices.ashore.job.plan.currency,
        risk=chosen.risk_share,
        by=choices.deadline.isoformat(),
        members=list(choices.members),
        pick=None if chosen.pick is None else _choice(choices, chosen.pick),
        sure=None if chosen.sure is None else _choice(choices, chosen.sure),
        choices=[_choice(choices, one) for one in chosen.table],
        against=[_difference(choices, step) for step in chosen.against],
        frontier=[_difference(choices, step) for step in chosen.frontier],
        notes=[*choices.notes, *notes],
    )


def _option(option: OptionOdds) -> OptionOut:
    return OptionOut(
        people=option.option.people,
        tent=option.option.tent,
        coats=option.option.coats,
        best=_line(option.best),
        by_forecast=_line(option.forecast),
        hindsight=_line(option.hindsight),
        policies=[_line(line) for line in option.policies],
        days_ashore=list(option.ashore_days),
    )


def _line(line: Line) -> LineOut:
    return LineOut(how=line.label, weeks=[_week(row) for row in line.weeks])


def _week(row: WeekRow) -> WeekOut:
    from boottop.plan.odds_table import week_label

    return WeekOut(
        week_of=week_label(row.week),
        starts=row.never.starts,
        years=row.never.years,
        within=[WithinOut(days=days, chance=_interval(chance)) for days, chance in row.within.items()],
        never=_interval(row.never),
        days_ashore=_interval(row.ashore),
        cost_minor=_interval(row.cost_minor),
        at_least=row.never.value > 0.0,
        days_lost={name: None if days != days else days for name, days in row.lost.items()},
        spoilt=row.spoilt,
    )


def _interval(one: Interval) -> IntervalOut:
    return IntervalOut(value=one.value, low=one.low, high=one.high)


def _file(read: FileRead) -> FileOut:
    stretches = read.stretches
    return FileOut(
        name=read.name,
        station=stretches.station,
        source=stretches.source,
        licence=stretches.weathers[0].licence,
        stretches=len(stretches.weathers),
        missing_h=dict(stretches.missing_h),
        years=[
            YearOut(year=one.year, wanted=one.wanted, walked=one.walked, left_out=one.left_out) for one in read.coverage
        ],
        refused=list(stretches.refused),
        findings=list(stretches.findings),
    )


def _choice(choices: Choices, one: Rated) -> ChoiceOut:
    from zoneinfo import ZoneInfo

    from boottop.plan.odds_names import POLICIES

    plan, made = choices.ashore.job.plan, one.candidate
    minor = one.cost_minor
    return ChoiceOut(
        haul_out=choices.haul_times[made.haul].astimezone(ZoneInfo(plan.yard.zone_name)),
        first=made.first,
        tent=made.tent,
        helper=made.helper,
        how=POLICIES[made.policy],
        late=one.late,
        never=one.never,
        members=one.members,
        late_at_most=one.late_at_most_share,
        cost=Decimal(minor).scaleb(-minor_digits(plan.currency)),
        cost_minor=minor,
        cost_sd_minor=one.cost_sd_minor,
    )


def _difference(choices: Choices, step: Difference) -> DifferenceOut:
    return DifferenceOut(
        choice=_choice(choices, step.other),
        cost_minor=step.cost_minor,
        error_minor=step.error_minor,
        points=step.points,
        sooner=step.sooner,
        later=step.later,
    )
