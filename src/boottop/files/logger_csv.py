"""Temperature and humidity loggers: CSV that differs in its headers only, made into readings of the log."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from boottop.base.clock import to_utc, zone_info
from boottop.base.errors import InputError, Problem
from boottop.base.quantities import parse
from boottop.climate.moist import relative_humidity
from boottop.files.loose_csv import ColumnMap, LooseTable, bracketed, in_short, mapped, number_in, read_loose
from boottop.job.events import Event, Json

WORDS: Mapping[str, tuple[str, ...]] = {
    "time": ("timestamp", "date time", "datetime", "date/time", "time", "zeit", "date", "fecha"),
    "surface": ("surface", "hull", "probe", "external"),
    "dew": ("dew",),
    "humidity": ("humid", "rh", "feuchte", "rel."),
    "air": ("temp", "air", "celsius"),
}
"""Words in a column's head; dew and surface before air, for their heads say temperature too."""
KINDS = {"air": "temperature", "surface": "temperature", "dew": "temperature", "humidity": "fraction"}
BOUNDS = {"air": (-40.0, 60.0), "surface": (-40.0, 80.0), "dew": (-60.0, 40.0), "humidity": (0.01, 1.02)}
EVERY_S = 1800
"""One reading each half hour goes into the log, the last of it: a coat lasts about as long (common practice, no
source). The file itself is kept whole beside it."""
_SLASHED = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{2,4})[ T,]+(\d{1,2}:\d{2}(?::\d{2})?)\s*([AP]M)?", re.I)


_UTC_IN_HEAD = re.compile(r"(?:GMT|UTC)\s*(?:([+-])(\d{1,2})(?::?(\d{2}))?)?")
_SHORT_ZONE = re.compile(r"\(\s*([A-Z]{3,4})\s*\)")


@dataclass(frozen=True, kw_only=True)
class LoggerImport:
    """Events of a file, and the mapping that read it."""

    events: tuple[Event, ...]
    mapping: ColumnMap
    signature: str
    notes: tuple[str, ...]


