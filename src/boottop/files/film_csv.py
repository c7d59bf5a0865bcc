"""Film readings from a gauge's CSV: units by cell, column or file, never guessed; a row is taken or named."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median
from typing import get_args
from zoneinfo import ZoneInfo

from boottop.base.clock import to_utc
from boottop.base.errors import InputError, Problem
from boottop.base.quantities import parse
from boottop.files.loose_csv import ColumnMap, LooseTable, bracketed, in_short, mapped, number_in, read_loose
from boottop.files.weather.table import nearest
from boottop.record.readings import FilmReading, Method, comb_step_um

WORDS: Mapping[str, tuple[str, ...]] = {
    "low": ("last wet", "wet tooth", "from", "low"),
    "high": ("first dry", "dry tooth", "high"),
    "value": ("thickness", "reading", "dft", "wft", "film", "value", "dicke", "epaisseur", "espesor"),
    "unit": ("unit",),
    "zone": ("zone", "place", "location", "side"),
    "spot": ("spot",),
    "area": ("area",),
    "method": ("method", "gauge", "instrument", "probe"),
    "coat": ("coat",),
    "product": ("product", "paint"),
    "time": ("time", "date", "when"),
    "station": ("station", "along", "aft of"),
    "girth": ("girth", "down", "below"),
    "who": ("who", "inspector", "by"),
}
"""Words in a column's head by what the column holds (common practice, no source)."""
METHODS: Mapping[str, Method] = {one: one for one in get_args(Method)} | {
    "notch": "comb", "wet": "comb", "wft": "comb", "ferrous": "magnetic", "f": "magnetic", "fe": "magnetic",
    "eddy": "eddy_current", "eddy current": "eddy_current", "eddy-current": "eddy_current", "nf": "eddy_current",
    "nfe": "eddy_current", "ultrasound": "ultrasonic", "us": "ultrasonic", "cut": "destructive", "chip": "destructive",
}  # fmt: skip
FILM_BOUNDS_UM = (1.0, 20_000.0)
FAR_OFF = 8.0
"""A number without a unit of its own, so many times above or below the middle one: mil and um in one column (1 mil is
25.4 um) is the usual cause (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class FilmImport:
    """Readings of a file, and the mapping that read it, to be remembered under the file's `signature`."""

    readings: tuple[FilmReading, ...]
    mapping: ColumnMap
    signature: str
    notes: tuple[str, ...]


def read_film_csv(
    content: bytes,
    *,
    name: str,
    zone_names: Sequence[str],
    yard_zone: ZoneInfo,
    given: ColumnMap,
    remembered: Callable[[str], ColumnMap | None] = lambda _: None,
) -> FilmImport:
    """Every reading of a file; InputError with every row that cannot be read, and then none is taken.

    A unit is taken from the cell ("3.2 mil"), else from the row's unit column, else from the head ("DFT [um]"), else
    from what was given for the file; without any it is asked for. A zone that the hull has not is named.
    """
    table = read_loose(content, name=name, known=[word for words in WORDS.values() for word in words])
    mapping = mapped(table, WORDS, given=given, remembered=remembered(table.signature))
    if "value" not in mapping.columns and "low" not in mapping.columns:
        raise _ask(table, "no column of film readings was recognised", advice='Say which: --map "value=NAME".')
    reader = _Reader(table=table, mapping=mapping, zone_names=tuple(zone_names), yard_zone=yard_zone)
    readings: list[FilmReading] = []
    problems: list[Problem] = []
    for number in range(len(table.rows)):
        try:
            reading = reader.reading(number)
        except InputError as error:
            problems += error.problems
            continue
        if reading is not None:
            readings.append(reading)
    problems += reader.mixed_units()
    if problems:
        raise InputError(in_short(problems, name))
    notes = [f"{len(readings)} readings of {len(table.rows)} rows, separated by {_SAID[table.separator]}"]
    if table.decimal_comma:
        notes.append("decimal commas read as such")
    if reader.units_seen - {""} and len(reader.units_seen) > 1:
        notes.append("units in this file, each converted by itself: " + ", ".join(sorted(reader.units_seen)))
    return FilmImport(readings=tuple(readings), mapping=mapping, signature=table.signature, notes=tuple(notes))


_SAID = {";": "semicolons", "\t": "tabs", ",": "commas"}


