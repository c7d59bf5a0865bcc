"""Readings at the yard: typed on the command line, or the CSV of a logger. What is wrong with them is said at once."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from zoneinfo import ZoneInfo

from boottop.base.clock import to_utc
from boottop.base.errors import InputError, Problem
from boottop.base.quantities import parse
from boottop.climate.blend import Observation
from boottop.files.weather.columns import BY_NAME, to_si
from boottop.files.weather.table import MISSING, Floats, Request, Sheet, numbers, refuse, split_csv
from boottop.files.weather.times import read_stamps, zone_from_header

MAX_BYTES = 20_000_000
TYPED = "TIME, AIR, HUMIDITY such as '2026-05-04T08:30, 11.5 degC, 78 %'; a dew point as 'dew 7.5 degC' instead"
_HEAD = re.compile(r"^\s*\"?([A-Za-z_]+)\s*(?:\[\s*([^\]]*?)\s*\])?\"?\s*$")
_TAKEN = ("air", "dew_point", "humidity")


def typed_observation(text: str, zone: ZoneInfo, *, where: str) -> Observation:
    """A reading as typed: time in the yard's zone (or with its offset), air, then humidity or `dew` and a dew point.

    >>> typed_observation("2026-05-04T08:30, 11.5 degC, 80 %", ZoneInfo("Europe/Lisbon"), where="reading").time.hour
    7
    """
    parts = [part.strip() for part in text.split(",")]
    if not 2 <= len(parts) <= 3:
        raise refuse(where, repr(text[:80]), allowed=TYPED, advice="Put commas between them, points in numbers.")
    try:
        wall = datetime.fromisoformat(parts[0])
    except ValueError:
        raise refuse(where, repr(parts[0][:40]), allowed=TYPED, advice="Begin with date and time.") from None
    time = to_utc(wall, zone, where=where)
    air_c = parse(parts[1], "temperature", where=f"{where}, air")
    damp = parts[2] if len(parts) == 3 else ""
    if damp.lower().startswith("dew"):
        return Observation(
            time=time, air_c=air_c, dew_c=parse(damp[3:].strip(), "temperature", where=f"{where}, dew point")
        )
    return Observation(time=time, air_c=air_c, rh=parse(damp, "fraction", where=f"{where}, humidity") if damp else None)


def read_observations(path: Path | str, zone: ZoneInfo) -> tuple[Observation, ...]:
    """The readings of a logger's CSV, one an hour: of readings within the same hour the last, the rest is not new.

    The header as in a weather file: `time` (with offsets, or `time[zone]`; without either the yard's `zone` holds),
    `air[degC]`, and `humidity[%]` or `dew_point[degC]` if the logger has them; other columns are passed over. Rows
    without air are left out.
    """
    file = Path(path)
    request = Request(where=file.name)
    sheet = split_csv(_lines(file), request.where)
    heads = _heads(sheet, request.where)
    stated = zone_from_header(heads["time"][1], f"{request.where}, header, time") or zone
    return _rows(sheet, heads, stated, request=request)


def _lines(file: Path) -> list[tuple[int, str]]:
    try:
        raw = file.read_bytes() if file.stat().st_size <= MAX_BYTES else None
    except (OSError, ValueError) as error:
        reason = str(getattr(error, "strerror", None) or error)
        raise refuse(str(file), reason, allowed="a file that can be read", advice="Check its name.") from None
    if raw is None or b"\x00" in raw:
        found = "more than 20 MB" if raw is None else "binary data"
        raise refuse(file.name, found, allowed="CSV of at most 20 MB", advice="Export the last days as CSV in UTF-8.")
    text = raw.decode("utf-8-sig", errors="replace").replace("\r\n", "\n").replace("\r", "\n")
    numbered = enumerate(text.split("\n"), start=1)
    return [(number, line) for number, line in numbered if line.strip() and not line.startswith("#")]


def _heads(sheet: Sheet, where: str) -> dict[str, tuple[int, str]]:
    """Place and unit of the columns that are taken."""
    found: dict[str, tuple[int, str]] = {}
    problems = []
    for index, cell in enumerate(sheet.header):
        match = _HEAD.match(cell)
        name = match[1].lower() if match else ""
        unit = (match[2] or "") if match else ""
        if name == "time" or (name in _TAKEN and unit in dict(BY_NAME[name].units)):
            found.setdefault(name, (index, unit))
        elif name in _TAKEN:
            problems.append(
                Problem(
                    where=f"{where}, header, {name}",
                    found=f"the unit {unit!r}" if unit else "no unit",
                    allowed=", ".join(f"{name}[{known}]" for known, _ in BY_NAME[name].units),
                    advice=f"Write the unit in the header, such as {BY_NAME[name].header}.",
                )
            )
    wrong = {problem.where for problem in problems}
    problems += [
        Problem(
            where=f"{where}, header",
            found=f"no column {name}",
            allowed="time and air[degC]; humidity[%] or dew_point[degC] beside them",
            advice="Name the columns in the first line.",
        )
        for name in ("time", "air")
        if name not in found and f"{where}, header, {name}" not in wrong
    ]
    if problems:
        raise InputError(problems)
    return found


def _rows(
    sheet: Sheet, heads: Mapping[str, tuple[int, str]], zone: tzinfo, *, request: Request
) -> tuple[Observation, ...]:
    cells = [row[heads["time"][0]] for row in sheet.rows]
    kept = [number for number, cell in enumerate(cells) if cell.strip() not in MISSING]
    stamps = read_stamps([cells[number] for number in kept], sheet.lines[kept], zone=zone, request=request)
    columns, problems = _columns(sheet, heads, [kept[row] for row in stamps.rows.tolist()], where=request.where)
    faults = (*sheet.problems, *stamps.problems, *problems)
    if faults:
        raise InputError(faults)
    by_hour: dict[int, Observation] = {}
    for row, epoch_s in sorted(enumerate(stamps.epoch_s.tolist()), key=lambda pair: pair[1]):
        values = {name: float(column[row]) for name, column in columns.items() if column[row] == column[row]}
        if "air" in values:
            by_hour[epoch_s // 3600] = Observation(
                time=datetime.fromtimestamp(epoch_s, tz=UTC),
                air_c=values["air"],
                dew_c=values.get("dew_point"),
                rh=values.get("humidity"),
            )
    if not by_hour:
        none = Problem(where=request.where, found="no reading of the air", allowed="one or more", advice="Add one.")
        raise InputError(none)
    return tuple(by_hour.values())


def _columns(
    sheet: Sheet, heads: Mapping[str, tuple[int, str]], rows: Sequence[int], *, where: str
) -> tuple[dict[str, Floats], list[Problem]]:
    columns: dict[str, Floats] = {}
    problems: list[Problem] = []
    for name in _TAKEN:
        if name in heads:
            index, unit = heads[name]
            cells = [sheet.rows[row][index] for row in rows]
            raw, wrong = numbers(cells, sheet.lines[list(rows)], f"{where}, {name}[{unit}],")
            columns[name] = to_si(BY_NAME[name], unit, raw)
            problems += wrong
    return columns, problems
