"""EPW, the weather file of building simulation: eight header lines, then 35 cells an hour, in local standard time.

Layout, units and missing codes: EnergyPlus Auxiliary Programs, "EnergyPlus Weather File (EPW) Data Dictionary" (codes
as in the brief dictionary of the format, read; the rest from memory). Hour 1 is 00:00 to 01:00, so its stamp is 01:00.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.weather.dates import epoch_s, is_typical, laid_onto, typical_note
from boottop.files.weather.table import (
    Floats,
    Ints,
    Request,
    Sheet,
    Table,
    at_lines,
    numbers,
    refuse,
    split_csv,
)

# field, cell, what stands for missing (and everything above), factor to SI
_READ = (
    ("air_c", 6, 99.9, 1.0),
    ("dew_c", 7, 99.9, 1.0),
    ("rh", 8, 999.0, 0.01),
    ("pressure_pa", 9, 999_999.0, 1.0),
    ("longwave_w_m2", 12, 9999.0, 1.0),
    ("ghi_w_m2", 13, 9999.0, 1.0),
    ("dni_w_m2", 14, 9999.0, 1.0),
    ("dhi_w_m2", 15, 9999.0, 1.0),
    ("wind_m_s", 21, 999.0, 1.0),
    ("cloud", 22, 99.0, 0.1),
    ("rain_mm", 33, 999.0, 1.0),
)
_CELLS = 35
_HEADER_LINES = 8


@dataclass(frozen=True, kw_only=True)
class _Location:
    city: str
    source: str
    place: tuple[float, float]
    offset_h: float


def looks_like(lines: Sequence[str]) -> bool:
    """Whether the first line is an EPW's LOCATION line."""
    return bool(lines) and lines[0].lstrip().upper().startswith("LOCATION,")


def read(text: str, request: Request) -> Table:
    """Rows of an EPW file near the window; a typical year made of several years is laid onto the years asked for."""
    lines = [line.rstrip("\r") for line in text.split("\n")]
    location = _location(lines[0], request.where)
    header = ",".join(f"cell {number}" for number in range(1, _CELLS + 1))
    rows = [
        (number, _padded(line)) for number, line in enumerate(lines, start=1) if number > _HEADER_LINES and line.strip()
    ]
    if not rows:
        raise refuse(request.where, "no data after the header", allowed="8760 hours", advice="Get the whole file.")
    sheet = split_csv([(_HEADER_LINES, header), *rows], request.where)
    dates, problems = _dates(sheet, _per_hour(lines), request.where)
    if not sheet.rows or problems:
        raise InputError([*sheet.problems, *problems])
    return _table(sheet, dates, location=location, request=request)


def _padded(line: str) -> str:
    """Older files stop before the last cells (albedo and rain); those are missing, not wrong."""
    cells = line.count(",") + 1
    return line + "," * (_CELLS - cells) if 29 <= cells < _CELLS else line


def _location(line: str, where: str) -> _Location:
    cells = [cell.strip() for cell in line.split(",")]
    try:
        latitude, longitude, offset = (float(cells[index]) for index in (6, 7, 8))
    except (IndexError, ValueError):
        latitude = longitude = offset = float("nan")
    if not (abs(latitude) <= 90 and abs(longitude) <= 180 and abs(offset) <= 14):
        raise refuse(
            f"{where} line 1",
            "no latitude, longitude and offset from UTC in cells 7 to 9",
            allowed="LOCATION,city,region,country,source,number,latitude,longitude,hours from UTC,elevation",
            advice="Get the file again from where it came.",
        )
    return _Location(city=cells[1] or "not stated", source=cells[4], place=(latitude, longitude), offset_h=offset)


def _per_hour(lines: Sequence[str]) -> int:
    for line in lines[:_HEADER_LINES]:
        cells = line.split(",")
        if cells[0].strip().upper() == "DATA PERIODS" and len(cells) > 2 and cells[2].strip().isdigit():
            return max(1, int(cells[2]))
    return 1


def _dates(sheet: Sheet, per_hour: int, where: str) -> tuple[Ints, tuple[Problem, ...]]:
    """Year, month, day and minutes since local midnight, shape (row, 4)."""
    everything = np.arange(len(sheet.rows), dtype=np.int64)
    parts: list[Floats] = []
    problems: list[Problem] = []
    for index, name in enumerate(("year", "month", "day", "hour", "minute")):
        part, wrong = numbers(sheet.column(index, everything), sheet.lines, f"{where}, {name},")
        parts.append(part)
        problems += wrong
    year, month, day, hour, minute = parts
    within = np.where(minute == 0, 60, minute) if per_hour > 1 else 60
    since_midnight = (hour - 1) * 60 + within
    with np.errstate(invalid="ignore"):
        good = (year > 1900) & (year < 2200) & (month >= 1) & (month <= 12) & (day >= 1) & (hour >= 1) & (hour <= 24)
        good &= (minute >= 0) & (minute <= 60)
        good &= (
            day
            <= np.array([31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])[
                np.clip(np.nan_to_num(month), 1, 12).astype(int) - 1
            ]
        )
    if not good.all():
        problems.append(
            Problem(
                where=at_lines(where, sheet.lines[~good]),
                found="a date or hour that does not exist",
                allowed="year, month, day, and an hour from 1 to 24",
                advice="Correct the row.",
            )
        )
        return np.zeros((0, 4), dtype=np.int64), tuple(problems)
    return np.stack([year, month, day, since_midnight], axis=1).astype(np.int64), tuple(problems)


def _table(sheet: Sheet, dates: Ints, *, location: _Location, request: Request) -> Table:
    notes: list[str] = []
    if is_typical(dates):
        rows, epoch = laid_onto(dates, location.offset_h, request)
        notes.append(typical_note(dates))
    else:
        rows, epoch = np.arange(len(dates), dtype=np.int64), epoch_s(dates, location.offset_h)
    near = request.near(epoch)
    covers = (int(epoch.min()), int(epoch.max()))
    rows, epoch = rows[near], epoch[near]
    values, problems = _values(sheet, rows, request.where)
    return Table(
        where=request.where,
        epoch_s=epoch,
        lines=sheet.lines[rows],
        values=values,
        covers_s=covers,
        station=location.city,
        source=f"EPW file {request.where}, {location.source or 'source not stated'}",
        licence="not stated in the file",
        place=location.place,
        notes=tuple(notes),
        problems=(*sheet.problems, *problems),
    )


def _values(sheet: Sheet, rows: Ints, where: str) -> tuple[dict[str, Floats], list[Problem]]:
    values: dict[str, Floats] = {}
    problems: list[Problem] = []
    for field, cell, missing, factor in _READ:
        raw, wrong = numbers(sheet.column(cell, rows), sheet.lines[rows], f"{where}, cell {cell + 1} ({field}),")
        problems += wrong
        with np.errstate(invalid="ignore"):
            raw = np.where(raw >= missing, np.nan, raw)
        if not np.isnan(raw).all():
            values[field] = raw * factor
    return values, problems
