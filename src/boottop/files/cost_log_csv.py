"""The log as CSV: columns headed `name[unit]`, or under the owner's own headers as the cost document maps them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.base.quantities import registry
from boottop.files.cost_log_bins import FIELDS, Floats, LogHow, Parsed
from boottop.files.weather.table import Request, Sheet, numbers, split_csv
from boottop.files.weather.times import read_stamps, zone_from_header

_HEAD = re.compile(r"^\s*(\w+)\s*(?:\[([^\]]+)\])?\s*$")


@dataclass(frozen=True, kw_only=True)
class LogColumn:
    """One quantity of a log: its field, its SI unit as pint has it, the units taken, and what is possible."""

    field: str
    si: str
    units: Mapping[str, str]
    low_high: tuple[float, float]


_SPEED = {"kn": "knot", "kt": "knot", "kts": "knot", "knots": "knot", "m/s": "m/s", "km/h": "km/h", "mph": "mph"}
COLUMNS: Mapping[str, LogColumn] = {
    "water_speed": LogColumn(field="water_m_s", si="m/s", units=_SPEED, low_high=(0.0, 40.0)),
    "ground_speed": LogColumn(field="ground_m_s", si="m/s", units=_SPEED, low_high=(0.0, 40.0)),
    "revs": LogColumn(field="rev_s", si="1/s", units={"rpm": "1/minute", "Hz": "1/s"}, low_high=(0.0, 200.0)),
    "fuel": LogColumn(
        field="fuel_l_h",
        si="liter/hour",
        units={"L/h": "liter/hour", "l/h": "liter/hour", "US gal/h": "US_liquid_gallon/hour"},
        low_high=(0.0, 5000.0),
    ),
    "wind": LogColumn(field="wind_m_s", si="m/s", units=_SPEED, low_high=(0.0, 100.0)),
    "wind_angle": LogColumn(field="wind_deg", si="degree", units={"deg": "degree"}, low_high=(-180.0, 360.0)),
}


def read(text: str, name: str, how: LogHow) -> Parsed:
    """All rows with a time; a wall-clock hour that the clocks repeat is refused, as in weather files."""
    lines = [(number, line) for number, line in enumerate(text.split("\n"), start=1)
             if line.strip() and not line.startswith("#")]  # fmt: skip
    sheet = split_csv(lines, name)
    places, zone_text = _places(sheet, name, how)
    request = Request(where=name)
    zone = zone_from_header(zone_text, f"{name}, header, time") or how.zone
    stamps = read_stamps(sheet.column(places["time"][0], np.arange(len(sheet.rows))), sheet.lines,
                         zone=zone, request=request)  # fmt: skip
    fields = {field: np.full(stamps.epoch_s.size, np.nan) for field in FIELDS}
    problems = [*sheet.problems, *stamps.problems]
    for column_name, (index, unit) in places.items():
        if column_name != "time":
            column = COLUMNS[column_name]
            raw, wrong = numbers(sheet.column(index, stamps.rows), sheet.lines[stamps.rows], f"{name}, {column_name},")
            fields[column.field] = _bounded(raw * _factor(column, unit), column)
            problems += wrong
    if problems:
        raise InputError(problems)
    return Parsed(time_s=stamps.epoch_s.astype(np.float64), fields=fields, wind_is_apparent=how.wind_is_apparent)


def _bounded(values: Floats, column: LogColumn) -> Floats:
    low, high = column.low_high
    return np.where((values >= low) & (values <= high), values, np.nan)


def _factor(column: LogColumn, unit: str) -> float:
    return float(registry().Quantity(1.0, column.units[unit]).to(column.si).magnitude)


def _places(sheet: Sheet, name: str, how: LogHow) -> tuple[dict[str, tuple[int, str]], str]:
    """Place and unit of each column that is taken, and the zone that the header of the times states."""
    found, zone_text, problems = _own_headers(sheet, how), "", []
    for index, head in enumerate(sheet.header):
        match = _HEAD.match(head)
        known = match[1].lower() if match else ""
        unit = (match[2] or "") if match else ""
        if known == "time":
            found.setdefault("time", (index, ""))
            zone_text = unit
        elif known in COLUMNS and known not in found:
            found[known] = (index, unit)
    for known, (_, unit) in found.items():
        if known != "time" and unit not in COLUMNS[known].units:
            units = ", ".join(f"{known}[{one}]" for one in COLUMNS[known].units)
            problems.append(_problem(f"{name}, header, {known}", f"the unit {unit!r}" if unit else "no unit", units))
    if "time" not in found:
        problems.append(_problem(f"{name}, header", "no column time", "time, or log.columns.time in the cost document"))
    if not {"water_speed", "ground_speed"} & set(found):
        problems.append(_problem(f"{name}, header", "no speed", "water_speed[kn] or ground_speed[kn]"))
    if not {"fuel", "revs"} & set(found):
        problems.append(_problem(f"{name}, header", "neither fuel nor revolutions", "fuel[L/h] or revs[rpm]"))
    if problems:
        raise InputError(problems)
    return found, zone_text


def _own_headers(sheet: Sheet, how: LogHow) -> dict[str, tuple[int, str]]:
    """Columns by the owner's own headers."""
    by_head = {head.strip().lower(): index for index, head in enumerate(sheet.header)}
    return {
        known: (by_head[head.strip().lower()], unit)
        for known, (head, unit) in how.columns.items()
        if head.strip().lower() in by_head
    }


def _problem(where: str, found: str, allowed: str) -> Problem:
    return Problem(
        where=where,
        found=found,
        allowed=allowed,
        advice="Name the columns in the first line, or map your own names in [log.columns] of the cost document.",
    )
