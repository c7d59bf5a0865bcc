"""Our own CSV: a `time` column and quantities with their units in the header, such as `air[degC]`, in any order."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Weather
from boottop.files.weather.columns import BY_FIELD, BY_NAME, COLUMNS, STEERING, UNREAD, Column, from_si, to_si
from boottop.files.weather.table import (
    HOUR_S,
    Bools,
    Floats,
    Ints,
    Request,
    Sheet,
    Table,
    choose_station,
    nearest,
    numbers,
    refuse,
    split_csv,
    utc_text,
)
from boottop.files.weather.times import read_stamps, zone_from_header

_HEAD = re.compile(r"^\s*([A-Za-z_]+)\s*(?:\[\s*([^\]]*?)\s*\])?\s*$")
_COMMENT = re.compile(r"^#\s*(source|licence|license|station|latitude|longitude)\s*:\s*(.*?)\s*$", re.I)


@dataclass(frozen=True, kw_only=True)
class _Head:
    """One cell of the header: where it stands, its name and the text in its brackets."""

    index: int
    name: str
    unit: str | None


def looks_like(lines: Sequence[str]) -> bool:
    """Whether the first line that is no comment has a `time` cell."""
    first = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    return any(re.match(r'^\s*"?time\s*(\[.*)?"?\s*$', cell, re.I) for cell in re.split(r"[,;\t]", first))


def read(text: str, request: Request) -> Table:
    """Rows of an own CSV near the window; InputError with all that is wrong with the header."""
    about, numbered = _take_comments(text)
    if numbered and "," not in numbered[0][1] and re.search(r"[;\t]", numbered[0][1]):
        raise refuse(
            f"{request.where} line {numbered[0][0]}",
            "semicolons or tabs between the columns",
            allowed="commas between columns and a point in numbers",
            advice="Save the table again as comma-separated, with a decimal point.",
        )
    sheet = split_csv(numbered, request.where)
    heads = _heads(sheet.header, request)
    sheet, station = _one_station(sheet, heads, about=about, request=request)
    return _table(sheet, heads, about={**about, "station": station}, request=request)


def _take_comments(text: str) -> tuple[dict[str, str], list[tuple[int, str]]]:
    about: dict[str, str] = {}
    numbered = []
    for number, raw in enumerate(text.split("\n"), start=1):
        line = raw.rstrip("\r")
        if line.startswith("#"):
            if match := _COMMENT.match(line):
                about[match[1].lower().replace("license", "licence")] = match[2]
        elif line.strip():
            numbered.append((number, line))
    return about, numbered


def _heads(header: Sequence[str], request: Request) -> dict[str, _Head]:
    heads: dict[str, _Head] = {}
    problems = []
    for index, cell in enumerate(header):
        match = _HEAD.match(cell)
        name = match[1].lower() if match else cell
        head = _Head(index=index, name=name, unit=match[2] if match else None)
        problem = _wrong_head(head, heads, request.where)
        if problem is None:
            heads[name] = head
        else:
            problems.append(problem)
    problems += _missing_heads({problem.where for problem in problems}, heads, request)
    if problems:
        raise InputError(problems)
    return heads


def _wrong_head(head: _Head, heads: Mapping[str, _Head], where: str) -> Problem | None:
    place = f"{where}, header, {head.name[:40]}"
    known = (*STEERING, *BY_NAME, *UNREAD)
    if head.name not in known:
        return Problem(
            where=place,
            found="an unknown column",
            allowed=", ".join(known),
            advice=f"Rename or remove the column{nearest(head.name, known)}.",
        )
    if head.name in heads:
        return Problem(where=place, found="the column twice", allowed="each once", advice="Remove one of the two.")
    if head.name in BY_NAME and head.unit not in dict(BY_NAME[head.name].units):
        column = BY_NAME[head.name]
        return Problem(
            where=place,
            found=f"the unit {head.unit!r}" if head.unit else "no unit",
            allowed=", ".join(f"{column.name}[{unit}]" for unit, _ in column.units),
            advice=f"Write the unit in the header, such as {column.header}.",
        )
    return None


def _missing_heads(wrong: set[str], heads: Mapping[str, _Head], request: Request) -> list[Problem]:
    def have(*names: str) -> bool:
        return any(name in heads or f"{request.where}, header, {name}" in wrong for name in names)

    wanted = [
        ("time",),
        *((column.name,) for column in COLUMNS if column.need == "required"),
        ("dew_point", "humidity"),
    ]
    return [
        Problem(
            where=f"{request.where}, header",
            found=f"no column {' or '.join(names)}",
            allowed="time, air, wind, rain, and dew_point or humidity, all needed",
            advice="Add the column; a missing one is never guessed.",
        )
        for names in wanted
        if not have(*names) and not (names == ("rain",) and request.assume_dry)
    ]


def _one_station(
    sheet: Sheet, heads: Mapping[str, _Head], *, about: Mapping[str, str], request: Request
) -> tuple[Sheet, str]:
    stated = about.get("station", "")
    if "station" not in heads:
        if request.station is not None and request.station.strip().lower() != stated.lower():
            choose_station([stated or "the only place in this file"], request)
        return sheet, stated or "not stated"
    index = heads["station"].index
    station = choose_station([row[index] for row in sheet.rows], request)
    keep = [number for number, row in enumerate(sheet.rows) if row[index].strip() == station]
    return replace(sheet, rows=[sheet.rows[number] for number in keep], lines=sheet.lines[keep]), station


def _table(sheet: Sheet, heads: Mapping[str, _Head], *, about: Mapping[str, str], request: Request) -> Table:
    zone = zone_from_header(heads["time"].unit or "", f"{request.where}, header, time")
    stamps = read_stamps([row[heads["time"].index] for row in sheet.rows], sheet.lines, zone=zone, request=request)
    if not stamps.epoch_s.size:
        none = Problem(
            where=request.where, found="no row with a time", allowed="one row an hour", advice="Add the rows."
        )
        raise InputError([*sheet.problems, *(stamps.problems or (none,))])
    near = request.near(stamps.epoch_s)
    rows = stamps.rows[near]
    values, problems = _values(sheet, heads, rows=rows, request=request)
    return Table(
        where=request.where,
        epoch_s=stamps.epoch_s[near],
        lines=sheet.lines[rows],
        values=values,
        covers_s=(int(stamps.epoch_s.min()), int(stamps.epoch_s.max())),
        station=about["station"],
        source=about.get("source", "") or request.where,
        licence=about.get("licence", "") or "not stated in the file",
        place=_place(about),
        problems=(*sheet.problems, *stamps.problems, *problems),
        filled=_filled(sheet, heads, rows),
    )


def _values(
    sheet: Sheet, heads: Mapping[str, _Head], *, rows: Ints, request: Request
) -> tuple[dict[str, Floats], list[Problem]]:
    values: dict[str, Floats] = {}
    problems: list[Problem] = []
    for head in heads.values():
        column: Column | None = BY_NAME.get(head.name)
        if column is None or head.unit is None:
            continue
        cells = sheet.column(head.index, rows)
        read_values, wrong = numbers(cells, sheet.lines[rows], f"{request.where}, {head.name}[{head.unit}],")
        values[column.field] = to_si(column, head.unit, read_values)
        problems += wrong
    return values, problems


def _place(about: Mapping[str, str]) -> tuple[float, float] | None:
    try:
        place = float(about["latitude"]), float(about["longitude"])
    except (KeyError, ValueError):
        return None
    return place if abs(place[0]) <= 90 and abs(place[1]) <= 180 else None


def _filled(sheet: Sheet, heads: Mapping[str, _Head], rows: Ints) -> dict[str, Bools]:
    if "filled" not in heads:
        return {}
    marks = [set(cell.split()) for cell in sheet.column(heads["filled"].index, rows)]
    return {
        column.field: np.array([column.name in mark for mark in marks], dtype=np.bool_)
        for column in COLUMNS
        if column.field != "rh"
    }


def own_csv_text(weather: Weather) -> str:
    """The weather of one member as our own CSV, with its source, licence, station and what was filled in."""
    if weather.members != 1:
        raise refuse(
            "weather", f"{weather.members} members", allowed="one", advice="Write one member of the ensemble at a time."
        )
    arrays = {column: getattr(weather, column.field)[0] for column in COLUMNS if column.field != "rh"}
    written = {column: from_si(column, values) for column, values in arrays.items() if not np.isnan(values).all()}
    flags = {BY_FIELD[field].name: marks for field, marks in weather.filled.items() if marks.any()}
    about = [f"# {key}: {' '.join(str(value).split())}" for key, value in
             (("station", weather.station), ("source", weather.source), ("licence", weather.licence))]  # fmt: skip
    heads = ["time", *(column.header for column in written), *(["filled"] if flags else [])]
    first_s = int(weather.start.timestamp())
    lines = []
    for hour in range(weather.hours):
        cells = [utc_text(first_s + hour * HOUR_S)]
        cells += [_cell(values[hour], column.decimals) for column, values in written.items()]
        if flags:
            cells.append(" ".join(name for name, marks in flags.items() if marks[hour]))
        lines.append(",".join(cells))
    return "\n".join([*about, ",".join(heads), *lines]) + "\n"


def _cell(value: float, decimals: int) -> str:
    if np.isnan(value):
        return ""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def write_own_csv(weather: Weather, path: Path) -> None:
    """Write the weather of one member to a file as our own CSV; reading it again gives the same weather."""
    try:
        path.write_text(own_csv_text(weather), encoding="utf-8", newline="\n")
    except OSError as error:
        raise refuse(
            str(path), str(error.strerror), allowed="a file that can be written", advice="Choose another place."
        ) from None
