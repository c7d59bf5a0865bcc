"""Hourly airport reports in the layout of the open flight data sets: `origin,year,month,day,hour,temp,dewp,...`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.weather.columns import BY_FIELD, to_si
from boottop.files.weather.table import (
    HOUR_S,
    Floats,
    Ints,
    Request,
    Sheet,
    Table,
    at_lines,
    choose_station,
    numbers,
    refuse,
    split_csv,
)

# field, column, unit
_READ = (
    ("air_c", "temp", "degF"),
    ("dew_c", "dewp", "degF"),
    ("rh", "humid", "%"),
    ("wind_m_s", "wind_speed", "mph"),
    ("rain_mm", "precip", "inch"),
    ("pressure_pa", "pressure", "hPa"),
)
_TIME = ("year", "month", "day", "hour")
# Routine reports are made at minute 51 and the data set cuts the minutes off (its making: R package anyflights,
# function get_weather_for_station, read). The file itself bears it out: the half-daily tide of the air pressure, which
# peaks near 09:50 solar time at four other stations, peaks 1.1 h early here when the hour is taken as it stands.
REPORT_TO_HOUR = 1
TRACE_BELOW_MM = 0.1
NOTES = (
    "times: year to hour are taken as UTC and time_hour is not read (it has been found 8 h late)",
    "times: the reports are made some 9 minutes before the full hour and the file drops the minutes, so each row is "
    "stamped with the full hour after the one it names",
)


def looks_like(lines: Sequence[str]) -> bool:
    """Whether the first line is the header of this layout."""
    return bool(lines) and lines[0].strip().replace('"', "").lower().startswith("origin,year,month,day,hour,")


def read(text: str, request: Request) -> Table:
    """Rows of one station near the window."""
    sheet, places = _opened(text, request)
    station = choose_station([row[places["origin"]] for row in sheet.rows], request)
    own = np.array([n for n, row in enumerate(sheet.rows) if row[places["origin"]].strip() == station], dtype=np.int64)
    epoch, problems = _stamped(sheet, places, own, where=request.where)
    dated = np.flatnonzero(~np.isnan(epoch))
    if not dated.size:
        raise InputError(problems)
    whole = epoch[dated].astype(np.int64)
    near = request.near(whole)
    rows = own[dated[near]]
    values: dict[str, Floats] = {}
    for field, column, unit in _READ:
        read_values, wrong = numbers(
            sheet.column(places[column], rows), sheet.lines[rows], f"{request.where}, {column},"
        )
        values[field] = to_si(BY_FIELD[field], unit, read_values)
        problems += wrong
    trace = int(((values["rain_mm"] > 0) & (values["rain_mm"] < TRACE_BELOW_MM)).sum())
    return Table(
        where=request.where,
        epoch_s=whole[near],
        lines=sheet.lines[rows],
        values=values,
        covers_s=(int(whole.min()), int(whole.max())),
        station=station,
        source=f"airport weather reports (ASOS), {request.where}",
        licence="not stated in the file",
        notes=(*NOTES, *([f"rain: {trace} h with a trace, kept as wet (0.0001 inch)"] if trace else [])),
        problems=tuple(problems),
    )


def _opened(text: str, request: Request) -> tuple[Sheet, dict[str, int]]:
    """The sheet, and the place of every column by its name."""
    numbered = [(number, line) for number, line in enumerate(text.split("\n"), start=1) if line.strip()]
    sheet = split_csv(numbered, request.where)
    places = {name.lower(): index for index, name in enumerate(sheet.header)}
    needed = ["origin", *_TIME, *(column for _, column, _ in _READ)]
    missing = [name for name in needed if name not in places]
    if missing:
        raise refuse(
            f"{request.where}, header",
            f"no column {', '.join(missing)}",
            allowed=", ".join(needed),
            advice="Get the whole file.",
        )
    return sheet, places


def _stamped(sheet: Sheet, places: Mapping[str, int], rows: Ints, *, where: str) -> tuple[Floats, list[Problem]]:
    """Epoch seconds of the rows, NaN where there is no such date; with the problems of the file so far."""
    problems = list(sheet.problems)
    parts = []
    for name in _TIME:
        part, wrong = numbers(sheet.column(places[name], rows), sheet.lines[rows], f"{where}, {name},")
        parts.append(part)
        problems += wrong
    epoch = _epoch_s(parts)
    undated = np.isnan(epoch)
    if undated.any():
        problems.append(
            Problem(
                where=at_lines(f"{where}, year to hour,", sheet.lines[rows][undated]),
                found="a date that does not exist",
                allowed="a date between 1901 and 2199 and an hour from 0 to 23",
                advice="Correct or remove the row.",
            )
        )
    return epoch, problems


def _epoch_s(parts: Sequence[Floats]) -> Floats:
    stamps = []
    for year, month, day, hour in zip(*parts, strict=True):
        try:
            when = datetime(int(year), int(month), int(day), int(hour), tzinfo=UTC)
        except (ValueError, OverflowError):
            stamps.append(float("nan"))
            continue
        stamps.append(when.timestamp() + REPORT_TO_HOUR * HOUR_S if 1900 < when.year < 2200 else float("nan"))
    return np.array(stamps, dtype=np.float64)
