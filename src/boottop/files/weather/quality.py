"""Quality control: rows as read become hourly weather, or one InputError with everything that is wrong with them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.climate.moist import standard_pressure_pa
from boottop.climate.weather import Site, Weather
from boottop.files.weather.columns import COLUMNS, OPTIONAL
from boottop.files.weather.gaps import NEEDED, Filled, Filler
from boottop.files.weather.hours import Hourly, in_order, to_hours
from boottop.files.weather.plausible import checked, far_away, remarks, sun_against_clock
from boottop.files.weather.table import HOUR_S, Request, Table, refuse, utc_text

NO_RAIN = (
    "Take rain from a station nearby; or, to look at temperatures only, have it taken as dry: weather_dry = true under "
    "[job] of the sheet, or --assume-dry."
)
FIELDS = tuple(column.field for column in COLUMNS if column.field != "rh")


@dataclass(frozen=True, kw_only=True)
class _Window:
    """First and last hour of the weather asked for, counted from the first hour of the rows."""

    first: int
    last: int


def judge(table: Table, request: Request, site: Site | None) -> Weather:
    """Hourly weather from a table, cut to the window; InputError with all problems at once."""
    _covered(table, request)
    ordered, disorder, notes = in_order(table)
    values, impossible, more = checked(ordered)
    for field in NEEDED:
        values.setdefault(field, np.full(ordered.epoch_s.shape, np.nan))
    problems = [*table.problems, *disorder, *impossible]
    hourly = _complete(to_hours(replace(ordered, values=values)), request)
    window, cut_notes = _window(hourly, request)
    done = Filler(hourly, request, (window.first, window.last)).run()
    problems += [_with_reason(problem, table) for problem in done.problems]
    if problems:
        raise InputError(problems)
    told = [*table.notes, *notes, *more, *hourly.notes, *cut_notes, *done.notes, *far_away(site, table.place)]
    return _weather(_cut(done, window), table, first_s=hourly.first_s + window.first * HOUR_S, site=site, told=told)


def _with_reason(problem: Problem, table: Table) -> Problem:
    """A gap whose values are in the file, but were left out, says so."""
    named = problem.where.split(", ")
    reasons = dict.fromkeys(reason for name, reason in table.left_out.items() if name in named)
    return replace(problem, found=f"{problem.found} ({'; '.join(reasons)})") if reasons else problem


def _covered(table: Table, request: Request) -> None:
    first, last = table.covers_s
    early = request.start_s is not None and request.start_s < first - HOUR_S // 2
    late = request.start_s is not None and request.start_s > last
    over = request.end_s is not None and request.end_s <= first
    if early or late or over or not table.epoch_s.size:
        start = utc_text(request.start_s) if request.start_s is not None else "the start"
        end = utc_text(request.end_s) if request.end_s is not None else "the end"
        problem = Problem(
            where=table.where,
            found=f"weather from {utc_text(first)} to {utc_text(last)}",
            allowed=f"weather for the time asked for, from {start} to {end}",
            advice="Take another file, or move the haul-out into the time it covers.",
        )
        raise InputError([problem, *table.problems])


def _complete(hourly: Hourly, request: Request) -> Hourly:
    """Every needed quantity present, in the order of the columns; no rain at all only if it may be taken as dry."""
    values, filled = dict(hourly.values), dict(hourly.filled)
    if "rain_mm" not in values and not request.assume_dry:
        raise refuse(
            f"{request.where}, rain",
            "no rain in the whole file",
            allowed="rain in every hour: missing is not dry",
            advice=NO_RAIN,
        )
    values.setdefault("rain_mm", np.full(hourly.hours, np.nan))
    have = [field for field in FIELDS if field in values]
    never = np.zeros(hourly.hours, dtype=np.bool_)
    return replace(
        hourly,
        values={field: values[field] for field in have},
        filled={field: filled.get(field, never) for field in have},
    )


def _window(hourly: Hourly, request: Request) -> tuple[_Window, list[str]]:
    first, last = 0, hourly.hours - 1
    notes = []
    if request.start_s is not None:
        first = (request.start_s - hourly.first_s) // HOUR_S
        if first < 0:
            notes.append(f"window: the first whole hour in the file is {utc_text(hourly.first_s)}")
            first = 0
    if request.end_s is not None:
        wanted = -(-(request.end_s - hourly.first_s) // HOUR_S) - 1
        if wanted > last:
            ends = utc_text(hourly.first_s + last * HOUR_S)
            notes.append(f"window: the weather ends at {ends}, {wanted - last} h before the end asked for")
        last = min(last, wanted)
    if last < first:
        raise refuse(
            request.where,
            "not one hour in the window",
            allowed="a window of an hour or more",
            advice="Check start and end.",
        )
    return _Window(first=first, last=last), notes


def _cut(done: Filled, window: _Window) -> Filled:
    hours = slice(window.first, window.last + 1)
    return replace(
        done,
        values={field: values[hours] for field, values in done.values.items()},
        filled={field: marks[hours] for field, marks in done.filled.items()},
    )


def _weather(done: Filled, table: Table, *, first_s: int, site: Site | None, told: list[str]) -> Weather:
    place = (site.latitude_deg, site.longitude_deg) if site is not None else table.place
    values, filled = dict(done.values), dict(done.filled)
    hours = values["air_c"].size
    values["dew_c"] = np.minimum(values["dew_c"], values["air_c"])
    if "pressure_pa" not in values:
        elevation_m = site.elevation_m if site is not None else 0.0
        values["pressure_pa"] = np.full(hours, float(standard_pressure_pa(elevation_m)))
        filled["pressure_pa"] = np.ones(hours, dtype=np.bool_)
        told.append(f"pressure: not in the file, taken as standard at {elevation_m:g} m")
    problems, sun_notes = sun_against_clock(values, first_s, place=place, where=table.where)
    if problems:
        raise InputError(problems)
    told += [*sun_notes, *remarks(values, first_s, place)]
    absent = np.full(hours, np.nan)
    arrays = {field: values.get(field, absent)[np.newaxis, :] for field in FIELDS}
    missing = [column.name for column in COLUMNS if column.field in OPTIONAL and column.field not in values]
    if missing:
        told.append(f"not in the file or not used: {', '.join(missing)}")
    return Weather(
        start=datetime.fromtimestamp(first_s, tz=UTC),
        **arrays,
        issued=None,
        filled={field: filled.get(field, np.zeros(hours, dtype=np.bool_)) for field in FIELDS},
        station=table.station,
        source=table.source,
        licence=table.licence,
        findings=tuple(told),
    )
