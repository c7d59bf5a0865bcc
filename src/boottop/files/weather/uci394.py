"""Hourly weather of five Chinese cities, 2010 to 2015 (UCI data set 394): local clock, wind cumulated, rain with holes.

X. Liang, S. Li, S. Zhang, H. Huang, S. X. Chen, "PM2.5 data reliability, consistency, and air quality assessment in
five Chinese cities", Journal of Geophysical Research: Atmospheres 121, 2016 (columns as in its key, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.weather.dates import stamps_of
from boottop.files.weather.named import Named, named, numbered_from
from boottop.files.weather.table import HOUR_S, Bools, Floats, Ints, Request, Table, choose_station, squeezed

_READ = (
    ("air_c", "temp", "degC"),
    ("dew_c", "dewp", "degC"),
    ("rh", "humi", "%"),
    ("rain_mm", "precipitation", "mm"),
    ("pressure_pa", "pres", "hPa"),
)
_TIME = ("year", "month", "day", "hour")
_NEEDED = (*_TIME, "dewp", "temp", "cbwd", "iws", "precipitation")
# The file names no city, but its dust stations do. All keep UTC+8, without summer time in these years.
CHINA_H = 8
_CITIES = (
    ("Shanghai", "pm_xuhui", (31.2, 121.4)),
    ("Beijing", "pm_dongsi", (39.9, 116.4)),
    ("Guangzhou", "pm_city station", (23.1, 113.3)),
    ("Chengdu", "pm_caotangsi", (30.7, 104.0)),
    ("Shenyang", "pm_taiyuanjie", (41.8, 123.4)),
)
# -9999 and 999990 stand for missing in files of this family (from memory); no true value is near them.
CODES_BEYOND = 9990.0
NOTES = (
    "times: the clock of the place, UTC+8 all year",
    "wind: Iws adds up while the direction holds; the wind of each hour is the difference to the hour before, and "
    "the first hour of the file is left out",
    "air and dew point are whole degrees: the margin between them is uncertain by up to 1 K",
)


def looks_like(lines: Sequence[str]) -> bool:
    """Whether the first line has the columns DEWP, cbwd, Iws and Iprec."""
    cells = {cell.strip().strip('"').lower() for cell in lines[0].split(",")} if lines else set()
    return cells.issuperset(("year", "dewp", "cbwd", "iws", "iprec"))


def read(text: str, request: Request) -> Table:
    """Rows near the window."""
    sheet = named(numbered_from(text, 1), request, needed=_NEEDED, kind="UCI data set 394")
    city, place = _city(sheet, request)
    rows = sheet.everything()
    parts, problems = [], list(sheet.sheet.problems)
    for column in _TIME:
        part, wrong = sheet.numbers(column, rows)
        parts.append(part)
        problems += wrong
    epoch, wrong_dates = stamps_of(parts, hours=(0, 23), lines=sheet.sheet.lines, where=request.where)
    problems += wrong_dates
    dated = np.flatnonzero(~np.isnan(epoch))
    if not dated.size:
        raise InputError(problems)
    whole = epoch[dated].astype(np.int64) - CHINA_H * HOUR_S
    wind, wrong_wind, odd = _wind(sheet, dated, whole)
    if dated.size > 1:  # the first row's wind has added up since before the file
        dated, whole, wind, odd = dated[1:], whole[1:], wind[1:], odd[1:]
    near = request.near(whole)
    values, wrong_values = sheet.quantities(_READ, dated[near])
    values = {field: np.where(np.abs(raw) >= _codes(field), np.nan, raw) for field, raw in values.items()}
    values["wind_m_s"] = wind[near]
    falls = int((odd & near).sum())
    return Table(
        where=request.where,
        epoch_s=whole[near],
        lines=sheet.sheet.lines[dated[near]],
        values=values,
        covers_s=(int(whole.min()), int(whole.max())),
        station=city,
        source=f"UCI data set 394, {city}, Liang et al. 2016, {request.where}",
        licence="not stated in the file",
        place=place,
        notes=(*NOTES, *([f"wind: {falls} h where Iws falls although the direction holds, left out"] if falls else [])),
        problems=(*problems, *wrong_wind, *wrong_values),
    )


def _codes(field: str) -> float:
    unit = {"rh": 0.01, "pressure_pa": 100.0}.get(field, 1.0)
    return CODES_BEYOND * unit


def _city(sheet: Named, request: Request) -> tuple[str, tuple[float, float] | None]:
    for city, column, place in _CITIES:
        if column in sheet.places:
            return choose_station([city], request), place
    return choose_station(["not stated"], request), None


def _wind(sheet: Named, rows: Ints, epoch_s: Ints) -> tuple[Floats, list[Problem], Bools]:
    """Wind of every hour from the cumulated column, m/s, NaN where the hour before is not known."""
    total, problems = sheet.numbers("iws", rows)
    total = np.where(np.abs(total) >= CODES_BEYOND, np.nan, total)
    heading = np.array([squeezed(cell) for cell in sheet.cells("cbwd", rows)], dtype=object)
    known = ~np.isnan(total) & (heading != "") & (heading != "na") & (heading != "nan")
    wind = np.full(total.shape, np.nan)
    follows = known[1:] & known[:-1] & (np.diff(epoch_s) == HOUR_S)
    holds = heading[1:] == heading[:-1]
    wind[1:] = np.where(follows, np.where(holds, np.diff(total), total[1:]), np.nan)
    falls = wind < 0
    wind[falls] = np.nan
    return wind, list(problems), falls
