"""Weather for a plan: the services in their order, the kept answers when the network is away, and its age in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Site, Weather
from boottop.services.failure import BY_FILE
from boottop.services.http import Client, Reply
from boottop.services.members import RUN_IN, joined, judged, stacked
from boottop.services.openmeteo import ARCHIVE_DELAY
from boottop.services.registry import SERVICES, Kind, Service, candidates
from boottop.services.steps import Issue

OLD_H = 12.0
YEARS = 10


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What weather is asked for: from the earliest haul-out (`start`) until `end` (as far as it goes when None).

    `service` by name, or None for the first that answers. `fill_past`: when the forecast begins after `start`, put the
    last weeks of the models before it.
    """

    start: datetime
    end: datetime | None = None
    kind: Kind = "forecast"
    service: str | None = None
    fill_past: bool = False


@dataclass(frozen=True, kw_only=True)
class Fetched:
    """Weather that arrived by itself.

    `age_h`: hours since it was issued, or since the service last stood by it if it does not say when it issued it.
    `stale`: past its time and the service could not be asked. `notes` are for people, most important first; they are
    also the first findings of `weather`, so that whatever shows those shows these.
    """

    weather: Weather
    service: str
    age_h: float
    stale: bool
    issued: datetime | None
    attribution: str
    notes: tuple[str, ...]

    @property
    def known_from(self) -> datetime:
        return self.weather.start

    @property
    def known_until(self) -> datetime:
        return self.weather.start + timedelta(hours=self.weather.hours - 1)


@dataclass(frozen=True, kw_only=True)
class _Answer:
    service: Service
    reply: Reply[Issue]
    weather: Weather


def fetch_weather(site: Site, wanted: Wanted, *, client: Client, now: datetime) -> Fetched:
    """The weather wanted: the first service that answers now; else the youngest kept answer, marked as old.

    `now` is aware. Raises InputError with what every service had to say when none has weather that reaches `start`.
    """
    wanted = _in_utc(wanted, now)
    answer, notes = _first(site, wanted, client=client, now=now)
    weather = answer.weather
    if weather.start > wanted.start:
        weather, said = _past(site, weather, wanted, client=client, now=now)
        notes += said
    return _fetched(answer, weather, now=now, notes=notes)


def fetch_past_years(site: Site, wanted: Wanted, *, years: int = YEARS, client: Client, now: datetime) -> Fetched:
    """The same days of the last `years` years as members: not a forecast, but how often such a job has found its days.

    Member 0 is the youngest year. A window over 29 February keeps its length, and then ends a day earlier in years
    without it. Needs `end`. Years whose weather is not settled yet are passed over for older ones.
    """
    wanted = _in_utc(wanted, now)
    end = wanted.end if wanted.end is not None else wanted.start + timedelta(days=21)
    service = SERVICES["openmeteo-archive"]
    starts = [_years_back(wanted.start, back) for back in range(1, years + 2)]
    settled = [start for start in starts if start + (end - wanted.start) <= now - ARCHIVE_DELAY][:years]
    found: list[tuple[int, Weather]] = []
    replies: list[Reply[Issue]] = []
    for start in settled:
        days = (start - RUN_IN, start + (end - wanted.start))
        reply = service.ask(client, site, days, now)
        weather = judged(reply.value, site, start=start, end=days[1])
        if weather.start <= days[0]:
            replies.append(reply)
            found.append((start.year, weather))
    if not found:
        raise InputError(
            _nothing("past years", f"{len(settled)} settled of {years} asked for", "1 or more with weather")
        )
    hours = min(weather.hours for _, weather in found)
    begin = (wanted.start - RUN_IN).replace(minute=0, second=0, microsecond=0)
    weather = stacked([_cut(weather, hours) for _, weather in found])
    listed = ", ".join(str(year) for year, _ in found)
    weather = replace(weather, start=begin, source=f"{service.title}, {listed}")
    note = f"PAST YEARS, NOT A FORECAST: each member is these days as they were in {listed}"
    worst = min(replies, key=lambda reply: reply.confirmed)
    return _fetched(_Answer(service=service, reply=worst, weather=weather), weather, now=now, notes=[note])


def _first(site: Site, wanted: Wanted, *, client: Client, now: datetime) -> tuple[_Answer, list[str]]:
    """An answer of today if there is one, else the youngest old one; and what went wrong on the way."""
    days = (wanted.start - RUN_IN, wanted.end or now)
    old: list[_Answer] = []
    problems: list[Problem] = []
    for service in candidates(site, wanted.kind, wanted.service):
        try:
            reply = service.ask(client, site, days, now)
            weather = judged(reply.value, site, start=wanted.start, end=wanted.end)
        except InputError as error:
            problems += error.problems
            continue
        answer = _Answer(service=service, reply=reply, weather=weather)
        if not reply.stale:
            return answer, [f"{problem.where}: {problem.found}; asked the next service" for problem in problems]
        old.append(answer)
    if not old:
        raise InputError(problems or _nothing("weather services", f"none for {wanted.kind} here", "one or more"))
    youngest = max(old, key=lambda answer: answer.reply.value.issued or answer.reply.confirmed)
    return youngest, [f"{problem.where}: {problem.found}" for problem in problems]


