"""TMY3, typical years of stations in the United States: a station line, a header, 8760 hours of local standard time.

Layout and missing code -9900: S. Wilcox, W. Marion, "Users Manual for TMY3 Data Sets", NREL/TP-581-43156, 2008 (from
memory). Hour 01:00 is midnight to one; light is the sum of the hour to the stamp, the rest holds at the stamp.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.weather.dates import epoch_s, is_typical, laid_onto, stamps_of, typical_note
from boottop.files.weather.named import Named, named, numbered_from
from boottop.files.weather.table import Bools, Floats, Ints, Request, Table, choose_station, refuse
from boottop.files.weather.totals import with_totals

_READ = (
    ("air_c", "dry-bulb (c)", "degC"),
    ("dew_c", "dew-point (c)", "degC"),
    ("rh", "rhum (%)", "%"),
    ("wind_m_s", "wspd (m/s)", "m/s"),
    ("pressure_pa", "pressure (mbar)", "mbar"),
    ("ghi_w_m2", "ghi (w/m^2)", "W/m2"),
    ("dni_w_m2", "dni (w/m^2)", "W/m2"),
    ("dhi_w_m2", "dhi (w/m^2)", "W/m2"),
    ("cloud", "totcld (tenths)", "tenth"),
)
_DATE, _TIME = "date (mm/dd/yyyy)", "time (hh:mm)"
_DEPTH, _HOURS = "lprecip depth (mm)", "lprecip quantity (hr)"
MISSING_BELOW = -9899
# Totals over these hours are used; 99 stands for "not known over how many".
_TOTALS = (3, 6, 12, 24)
# No hour of a typical month at these stations (some files hold 250 mm an hour for days).
WILD_MM = 100.0
PROOF_WET_H, PROOF_SHARE = 10, 0.8


@dataclass(frozen=True, kw_only=True)
class _Station:
    name: str
    place: tuple[float, float]
    offset_h: float


@dataclass(frozen=True, kw_only=True)
class _Rain:
    """Rain of every row in mm, what of it follows from totals, and what is told."""

    rain_mm: Floats
    derived: Bools
    notes: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


def looks_like(lines: Sequence[str]) -> bool:
    """Whether the second line is the header of TMY3."""
    return len(lines) > 1 and lines[1].strip().strip('"').lower().startswith(_DATE)


def read(text: str, request: Request) -> Table:
    """Rows of the typical year near the window, laid onto the years asked for."""
    station = _station(text.split("\n", 1)[0], request)
    needed = [_DATE, _TIME, *(column for _, column, _ in _READ[:4])]
    sheet = named(numbered_from(text, 2), request, needed=needed, kind="TMY3")
    dates, own = _dates(sheet)
    rain = _rain(sheet, own, epoch_s(dates, 0.0))
    if is_typical(dates):
        rows, epoch = laid_onto(dates, station.offset_h, request)
        told: tuple[str, ...] = (typical_note(dates),)
    else:
        rows, epoch, told = np.arange(len(dates), dtype=np.int64), epoch_s(dates, station.offset_h), ()
    near = request.near(epoch)
    covers = (int(epoch.min()), int(epoch.max()))
    rows, epoch = rows[near], epoch[near]
    values, problems = sheet.quantities(_READ, own[rows])
    values = {field: np.where(raw <= _missing_si(field), np.nan, raw) for field, raw in values.items()}
    if not np.isnan(rain.rain_mm).all():
        values["rain_mm"] = rain.rain_mm[rows]
    return Table(
        where=request.where,
        epoch_s=epoch,
        lines=sheet.sheet.lines[own[rows]],
        values={field: raw for field, raw in values.items() if not np.isnan(raw).all()},
        covers_s=covers,
        station=station.name,
        source=f"TMY3 typical year, {station.name}, {request.where}",
        licence="not stated in the file",
        place=station.place,
        notes=(*told, *rain.notes),
        problems=(*sheet.sheet.problems, *problems, *rain.problems),
        filled={"rain_mm": rain.derived[rows]},
    )


def _missing_si(field: str) -> float:
    scale = {"rh": 0.01, "cloud": 0.1, "pressure_pa": 100.0}
    return MISSING_BELOW * scale.get(field, 1.0)


def _station(line: str, request: Request) -> _Station:
    try:
        cells = next(csv.reader([line]))
        offset, latitude, longitude = (float(cells[index]) for index in (3, 4, 5))
        name = cells[1].strip()
    except (IndexError, ValueError, StopIteration, csv.Error):
        offset = latitude = longitude = float("nan")
        name = ""
    if not (abs(latitude) <= 90 and abs(longitude) <= 180 and abs(offset) <= 14):
        raise refuse(
            f"{request.where} line 1",
            "no offset from UTC, latitude and longitude in cells 4 to 6",
            allowed='number,"name",state,hours from UTC,latitude,longitude,elevation',
            advice="Get the file again from where it came.",
        )
    return _Station(name=choose_station([name or "not stated"], request), place=(latitude, longitude), offset_h=offset)


def _dates(sheet: Named) -> tuple[Ints, Ints]:
    """Year, month, day and minutes since midnight, shape (row, 4), and the rows of the sheet they belong to."""
    rows = sheet.everything()
    parts: list[list[float]] = [[], [], [], []]
    for date, time in zip(sheet.cells(_DATE, rows), sheet.cells(_TIME, rows), strict=True):
        for part, value in zip(parts, _civil(date.strip(), time.strip()), strict=True):
            part.append(value)
    columns = [np.array(part, dtype=np.float64) for part in parts]
    stamps, problems = stamps_of(columns, hours=(1, 24), lines=sheet.sheet.lines, where=sheet.where)
    if problems:
        raise InputError([*sheet.sheet.problems, *problems])
    whole = np.stack([*columns[:3], columns[3] * 60], axis=1).astype(np.int64)
    return whole[~np.isnan(stamps)], rows[~np.isnan(stamps)]


def _civil(date: str, time: str) -> tuple[float, float, float, float]:
    try:
        month, day, year = (int(cell) for cell in date.split("/"))
        hour, minute = (int(cell) for cell in time.split(":"))
    except ValueError:
        return (float("nan"),) * 4
    return (float(year), float(month), float(day), float(hour)) if minute == 0 else (float("nan"),) * 4


def _rain(sheet: Named, rows: Ints, source_s: Ints) -> _Rain:
    """Rain by the hour. Stamps are those of the years the months come from, so that no total reaches over a seam."""
    never = np.zeros(rows.size, dtype=np.bool_)
    if _DEPTH not in sheet.places or _HOURS not in sheet.places:
        return _Rain(rain_mm=np.full(rows.size, np.nan), derived=never)
    (depth, wrong_depth), (hours, wrong_hours) = (sheet.numbers(column, rows) for column in (_DEPTH, _HOURS))
    depth = np.where(depth <= MISSING_BELOW, np.nan, depth)
    factor, unit_note = _unit(depth[(hours == 1) & (depth > 0)])
    depth = depth * factor
    wild, unknown = depth >= WILD_MM, (hours > 24) & ~np.isnan(depth)
    depth[wild] = np.nan
    totals = {n: np.where(hours == n, depth, np.nan) for n in _TOTALS}
    rain, derived = with_totals(np.where(hours == 1, depth, np.nan), source_s, totals)
    told = (
        (unit_note, (depth > 0).any()),
        (f"rain: {int(wild.sum())} depths in the file of {WILD_MM:g} mm or more, not believed, left out", wild.any()),
        (f"rain: {int(unknown.sum())} depths in the file over an unknown number of hours, left out", unknown.any()),
        (f"rain: {int(derived.sum())} h in the file follow from totals over several hours, marked", derived.any()),
    )
    return _Rain(
        rain_mm=rain,
        derived=derived,
        notes=tuple(note for note, holds in told if holds),
        problems=(*wrong_depth, *wrong_hours),
    )


def _unit(wet: Floats) -> tuple[float, str]:
    """Factor to mm, and what is told. Known fault: many of these files hold tenths of a mm under a header of mm.

    Gauges there tip every 0.01 inch, so depths in tenths of mm are 3, 5, 8, 10, 13, ...: whole numbers at random would
    hit this row 4 times in 10.
    """
    tips = np.rint(np.rint(wet / 2.54) * 2.54)
    share = float((tips == wet).mean()) if wet.size else 0.0
    if wet.size >= PROOF_WET_H and share >= PROOF_SHARE and (wet == 3).any():
        return 0.1, (
            f"rain: read as tenths of a mm although the header says mm, because {share * 100:.0f} % of its "
            f"{wet.size} wet hours are whole hundredths of an inch when read so (a known fault of these files)"
        )
    return 1.0, "rain: read in mm as the header says; some of these files hold tenths of a mm: look at its totals"