class _Reader:
    def __init__(
        self, *, table: LooseTable, mapping: ColumnMap, zone_names: Sequence[str], yard_zone: ZoneInfo
    ) -> None:
        self.table, self.mapping, self.zone_names, self.yard_zone = table, mapping, zone_names, yard_zone
        self.places = {field: table.header.index(column) for field, column in mapping.columns.items()}
        self.units_seen: set[str] = set()
        self._plain: list[tuple[int, float]] = []

    def reading(self, row: int) -> FilmReading | None:
        """The reading of a row, None for a row without one."""
        where = f"{self.table.name} line {self.table.lines[row]}"
        low_um = self._film(row, "low" if self.cell(row, "low") else "value", where)
        high_um = self._film(row, "high", where) if self.cell(row, "high") else None
        if low_um is None:
            return None
        method = self._method(row, where, interval=high_um is not None)
        if method == "comb" and high_um is None:
            high_um = low_um + comb_step_um(low_um)
        if high_um is not None and high_um < low_um:
            raise _wrong(where, f"a first dry tooth below the last wet one ({high_um:.0f} < {low_um:.0f} um)",
                         allowed="a dry tooth above the wet one", advice="Swap the two columns.")  # fmt: skip
        return FilmReading(
            method=method,
            zone=self._zone(row, where),
            low_um=low_um,
            high_um=low_um if high_um is None else high_um,
            at_s=self._time(row, where),
            product=self.cell(row, "product") or None,
            coat=self._count(row, where),
            area=self.cell(row, "area"),
            spot=self.cell(row, "spot"),
            station_m=self._length(row, "station", where),
            girth_m=self._length(row, "girth", where),
            who=self.cell(row, "who"),
            as_written=self.cell(row, "value") or f"{self.cell(row, 'low')} to {self.cell(row, 'high')}",
        )

    def cell(self, row: int, field: str) -> str:
        """The text of a field in a row, else what holds for the whole file."""
        place = self.places.get(field)
        text = self.table.rows[row][place] if place is not None else ""
        return text or self.mapping.fixed.get(field, "")

    def _film(self, row: int, field: str, where: str) -> float | None:
        text = number_in(self.cell(row, field), self.table).strip()
        if not text:
            return None
        unit = text.lstrip("+-0123456789.eE ").strip()
        if not unit:
            unit = self.cell(row, "unit") or bracketed(self.mapping.columns.get(field, ""))
            if not unit:
                raise _ask(
                    self.table,
                    f"{text!r} in line {self.table.lines[row]} without a unit",
                    advice='Say it for the file: --unit um, or --unit mil; or write "3.2 mil" in the cell.',
                )
            text = f"{text} {unit}"
            plain = True
        else:
            plain = False
        film_um = parse(text, "film", where=f"{where}, {field}")
        if not FILM_BOUNDS_UM[0] <= film_um <= FILM_BOUNDS_UM[1]:
            raise _wrong(where, f"a film of {film_um:.3g} um", allowed="1 to 20000 um", advice="Check the unit.")
        self.units_seen.add(unit.replace("µ", "u").replace("μ", "u"))
        if plain:
            self._plain.append((self.table.lines[row], film_um))
        return film_um

    def mixed_units(self) -> list[Problem]:
        """Numbers without a unit of their own that are far off all the others."""
        if len(self._plain) < 3:
            return []
        middle = median(value for _, value in self._plain)
        off = [line for line, value in self._plain if not middle / FAR_OFF <= value <= middle * FAR_OFF]
        return (
            [
                Problem(
                    where=f"{self.table.name} line {', '.join(map(str, off[:10]))}",
                    found=f"readings {FAR_OFF:g} times off the middle one, {middle:.0f} um",
                    allowed="one unit in a column",
                    advice='Are mil and um mixed? Write the unit into each cell ("3.2 mil"), or correct the numbers.',
                )
            ]
            if off
            else []
        )

    def _method(self, row: int, where: str, *, interval: bool) -> Method:
        text = self.cell(row, "method").strip().casefold()
        if not text and interval:
            return "comb"
        if text not in METHODS:
            raise _wrong(where, repr(text) if text else "no word of how it was read", allowed=", ".join(METHODS),
                         advice="Add a column method, or say it for the file: --method ultrasonic.")  # fmt: skip
        return METHODS[text]

    def _zone(self, row: int, where: str) -> str:
        text = self.cell(row, "zone")
        by_fold = {name.casefold(): name for name in self.zone_names}
        if text.casefold() not in by_fold:
            near = nearest(text, self.zone_names)
            raise _wrong(
                where,
                f"the zone {text!r}" if text else "no zone",
                allowed=", ".join(self.zone_names),
                advice=f"Name a zone of this hull{near}, or give --zone for the file.",
            )
        return by_fold[text.casefold()]

    def _count(self, row: int, where: str) -> int:
        text = self.cell(row, "coat")
        if not text:
            return 0
        if not text.isdigit() or int(text) > 20:
            raise _wrong(where, f"the coat {text!r}", allowed="1 to 20, empty for the whole film", advice="Correct it.")
        return int(text)

    def _length(self, row: int, field: str, where: str) -> float | None:
        text = number_in(self.cell(row, field), self.table).strip()
        if not text:
            return None
        if text.lstrip("+-").replace(".", "", 1).isdigit():
            text = f"{text} {bracketed(self.mapping.columns.get(field, '')) or 'm'}"
        return parse(text, "length", where=f"{where}, {field}")

    def _time(self, row: int, where: str) -> int | None:
        text = self.cell(row, "time")
        if not text:
            return None
        try:
            wall = datetime.fromisoformat(text)
        except ValueError:
            raise _wrong(where, f"the time {text!r}", allowed="such as 2026-05-04 14:30",
                         advice="Write year, month, day in this order.") from None  # fmt: skip
        return int(to_utc(wall, self.yard_zone, where=where).timestamp())


def _wrong(where: str, found: str, *, allowed: str, advice: str) -> InputError:
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))


def _ask(table: LooseTable, found: str, *, advice: str) -> InputError:
    return _wrong(
        f"{table.name}, header",
        f"{found}; its columns are " + ", ".join(repr(cell) for cell in table.header),
        allowed="a column of readings and the unit they are in",
        advice=f"{advice} It is remembered for files with this header.",
    )
