"""Hourly observations of the Irish weather service (Met Éireann): wind in KNOTS, rain of the hour before, UTC.

Two layouts: one table of several stations with `station` and `time_utc` (the open package of 2017, read), and the
service's own file of one station, with a legend above and columns `ind` between (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, datetime

import numpy as np

from boottop.base.errors import InputError
from boottop.files.weather.named import TRACE_MM, Named, from_sea_level, header_line, named, numbered_from
from boottop.files.weather.table import Floats, Ints, Request, Table, choose_station
from boottop.files.weather.times import read_stamps

_READ = (
    ("air_c", "temp", "degC"),
    ("dew_c", "dewpt", "degC"),
    ("rh", "rhum", "%"),
    ("wind_m_s", "wdsp", "knot"),
    ("rain_mm", "rain", "mm"),
    ("pressure_pa", "msl", "hPa"),
)
_NAMES = ("rain", "temp", "rhum", "msl", "wdsp")
_ABOUT = re.compile(r"^\s*(?:station name|latitude)\s*:\s*([^,]+?)\s*(?:,\s*longitude\s*:\s*([-\d.]+)\s*)?$", re.I)
_DATE = re.compile(r"^(\d\d)-([a-z]{3})-(\d{4}) (\d\d):(\d\d)$", re.I)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
# Codes of the column before rain that stand for a trace (from memory of the service's key: 2 trace, 6 estimated trace).
_TRACES = ("2", "6")
NOTES = ("wind: the column wdsp is in knots", "times: taken as UTC, as the service gives them")


def looks_like(lines: Sequence[str]) -> bool:
    """Whether a line near the top has the columns rain, temp, rhum, msl and wdsp, and time_utc or date."""
    return header_line(lines, names=_NAMES, either=("time_utc", "date")) > 0


def read(text: str, request: Request) -> Table:
    """Rows of one station near the window."""
    lines = text[:20_000].split("\n")
    head = header_line(lines, names=_NAMES, either=("time_utc", "date"))
    sheet = named(numbered_from(text, head), request, needed=_NAMES, kind="Met Éireann hourly data")
    name, place = _about(lines[: head - 1])
    station, own = _one_station(sheet, name, request)
    time = "time_utc" if "time_utc" in sheet.places else "date"
    cells = [_iso(cell) for cell in sheet.cells(time, own)]
    stamps = read_stamps(cells, sheet.sheet.lines[own], zone=UTC, request=request)
    if not stamps.epoch_s.size:
        raise InputError([*sheet.sheet.problems, *stamps.problems])
    near = request.near(stamps.epoch_s)
    rows = own[stamps.rows[near]]
    values, problems = sheet.quantities(_READ, rows)
    notes = _traces(sheet, values, rows)
    return Table(
        where=request.where,
        epoch_s=stamps.epoch_s[near],
        lines=sheet.sheet.lines[rows],
        values=values,
        covers_s=(int(stamps.epoch_s.min()), int(stamps.epoch_s.max())),
        station=station,
        source=f"Met Éireann hourly observations, {station}, {request.where}",
        licence="CC BY 4.0, (c) Met Éireann (not stated in the file)",
        place=place,
        notes=(*NOTES, *from_sea_level(values, request), *notes),
        problems=(*sheet.sheet.problems, *stamps.problems, *problems),
    )


def _about(lines: Sequence[str]) -> tuple[str, tuple[float, float] | None]:
    """Name and place from the legend above the table of one station."""
    name, place = "", None
    for line in lines:
        match = _ABOUT.match(line)
        if match is None:
            continue
        if match[2] is None:
            name = match[1]
            continue
        try:
            place = (float(match[1]), float(match[2]))
        except ValueError:
            continue
    return name, place if place and abs(place[0]) <= 90 and abs(place[1]) <= 180 else None


def _one_station(sheet: Named, name: str, request: Request) -> tuple[str, Ints]:
    rows = sheet.everything()
    if "station" not in sheet.places:
        return choose_station([name or "not stated"], request), rows
    names = [cell.strip() for cell in sheet.cells("station", rows)]
    station = choose_station(names, request)
    return station, np.array([row for row, found in enumerate(names) if found == station], dtype=np.int64)


def _iso(cell: str) -> str:
    """`01-jan-2017 05:00` as 2017-01-01T05:00; other cells as they are."""
    match = _DATE.match(cell.strip())
    if match is None or match[2].lower() not in _MONTHS:
        return cell
    month = _MONTHS.index(match[2].lower()) + 1
    try:
        return datetime(int(match[3]), month, int(match[1]), int(match[4]), int(match[5]), tzinfo=UTC).isoformat()
    except ValueError:
        return cell


def _traces(sheet: Named, values: dict[str, Floats], rows: Ints) -> list[str]:
    """A trace is printed as 0.0 with a code in the column before: it is kept as rain."""
    at = sheet.places["rain"] - 1
    if "rain_mm" not in values or at < 0 or sheet.sheet.header[at].strip().lower() != "ind":
        return []
    codes = np.array([cell.strip() in _TRACES for cell in sheet.sheet.column(at, rows)], dtype=np.bool_)
    trace = codes & (values["rain_mm"] == 0)
    values["rain_mm"] = np.where(trace, TRACE_MM, values["rain_mm"])
    return [f"rain: {int(trace.sum())} h with a trace, kept as wet ({TRACE_MM:g} mm)"] if trace.any() else []