def read_logger_csv(
    content: bytes,
    *,
    name: str,
    yard_zone: ZoneInfo,
    job: str,
    given: ColumnMap,
    remembered: Callable[[str], ColumnMap | None] = lambda _: None,
) -> LoggerImport:
    """Readings of a logger; the same file again gives the same events, which the log takes once.

    Times without an offset are the yard's. Dates such as 04/05/2026 are read only where one of them tells day from
    month, or `dates` is given as dmy or mdy. InputError with every row that cannot be read.
    """
    table = read_loose(content, name=name, known=[word for words in WORDS.values() for word in words])
    mapping = mapped(table, WORDS, given=given, remembered=remembered(table.signature))
    missing = [field for field in ("time", "air") if field not in mapping.columns]
    if missing:
        raise InputError(
            Problem(
                where=f"{name}, header",
                found="no column recognised as " + " and ".join(missing) + ": "
                + ", ".join(repr(cell) for cell in table.header),
                allowed="time and air, with humidity or dew, and surface where it has them",
                advice='Say which column is which, such as --map "air=CH1"; it is remembered for this kind of file.',
            )
        )  # fmt: skip
    day_first, zone = _day_first(table, mapping), _zone_of_times(table, mapping) or yard_zone
    rows: list[tuple[int, dict[str, Json]]] = []
    problems: list[Problem] = []
    for number in range(len(table.rows)):
        try:
            rows.append(_row(table, mapping, number, zone=zone, day_first=day_first))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(in_short(problems, name))
    thinned = {at_s // EVERY_S: (at_s, data) for at_s, data in sorted(rows, key=lambda row: row[0])}
    events = tuple(_event(at_s, data, job=job, name=name) for at_s, data in thinned.values() if data)
    notes = (f"{len(events)} readings into the log, one each half hour, of {len(table.rows)} rows",)
    return LoggerImport(events=events, mapping=mapping, signature=table.signature, notes=notes)


def _cell(table: LooseTable, mapping: ColumnMap, row: int, *, field: str) -> str:
    column = mapping.columns.get(field)
    return "" if column is None else table.rows[row][table.header.index(column)]


def _row(
    table: LooseTable, mapping: ColumnMap, row: int, *, zone: tzinfo, day_first: bool | None
) -> tuple[int, dict[str, Json]]:
    where = f"{table.name} line {table.lines[row]}"
    wall = _wall(_cell(table, mapping, row, field="time"), where, day_first=day_first)
    at_s = int(utc_of(wall, zone, where).timestamp())
    values = {field: _value(table, mapping, row, field=field, where=where) for field in KINDS}
    humidity = values["humidity"]
    if humidity is None and values["dew"] is not None and values["air"] is not None:
        humidity = float(relative_humidity(values["air"], values["dew"]))
    data: dict[str, Json] = {}
    for name, value in (("air_c", values["air"]), ("surface_c", values["surface"]), ("humidity", humidity)):
        if value is not None:
            data[name] = round(min(value, 1.0) if name == "humidity" else value, 4)
    return at_s, data


def _value(table: LooseTable, mapping: ColumnMap, row: int, *, field: str, where: str) -> float | None:
    text = number_in(_cell(table, mapping, row, field=field), table).strip()
    if not text or text.strip("-") == "":
        return None
    if re.fullmatch(r"[-+]?\d+(\.\d+)?", text):
        text = f"{text} {_unit(table, mapping, field)}"
    value = parse(text, KINDS[field], where=f"{where}, {field}")
    low, high = BOUNDS[field]
    if not low <= value <= high:
        raise InputError(
            Problem(
                where=f"{where}, {field}",
                found=text,
                allowed=f"{low:g} to {high:g} in SI",
                advice="Check the unit: degC or degF? Give it with --unit degF.",
            )
        )
    return value


def _unit(table: LooseTable, mapping: ColumnMap, field: str) -> str:
    if field == "humidity":
        return "%"
    head = mapping.columns.get(field, "")
    unit = bracketed(head).replace("°", "").replace("deg", "").strip()
    if unit.upper() in ("C", "F"):
        return f"deg{unit.upper()}"
    if match := re.search(r"°\s*([CF])\b", head):
        return f"deg{match[1]}"
    if given := mapping.fixed.get("unit"):
        return given
    raise InputError(
        Problem(
            where=f"{table.name}, header, {head}",
            found="a temperature without a unit",
            allowed="degC or degF in the head, such as Temp (°C)",
            advice="Say it for the file: --unit degC, or --unit degF.",
        )
    )


def utc_of(wall: datetime, zone: tzinfo, where: str) -> datetime:
    """Aware UTC of a wall clock in a zone or at an offset."""
    return to_utc(wall, zone, where=where) if isinstance(zone, ZoneInfo) else wall.replace(tzinfo=zone)


def _zone_of_times(table: LooseTable, mapping: ColumnMap) -> tzinfo | None:
    """The zone that was given, or that the head of the times names; None for the yard's."""
    if name := mapping.fixed.get("time_zone"):
        return zone_info(name, where="time zone of the file")
    head = mapping.columns["time"]
    if match := _UTC_IN_HEAD.search(head):
        sign, hours, minutes = match[1] or "+", int(match[2] or 0), int(match[3] or 0)
        return timezone((1 if sign == "+" else -1) * timedelta(hours=hours, minutes=minutes))
    if match := _SHORT_ZONE.search(head):
        raise InputError(
            Problem(
                where=f"{table.name}, header, {head}",
                found=f"times in {match[1]}, letters that several zones share",
                allowed="GMT or UTC with an offset, or a zone by its full name",
                advice="Say it for the file: --time-zone America/New_York, or whatever zone the logger keeps.",
            )
        )
    return None


def _day_first(table: LooseTable, mapping: ColumnMap) -> bool | None:
    """Whether slashed dates have the day first; None where none is slashed. InputError where nothing tells."""
    found = [
        match for row in range(len(table.rows)) if (match := _SLASHED.match(_cell(table, mapping, row, field="time")))
    ]
    if not found:
        return None
    if given := mapping.fixed.get("dates"):
        return given == "dmy"
    first, second = max(int(one[1]) for one in found), max(int(one[2]) for one in found)
    if "." in found[0][0][:6] or first > 12 >= second:
        return True
    if second > 12 >= first:
        return False
    raise InputError(
        Problem(
            where=f"{table.name}, times",
            found=f"dates such as {found[0][0]!r}: day or month first?",
            allowed="year first, or one date that tells",
            advice="Say it for the file: --dates dmy, or --dates mdy.",
        )
    )


def _wall(text: str, where: str, *, day_first: bool | None) -> datetime:
    try:
        if match := _SLASHED.match(text):
            one, two, year = int(match[1]), int(match[2]), int(match[3])
            day, month = (one, two) if day_first else (two, one)
            hour, minute, second = (*map(int, match[4].split(":")), 0)[:3]
            if match[5]:
                hour = hour % 12 + 12 * (match[5].upper() == "PM")
            year += 2000 if year < 100 else 0
            return datetime(year, month, day, hour, minute, second)  # noqa: DTZ001 - wall clock, its zone comes later
        return datetime.fromisoformat(text.strip().replace("/", "-"))
    except ValueError:
        raise InputError(
            Problem(
                where=f"{where}, time",
                found=repr(text[:40]),
                allowed="such as 2026-05-04 14:30 or 04/05/2026 14:30:00",
                advice="Export with date and time in one column.",
            )
        ) from None


def _event(at_s: int, data: Mapping[str, Json], *, job: str, name: str) -> Event:
    """A reading with an id made from its contents: the same line of the same logger is the same event."""
    device = f"logger {name}"[:120]
    when = datetime.fromtimestamp(at_s, tz=UTC)
    said: Sequence[object] = (job, device, at_s, *sorted(data.items()))
    return Event(
        id=str(uuid5(NAMESPACE_URL, f"boottop:{said!r}")),
        kind="reading",
        happened=when,
        recorded=when,
        device=device,
        order=at_s,
        who=device,
        data=data,
    )