def _past(site: Site, weather: Weather, wanted: Wanted, *, client: Client, now: datetime) -> tuple[Weather, list[str]]:
    """Weather before the forecast's first hour, if asked for; else from when the weather is known."""
    known = f"{weather.start:%Y-%m-%dT%H:%MZ}"
    hint = f"the weather is known from {known} only; nothing is planned before that"
    if not wanted.fill_past:
        return weather, [hint]
    service = candidates(site, "recent", None)[0]
    try:
        reply = service.ask(client, site, (wanted.start, now), now)
        early = judged(reply.value, site, start=wanted.start, end=None)
        if early.start > wanted.start:
            hint = f"the weather is known from {early.start:%Y-%m-%dT%H:%MZ} only; nothing is planned before that"
        weather = joined(early, weather)
    except InputError as error:
        return weather, [hint, *(f"{problem.where}: {problem.found}" for problem in error.problems)]
    said = [f"the hours before {known} are those of {service.title}. {service.attribution}"]
    return weather, ([hint] if early.start > wanted.start else []) + said


def _fetched(answer: _Answer, weather: Weather, *, now: datetime, notes: Sequence[str]) -> Fetched:
    reply = answer.reply
    at = reply.value.issued or reply.confirmed
    age_h = max((now - at) / timedelta(hours=1), 0.0)
    told = [*_age(reply, age_h, at, title=answer.service.title), *notes, *reply.notes]
    attribution = answer.service.attribution
    return Fetched(
        weather=replace(weather, findings=(*told, attribution, *weather.findings), issued=at),
        service=answer.service.name,
        age_h=age_h,
        stale=reply.stale,
        issued=reply.value.issued,
        attribution=attribution,
        notes=tuple(told),
    )


def _age(reply: Reply[Issue], age_h: float, at: datetime, *, title: str) -> list[str]:
    said = f"{age_text(age_h)} old ({title}, {at:%Y-%m-%dT%H:%MZ})"
    if reply.stale:
        why = "; ".join(dict.fromkeys(f"{problem.where}: {problem.found}" for problem in reply.trouble))
        return [f"OLD WEATHER: {said}, because no newer could be fetched: {why}"]
    if reply.value.issued is not None and age_h > OLD_H:
        return [f"OLD WEATHER: {said}; the service has no newer one"]
    return [f"weather: {said}"]


def age_text(age_h: float) -> str:
    """An age for people.

    >>> age_text(0.4), age_text(31.2), age_text(100.0)
    ('24 min', '31 h', '4.2 days')
    """
    if age_h < 1.0:
        return f"{age_h * 60:.0f} min"
    return f"{age_h:.0f} h" if age_h < 72.0 else f"{age_h / 24:.1f} days"


def _in_utc(wanted: Wanted, now: datetime) -> Wanted:
    times = [("earliest haul-out", wanted.start), ("end of the window", wanted.end), ("now", now)]
    naive = [
        Problem(where=what, found=str(when), allowed="a time with its offset", advice="State the offset from UTC.")
        for what, when in times
        if when is not None and when.tzinfo is None
    ]
    if naive:
        raise InputError(naive)
    end = wanted.end.astimezone(UTC) if wanted.end is not None else None
    if end is not None and end <= wanted.start:
        raise InputError(
            Problem(
                where="window",
                found=f"an end at {end:%Y-%m-%dT%H:%MZ} before its start",
                allowed="an end after the start",
                advice="Swap or correct them.",
            )
        )
    return replace(wanted, start=wanted.start.astimezone(UTC), end=end)


def _years_back(when: datetime, back: int) -> datetime:
    try:
        return when.replace(year=when.year - back)
    except ValueError:
        return when.replace(year=when.year - back, day=28)


def _cut(weather: Weather, hours: int) -> Weather:
    arrays = {
        name: getattr(weather, name)[:, :hours]
        for name in vars(weather)
        if name.endswith(("_c", "_m_s", "_mm", "_pa", "_w_m2")) or name == "cloud"
    }
    return replace(weather, **arrays, filled={name: marks[:hours] for name, marks in weather.filled.items()})


def _nothing(where: str, found: str, allowed: str) -> Problem:
    return Problem(where=where, found=found, allowed=allowed, advice=BY_FILE)
