"""Members of an ensemble from files: a kept answer of a service, one file a member, or the same days of past years."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.files.weather.stretches import Stretches, load_stretches
from boottop.workflow import weather_span

MAX_BYTES = 200_000_000
_ARRAYS = (
    "air_c", "dew_c", "wind_m_s", "rain_mm", "pressure_pa", "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "longwave_w_m2",
    "cloud",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Members:
    """Named weathers of one member each, all over the job's days, and what was found on the way."""

    weathers: tuple[tuple[str, Weather], ...]
    notes: tuple[str, ...]


def load_members(
    paths: Sequence[Path], job: Job, *, days: int, station: str | None = None, assume_dry: bool = False
) -> Members:
    """All members of all files; InputError when there is none.

    A JSON file is an ensemble's answer as the service gives it (and as the cache keeps it). Any other file is read as
    weather: over the job's own days it is one member; of other years every year that holds the same days without a
    hole is one, moved to the job's year. Years with a hole in those days are left out and told.
    """
    weathers: list[tuple[str, Weather]] = []
    notes: list[str] = []
    for path in paths:
        found = _answer(path, job, days) if path.suffix == ".json" else None
        if found is None:
            stretches = load_stretches(path, site=job.site, station=station, assume_dry=assume_dry)
            found = _years(path, stretches, job, days=days)
            notes += stretches.findings
        weathers += found.weathers
        notes += found.notes
    if not weathers:
        raise InputError(
            Problem(
                where=", ".join(str(path) for path in paths),
                found="not one member with weather for the job's days",
                allowed=f"members that cover {days} days from the earliest haul-out, in the job's year or past ones",
                advice="Give another file, fewer --days, or another earliest haul-out.",
            )
        )
    return Members(weathers=tuple(weathers), notes=tuple(dict.fromkeys(notes)))


def _answer(path: Path, job: Job, days: int) -> Members:
    """The members of a service's answer, each judged as a file is."""
    from boottop.services.members import judged
    from boottop.services.openmeteo import decode

    try:
        if path.stat().st_size > MAX_BYTES:
            raise ValueError(f"more than {MAX_BYTES // 1_000_000} MB")
        payload = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise _unread(path, str(error)) from None
    start, end = weather_span(job, days)
    weather = judged(decode(payload, title=path.name), job.site, start=start, end=end)
    named = tuple((f"{path.name}, member {index}", _one(weather, index)) for index in range(weather.members))
    return Members(weathers=named, notes=weather.findings)


def _one(weather: Weather, index: int) -> Weather:
    return replace(weather, **{name: getattr(weather, name)[index : index + 1] for name in _ARRAYS})


def _years(path: Path, stretches: Stretches, job: Job, *, days: int) -> Members:
    """The job's days in every year of a file."""
    start, end = weather_span(job, days)
    first_year, last_year = (datetime.fromtimestamp(at, tz=UTC).year for at in stretches.covers_s)
    weathers, holed = [], []
    for year in range(first_year - 1, last_year + 1):
        begin = _in_year(start, year)
        until = begin + (end - start)
        covered = begin.timestamp() >= stretches.covers_s[0] and until.timestamp() <= stretches.covers_s[1]
        found = next((one for one in stretches.weathers if _holds(one, begin, until)), None)
        if found is not None:
            name = path.name if year == start.year else f"{path.name}, {begin.year} as {start.year}"
            weathers.append((name, _moved(found, begin, until, to=start)))
        elif covered:
            holed.append(str(year))
    notes = (f"{path.name}: {', '.join(holed)} left out, a hole lies in the job's days",) if holed else ()
    if len(weathers) > 1:
        notes = (*notes, f"{path.name}: {len(weathers)} past years stand as equally likely members; none is a forecast")
    return Members(weathers=tuple(weathers), notes=notes)


def _in_year(when: datetime, year: int) -> datetime:
    """The same moment of another year, 28 February for 29 February; on a whole hour."""
    moved = when.replace(day=28) if (when.month, when.day) == (2, 29) else when
    return moved.replace(year=year, minute=0, second=0, microsecond=0)


def _holds(weather: Weather, begin: datetime, until: datetime) -> bool:
    return weather.start <= begin and until <= weather.start + timedelta(hours=weather.hours - 1)


def _moved(weather: Weather, begin: datetime, until: datetime, *, to: datetime) -> Weather:
    """The hours of a span, dated as if they began at another time."""
    first = int((begin - weather.start) / timedelta(hours=1))
    hours = slice(first, first + int((until - begin) / timedelta(hours=1)) + 1)
    return replace(
        weather,
        start=to.replace(minute=0, second=0, microsecond=0),
        filled={name: np.asarray(marks[hours]) for name, marks in weather.filled.items()},
        **{name: getattr(weather, name)[:, hours] for name in _ARRAYS},
    )


def _unread(path: Path, reason: str) -> InputError:
    return InputError(
        Problem(
            where=str(path),
            found=f"it cannot be read as JSON ({reason[:120]})",
            allowed="the answer of an ensemble service, or a weather file",
            advice="Save the answer whole, or give a file of past years.",
        )
    )
