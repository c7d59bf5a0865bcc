"""Quarter-hourly weather of the estuarine reserves of the United States (NERRS, SWMP met): a flag beside every value.

Flags, from the data management office's key as the R package SWMPr cites it (read: -5 to 5, 0 passed) and from memory:
-5 and -4 out of range, -3 rejected, -2 missing, -1 not collected, 1 suspect, 2 open, 3 calculated, 4 historical,
5 corrected. Local standard time all year.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import timedelta, timezone, tzinfo

import numpy as np

from boottop.base.errors import InputError
from boottop.files.weather.columns import BY_FIELD
from boottop.files.weather.named import Named, named, numbered_from
from boottop.files.weather.table import Bools, Floats, Ints, Request, Table, choose_station, refuse
from boottop.files.weather.times import Stamps, read_stamps, zone_from_header

_READ = (
    ("air_c", "atemp", "degC"),
    ("rh", "rh", "%"),
    ("wind_m_s", "wspd", "m/s"),
    ("rain_mm", "totprcp", "mm"),
    ("pressure_pa", "bp", "hPa"),
    ("ghi_w_m2", "totsorad", "W/m2"),
)
_NEEDED = ("atemp", "f_atemp", "rh", "f_rh", "wspd", "f_wspd", "totprcp", "f_totprcp")
_FLAG = re.compile(r"^\s*<?(-?\d)>?")
_TIME = re.compile(r"^(time_est|datetimestamp)\s*(?:\[\s*(.*?)\s*\])?$")
_DAY = re.compile(r"^(\d\d)/(\d\d)/(\d{4}) (\d\d:\d\d)$")
ERRONEOUS = -99.0
PAR_NOTE = (
    "light: totpar counts photons of the visible part only, and what it makes in W/m2 depends on the sky; it is not "
    "used, the light is estimated"
)


def looks_like(lines: Sequence[str]) -> bool:
    """Whether the first line has the columns atemp, f_atemp, totprcp and f_totprcp."""
    cells = {cell.strip().strip('"').lower() for cell in lines[0].split(",")} if lines else set()
    return cells.issuperset(("atemp", "f_atemp", "totprcp", "f_totprcp"))


def read(text: str, request: Request) -> Table:
    """Rows near the window, rejected values dropped, suspect ones told."""
    sheet = named(numbered_from(text, 1), request, needed=_NEEDED, kind="a NERRS weather station")
    station, own = _one_station(sheet, request)
    stamps = _stamps(sheet, own, request)
    if not stamps.epoch_s.size:
        raise InputError([*sheet.sheet.problems, *stamps.problems])
    near = request.near(stamps.epoch_s)
    rows = own[stamps.rows[near]]
    values, problems = sheet.quantities(_READ, rows)
    notes = []
    for field, column, _ in _READ:
        if field in values:
            notes += _flagged(sheet, values, field=field, column=column, rows=rows)
    return Table(
        where=request.where,
        epoch_s=stamps.epoch_s[near],
        lines=sheet.sheet.lines[rows],
        values=values,
        covers_s=(int(stamps.epoch_s.min()), int(stamps.epoch_s.max())),
        station=station,
        source=f"NOAA NERRS, Central Data Management Office, {request.where}",
        licence="not stated in the file; credit NOAA NERRS",
        notes=(*notes, *([PAR_NOTE] if "totpar" in sheet.places and "ghi_w_m2" not in values else [])),
        problems=(*sheet.sheet.problems, *stamps.problems, *problems),
        left_out={
            BY_FIELD[field].name: "the station's control rejected or suspects what the file has there"
            for field, _, _ in _READ
            if field in values and np.isnan(values[field]).any()
        },
    )


def _one_station(sheet: Named, request: Request) -> tuple[str, Ints]:
    rows = sheet.everything()
    if "stationcode" not in sheet.places:
        return choose_station(["not stated"], request), rows
    names = [cell.strip() for cell in sheet.cells("stationcode", rows)]
    station = choose_station(names, request)
    return station, np.array([row for row, name in enumerate(names) if name == station], dtype=np.int64)


def _stamps(sheet: Named, rows: Ints, request: Request) -> Stamps:
    heads = {name: match for name in sheet.places if (match := _TIME.match(name))}
    if not heads:
        raise refuse(
            f"{request.where}, header",
            "no column DateTimeStamp",
            allowed="DateTimeStamp[-05:00] or time_est",
            advice="Get the whole file.",
        )
    name, match = next(iter(heads.items()))
    cells = [_iso(cell) for cell in sheet.cells(name, rows)]
    zone: tzinfo | None = zone_from_header(match[2] or "", f"{request.where}, header, {name}")
    if zone is None and match[1] == "time_est":
        zone = timezone(timedelta(hours=-5))
    if zone is None and rows.size and len(cells[0]) == 16:
        raise refuse(
            f"{request.where}, header, DateTimeStamp",
            "local standard time without its offset",
            allowed="DateTimeStamp[-05:00], with the offset of the station's standard time",
            advice="Write the offset into the header; it stays the same all year.",
        )
    return read_stamps(cells, sheet.sheet.lines[rows], zone=zone, request=request)


def _iso(cell: str) -> str:
    match = _DAY.match(cell.strip())
    return f"{match[3]}-{match[1]}-{match[2]}T{match[4]}" if match else cell


def _flagged(sheet: Named, values: dict[str, Floats], *, field: str, column: str, rows: Ints) -> list[str]:
    """Drops what its flag condemns; tells how much, and what is only suspect."""
    raw, name = values[field], BY_FIELD[field].name
    there = ~np.isnan(raw)
    flag = _flags(sheet, f"f_{column}", rows)
    wild = there & (raw <= ERRONEOUS * (0.01 if field == "rh" else 1.0))
    rejected = there & ((flag < 0) | wild)
    suspect = there & (flag == 1) & ~rejected
    unflagged = there & np.isnan(flag) & ~rejected
    doubtful: Bools = suspect & (field == "rain_mm")
    values[field] = np.where(rejected | doubtful, np.nan, raw)
    notes = []
    if rejected.any():
        notes.append(f"{name}: {int(rejected.sum())} values rejected by the station's own control, left out")
    if doubtful.any():
        notes.append(f"rain: {int(doubtful.sum())} values flagged suspect, left out: a blocked gauge reads dry")
    elif suspect.any():
        notes.append(f"{name}: {int(suspect.sum())} of {int(there.sum())} values flagged suspect, KEPT")
    if unflagged.any():
        notes.append(f"{name}: {int(unflagged.sum())} values without a flag, kept")
    return notes


def _flags(sheet: Named, column: str, rows: Ints) -> Floats:
    """Flag of every row, NaN where there is none, shape (row,)."""
    if column not in sheet.places:
        return np.full(rows.size, np.nan)
    known: dict[str, float] = {}
    flags = np.empty(rows.size)
    for place, cell in enumerate(sheet.cells(column, rows)):
        if cell not in known:
            match = _FLAG.match(cell)
            known[cell] = float(match[1]) if match else float("nan")
        flags[place] = known[cell]
    return flags
