"""Latest observations of one station of the German weather service (DWD, POI): a day, newest first, German numbers.

Semicolons, decimal commas, `---` for missing, years of two digits, and two more header lines: units, then German names.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.files.weather.columns import BY_FIELD, to_si
from boottop.files.weather.dates import stamps_of
from boottop.files.weather.named import Named, from_sea_level, named
from boottop.files.weather.table import Floats, Ints, Request, Table, choose_station, refuse
from boottop.files.weather.totals import with_totals

_FIRST = "surface observations"
_READ = (
    ("air_c", "dry_bulb_temperature_at_2_meter_above_ground"),
    ("dew_c", "dew_point_temperature_at_2_meter_above_ground"),
    ("rh", "relative_humidity"),
    ("wind_m_s", "mean_wind_speed_during last_10_min_at_10_meters_above_ground"),
    ("rain_mm", "precipitation_amount_last_hour"),
    ("pressure_pa", "pressure_reduced_to_mean_sea_level"),
    ("ghi_w_m2", "global_radiation_last_hour"),
    ("dhi_w_m2", "diffuse_solar_radiation_last_hour"),
    ("cloud", "cloud_cover_total"),
)
_TOTALS = (
    (3, "precipitation_amount_last_3_hours"),
    (6, "precipitation_amount_last_6_hours"),
    (12, "precipitation_last_12_hours"),
    (24, "precipitation_amount_last_24_hours"),
)
_UNITS = {"grad c": "degC", "km/h": "km/h", "m/s": "m/s", "mm": "mm", "hpa": "hPa", "%": "%", "w/m2": "W/m2"}
_DATE = re.compile(r"^(\d\d)\.(\d\d)\.(\d\d)$")
_CLOCK = re.compile(r"^(\d\d):(\d\d)$")
CENTURY = 2000


def looks_like(lines: Sequence[str]) -> bool:
    """Whether the first line begins `surface observations;`."""
    return bool(lines) and lines[0].strip().lower().startswith(_FIRST)


def read(text: str, request: Request) -> Table:
    """Rows near the window, oldest first."""
    sheet, units, station = _opened(text, request)
    rows = sheet.everything()
    epoch, problems = _stamps(sheet, rows)
    rows = rows[~np.isnan(epoch)][::-1]
    whole = epoch[~np.isnan(epoch)][::-1].astype(np.int64)
    if not rows.size:
        raise InputError([*sheet.sheet.problems, *problems])
    values, wrong, derived = _values(sheet, units, rows=rows, epoch_s=whole)
    near, told = request.near(whole), from_sea_level(values, request)
    marked = derived if derived is not None else np.zeros(rows.size, dtype=np.bool_)
    more = f"rain: {int(marked.sum())} h follow from totals over 3 to 24 h, marked"
    return Table(
        where=request.where,
        epoch_s=whole[near],
        lines=sheet.sheet.lines[rows[near]],
        values={field: raw[near] for field, raw in values.items()},
        covers_s=(int(whole.min()), int(whole.max())),
        station=station,
        source=f"DWD latest observations (POI), station {station}, {request.where}",
        licence="CC BY 4.0, DWD (not stated in the file)",
        notes=(
            f"times: UTC; the years have two digits and are taken as {CENTURY} to {CENTURY + 99}",
            *told,
            *([more] if marked.any() else []),
        ),
        problems=(*sheet.sheet.problems, *problems, *wrong),
        filled={"rain_mm": marked[near]},
    )


def _opened(text: str, request: Request) -> tuple[Named, dict[str, str], str]:
    """The sheet without its header lines, the unit of every column, and the station."""
    numbered = [
        (number, line.replace(",", ".").replace(";", ","))
        for number, line in enumerate(text.split("\n"), start=1)
        if line.strip()
    ]
    if len(numbered) < 4:
        raise refuse(
            request.where, f"{len(numbered)} lines", allowed="three header lines and the rows", advice="Get it again."
        )
    needed = [_FIRST, "parameter description", _READ[0][1], _READ[3][1], _READ[4][1]]
    sheet = named([numbered[0], *numbered[3:]], request, needed=needed, kind="DWD latest observations")
    cells = [cell.strip() for cell in numbered[1][1].split(",")]
    units = {name: cells[index].lower() if index < len(cells) else "" for name, index in sheet.places.items()}
    return sheet, units, choose_station([cells[0] or "not stated"], request)


def _stamps(sheet: Named, rows: Ints) -> tuple[Floats, list[Problem]]:
    parts: list[list[float]] = [[], [], [], []]
    for date, clock in zip(sheet.cells(_FIRST, rows), sheet.cells("parameter description", rows), strict=True):
        day, hour = _DATE.match(date.strip().replace(",", ".")), _CLOCK.match(clock.strip())
        civil = [float("nan")] * 4
        if day and hour:
            civil = [CENTURY + float(day[3]), float(day[2]), float(day[1]), float(hour[1]) + float(hour[2]) / 60]
        for part, value in zip(parts, civil, strict=True):
            part.append(value)
    columns = [np.array(part, dtype=np.float64) for part in parts]
    return stamps_of(columns, hours=(0, 23), lines=sheet.sheet.lines[rows], where=sheet.where)


def _values(
    sheet: Named, units: dict[str, str], *, rows: Ints, epoch_s: Ints
) -> tuple[dict[str, Floats], list[Problem], np.ndarray | None]:
    values: dict[str, Floats] = {}
    problems: list[Problem] = []
    for field, column in _READ:
        if column not in sheet.places:
            continue
        raw, wrong = sheet.numbers(column, rows)
        problems += wrong
        unit = _UNITS.get(units[column], "")
        if np.isnan(raw).all():
            continue
        if unit not in dict(BY_FIELD[field].units):
            problems.append(_unit_problem(column, units[column], sheet.where))
            continue
        values[field] = to_si(BY_FIELD[field], unit, raw)
    if "rain_mm" not in values:
        return values, problems, None
    totals = {}
    for hours, column in _TOTALS:
        if column in sheet.places and units[column] == "mm":
            totals[hours], wrong = sheet.numbers(column, rows)
            problems += wrong
    values["rain_mm"], derived = with_totals(values["rain_mm"], epoch_s, totals)
    return values, problems, derived


def _unit_problem(column: str, unit: str, where: str) -> Problem:
    return Problem(
        where=f"{where} line 2, {column}",
        found=f"the unit {unit!r}",
        allowed=", ".join(_UNITS),
        advice="Get the file again; the service may have changed it.",
    )
