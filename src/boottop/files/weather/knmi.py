"""Hourly observations of the Dutch weather service (KNMI, uurgegevens): whole numbers in tenths, hours 1 to 24 in UTC.

Names and units: the legend at the head of the file (read). RH is rain, U is humidity. Hour 5 is 04:00 to 05:00 UTC.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.weather.dates import stamps_of
from boottop.files.weather.named import TRACE_MM, Named, from_sea_level, header_line, named
from boottop.files.weather.table import Floats, Ints, Request, Table, choose_station

# field, column, factor to SI
_READ = (
    ("air_c", "t", 0.1),
    ("dew_c", "td", 0.1),
    ("rh", "u", 0.01),
    ("wind_m_s", "fh", 0.1),
    ("rain_mm", "rh", 0.1),
    ("pressure_pa", "p", 10.0),
    ("ghi_w_m2", "q", 1e4 / 3600),
    ("cloud", "n", 1 / 8),
)
_NEEDED = ("stn", "yyyymmdd", "hh", "t", "td", "fh", "rh")
_PLACE = re.compile(r"^#?\s*(\d{3,5}):?\s+(-?\d+\.\d+)\s+(-?\d+\.\d+)\s+-?\d+(?:\.\d+)?\s+(\S.*)$")
NOTES = (
    "times: hour 1 to 24 are UTC and end at the stamp",
    "rain is the column RH and humidity the column U; wind is FH, the mean of the hour, in whole m/s at older stations",
)


def looks_like(lines: Sequence[str]) -> bool:
    """Whether a line near the top is the header STN,YYYYMMDD,HH,..."""
    return header_line(lines, names=("stn", "yyyymmdd"), either=("hh", "h")) > 0


def read(text: str, request: Request) -> Table:
    """Rows of one station near the window."""
    lines = text.split("\n")
    head = header_line(lines, names=("stn", "yyyymmdd"))
    body = [
        (number, line.lstrip("# ") if number == head else line)
        for number, line in enumerate(lines, start=1)
        if number >= head and line.strip() and (number == head or not line.startswith("#"))
    ]
    sheet = named(body, request, needed=_NEEDED, kind="KNMI uurgegevens")
    places = _places(lines[: head - 1])
    station, own = _one_station(sheet, places, request)
    epoch, problems = _stamps(sheet, own)
    dated = np.flatnonzero(~np.isnan(epoch))
    if not dated.size:
        raise InputError([*sheet.sheet.problems, *problems])
    whole = epoch[dated].astype(np.int64)
    near = request.near(whole)
    rows = own[dated[near]]
    values, wrong, notes = _values(sheet, rows)
    latitude, longitude, name = places.get(station, (0.0, 0.0, ""))
    return Table(
        where=request.where,
        epoch_s=whole[near],
        lines=sheet.sheet.lines[rows],
        values=values,
        covers_s=(int(whole.min()), int(whole.max())),
        station=f"{station} {name}".strip(),
        source=f"KNMI hourly observations, station {station}, {request.where}",
        licence="CC BY 4.0, KNMI (not stated in the file)",
        place=(latitude, longitude) if station in places else None,
        notes=(*NOTES, *from_sea_level(values, request), *notes),
        problems=(*sheet.sheet.problems, *problems, *wrong),
    )


def _places(lines: Sequence[str]) -> dict[str, tuple[float, float, str]]:
    """Latitude, longitude and name by station number, where the file lists its stations."""
    found = [match for line in lines if (match := _PLACE.match(line))]
    return {
        match[1]: (float(match[3]), float(match[2]), match[4].strip())
        for match in found
        if abs(float(match[3])) <= 90 and abs(float(match[2])) <= 180
    }


def _one_station(sheet: Named, places: dict[str, tuple[float, float, str]], request: Request) -> tuple[str, Ints]:
    """Number of the station asked for (a name listed in the file will do), and its rows."""
    numbers = [cell.strip() for cell in sheet.cells("stn", sheet.everything())]
    labels = {number: places[number][2] if number in places else number for number in set(numbers)}
    by_number = request.station is None or request.station.strip() in labels
    chosen = choose_station(numbers if by_number else list(labels.values()), request)
    station = chosen if by_number else next(number for number, label in labels.items() if label == chosen)
    return station, np.array([row for row, number in enumerate(numbers) if number == station], dtype=np.int64)


def _stamps(sheet: Named, rows: Ints) -> tuple[Floats, list[Problem]]:
    date, wrong_date = sheet.numbers("yyyymmdd", rows)
    hour, wrong_hour = sheet.numbers("hh", rows)
    parts = [np.floor(date / 10_000), np.floor(date / 100) % 100, date % 100, hour]
    epoch, problems = stamps_of(parts, hours=(1, 24), lines=sheet.sheet.lines[rows], where=sheet.where)
    return epoch, [*wrong_date, *wrong_hour, *problems]


def _values(sheet: Named, rows: Ints) -> tuple[dict[str, Floats], list[Problem], list[str]]:
    values: dict[str, Floats] = {}
    problems: list[Problem] = []
    notes = []
    for field, column, factor in _READ:
        if column not in sheet.places:
            continue
        raw, wrong = sheet.numbers(column, rows)
        problems += wrong
        if column == "rh":
            trace = raw == -1
            raw = np.where(trace, TRACE_MM / factor, raw)
            if trace.any():
                notes.append(f"rain: {int(trace.sum())} h with less than 0.05 mm, kept as wet ({TRACE_MM:g} mm)")
        if column == "n":
            hidden = raw == 9
            raw = np.where(hidden, 8, raw)
            if hidden.any():
                notes.append(f"cloud: {int(hidden.sum())} h with the sky hidden, taken as covered")
        if not np.isnan(raw).all() or not rows.size:
            values[field] = raw * factor
    return values, problems, notes
