"""Files whose columns have fixed names and units: finding and reading the columns, telling which one lacks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from boottop.base.errors import Problem
from boottop.climate.moist import standard_pressure_pa
from boottop.files.weather.columns import BY_FIELD, to_si
from boottop.files.weather.table import Floats, Ints, Request, Sheet, numbers, refuse, split_csv

# Half of the smallest amount that would have been printed: kept as rain, because a fresh film minds a trace.
TRACE_MM = 0.025


@dataclass(frozen=True, kw_only=True)
class Named:
    """A sheet and the place of every column by its lower-case name (the first of that name)."""

    sheet: Sheet
    places: Mapping[str, int]
    where: str

    def everything(self) -> Ints:
        """Indices of all rows."""
        return np.arange(len(self.sheet.rows), dtype=np.int64)

    def cells(self, column: str, rows: Ints) -> list[str]:
        """Cells of a column in some rows."""
        return self.sheet.column(self.places[column], rows)

    def numbers(self, column: str, rows: Ints) -> tuple[Floats, tuple[Problem, ...]]:
        """Numbers of a column in some rows, NaN where missing, and what is no number."""
        return numbers(self.cells(column, rows), self.sheet.lines[rows], f"{self.where}, {column},")

    def quantities(self, wanted: Sequence[tuple[str, str, str]], rows: Ints) -> tuple[dict[str, Floats], list[Problem]]:
        """Values in SI by field of `(field, column, unit)`, leaving out what the file has no column for or no value."""
        values: dict[str, Floats] = {}
        problems: list[Problem] = []
        for field, column, unit in wanted:
            if column not in self.places:
                continue
            raw, wrong = self.numbers(column, rows)
            problems += wrong
            if not np.isnan(raw).all() or not rows.size:
                values[field] = to_si(BY_FIELD[field], unit, raw)
        return values, problems


def named(numbered: Sequence[tuple[int, str]], request: Request, *, needed: Sequence[str], kind: str) -> Named:
    """Comma-separated lines whose first is the header; refused when a needed column is not among them."""
    sheet = split_csv(numbered, request.where)
    places: dict[str, int] = {}
    for index, name in enumerate(sheet.header):
        places.setdefault(name.strip().strip('"').lower(), index)
    missing = [name for name in needed if name not in places]
    if missing:
        raise refuse(
            f"{request.where}, header",
            f"no column {', '.join(missing)}",
            allowed=f"the columns of {kind}: {', '.join(needed)}",
            advice="Get the whole file with these columns.",
        )
    if not sheet.rows:
        raise refuse(request.where, "no row after the header", allowed="one row an hour", advice="Get the whole file.")
    return Named(sheet=sheet, places=places, where=request.where)


def numbered_from(text: str, first: int) -> list[tuple[int, str]]:
    """Lines that are not blank with their numbers, from line number `first` on."""
    return [(number, line) for number, line in enumerate(text.split("\n"), start=1) if number >= first and line.strip()]


def header_line(lines: Sequence[str], *, names: Sequence[str], either: Sequence[str] = (), within: int = 80) -> int:
    """Number of the first line that holds all of `names` (and one of `either`) among its cells; 0 when none does."""
    for number, line in enumerate(lines[:within], start=1):
        cells = {cell.strip().strip('"').lower() for cell in line.lstrip("#").split(",")}
        if cells.issuperset(names) and (not either or cells.intersection(either)):
            return number
    return 0


def from_sea_level(values: dict[str, Floats], request: Request) -> list[str]:
    """Brings pressure given at sea level to the yard's height by the standard atmosphere, in place; what is told."""
    if "pressure_pa" not in values:
        return []
    if request.elevation_m is None:
        return ["pressure: given at sea level, taken as it stands"]
    factor = float(standard_pressure_pa(request.elevation_m) / standard_pressure_pa(0.0))
    values["pressure_pa"] = values["pressure_pa"] * factor
    return [f"pressure: given at sea level, brought to {request.elevation_m:g} m by the standard atmosphere"]
