"""Tables of offsets as the trade writes them: stations by waterlines, decimals or feet-inches-eighths."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from boottop.base.errors import InputError, Problem
from boottop.base.quantities import parse, shown
from boottop.files.hull_guard import read_bytes
from boottop.measure.inputs import Offsets
from boottop.measure.mesh_frame import UNIT_M

LARGEST_BYTES = 2_000_000
MOST_CELLS = 60_000
MOST_PROBLEMS = 12
EIGHTHS = "ft-in-8"
UNITS = (*UNIT_M, EIGHTHS)
_EIGHTHS = re.compile(r"(\d{1,3})\s*-\s*(\d{1,2})\s*-\s*(\d)([+-])?")
_DECIMAL = re.compile(r"[+-]?(?:\d{1,7}(?:[.,]\d*)?|[.,]\d+)")
_NAMED = re.compile(r"\s*(unit|volume|block|draft)\s*[:=]\s*(\S.*?)\s*[,;\t]*\s*", re.I)
_EMPTY = frozenset({"", "-", "--", "\N{EN DASH}", "\N{EM DASH}", "x", "n/a"})
_WORDS = re.compile(r"(?:wl|waterline|w\.l\.|sta|station|st|buttock|butt|b|no)\.?\s*", re.I)


@dataclass(frozen=True, kw_only=True)
class OffsetsFile:
    """A table read, its unit, and what the file itself says of the hull (None where silent)."""

    table: Offsets
    unit: str
    own_volume_m3: float | None = None
    own_block: float | None = None


def load_offsets(path: Path, *, unit: str | None = None, draft_m: float | None = None) -> OffsetsFile:
    """A table of offsets from the disk; InputError with line and column of everything wrong in it."""
    content = read_bytes(path, largest=LARGEST_BYTES)
    if b"\0" in content:
        raise _refused(str(path), "a binary file", "a text table", "Save the table as CSV.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("latin-1")
    return read_offsets(text, label=str(path), unit=unit, draft_m=draft_m)


def read_offsets(text: str, *, label: str, unit: str | None = None, draft_m: float | None = None) -> OffsetsFile:
    """The same from a text. Rows are stations and columns waterlines, or the other way about: the first cell says
    "station" or "waterline". Rows or columns headed "keel" and "buttock 2-0-0" hold heights.

    Lines before the table may say "unit: ft-in-8", "draft: 1.2 m", "volume: 8.4 m3", "block: 0.62".
    """
    said, rows = _lines(text, label)
    cells = [cell for _, row in rows[1:] for cell in row[1:]]
    unit = unit or said.get("unit") or (EIGHTHS if any(_EIGHTHS.fullmatch(cell.strip()) for cell in cells) else None)
    if unit not in UNITS:
        found = "no unit" if unit is None else repr(unit)
        raise _refused(f"{label}, unit", found, ", ".join(UNITS), 'Write a first line "unit: m" (or ft-in-8).')
    table = _Reader(label=label, unit=unit).table(rows)
    draft = draft_m if draft_m is not None else _said(said, "draft", "length", label)
    if draft is None:
        raise _refused(f"{label}, draft", "nothing", "the draft to cut the table at", 'Write a line "draft: 1.2 m".')
    block = said.get("block")
    return OffsetsFile(
        table=_with_draft(table, draft),
        unit=unit,
        own_volume_m3=_said(said, "volume", "displacement", label),
        own_block=None if block is None else parse(block, "fraction", where=f"{label}, block"),
    )


def _with_draft(table: Offsets, draft_m: float) -> Offsets:
    from dataclasses import replace

    return replace(table, draft_m=draft_m)


def _said(said: dict[str, str], key: str, kind: str, label: str) -> float | None:  # noqa: PLR0917 - four plain words
    return parse(said[key], kind, where=f"{label}, {key}") if key in said else None


_Rows = list[tuple[int, list[str]]]


def _lines(text: str, label: str) -> tuple[dict[str, str], _Rows]:
    """What the lines before the table say, and the table's rows with their line numbers."""
    said: dict[str, str] = {}
    rows: _Rows = []
    for number, line in enumerate(text.splitlines(), start=1):
        bare = line.strip()
        if not bare or bare.startswith("#"):
            continue
        if not rows and (match := _NAMED.fullmatch(bare)):
            said[match[1].lower()] = match[2]
            continue
        separator = next((mark for mark in ("\t", ";", ",") if mark in line), None)
        rows.append(
            (number, [cell.strip().strip('"') for cell in (line.split(separator) if separator else line.split())])
        )
        if sum(len(row) for _, row in rows) > MOST_CELLS:
            raise _refused(label, f"over {MOST_CELLS} cells", "a table of offsets", "Is this the right file?")
    if len(rows) < 4:
        raise _refused(label, f"{len(rows)} rows", "a heading and three rows or more", "Give the whole table.")
    return said, rows


@dataclass(kw_only=True)
class _Reader:
    label: str
    unit: str

    def table(self, rows: _Rows) -> Offsets:
        """The table with its rows made stations; the draft is still to come."""
        self.problems: list[Problem] = []
        heading = rows[0][1]
        by_station = heading[0].lower().startswith("st")
        if not by_station and not heading[0].lower().startswith(("w", "height")):
            where = f"{self.label}, line {rows[0][0]}, column 1"
            advice = 'Head the first column "station" (rows are stations) or "waterline" (rows are waterlines).'
            raise _refused(where, shown(heading[0]), '"station" or "waterline"', advice)
        width = len(heading)
        body = [(number, [*row, *[""] * (width - len(row))]) for number, row in rows[1:]]
        for number, row in body:
            if len(row) > width:
                found = f"{len(row)} cells under a heading of {width}"
                self.problem(number, 1, found, f"{width} cells", advice="Is a decimal comma taken for a separator?")
        self.stop()
        grid = [[cell for cell in heading], *(row for _, row in body)]
        numbers = [rows[0][0], *(number for number, _ in body)]
        return self.sorted(self.laid(grid, numbers, by_station=by_station))

    def laid(self, grid: list[list[str]], numbers: list[int], *, by_station: bool) -> Offsets:
        """Cells to numbers; `grid` with stations down when `by_station`, else with waterlines down."""
        rows, columns = range(1, len(grid)), range(1, len(grid[0]))
        lines = [(grid[0][c], [(numbers[r], c + 1, grid[r][c]) for r in rows]) for c in columns]
        stations = [(numbers[r], 1, grid[r][0]) for r in rows]
        if not by_station:
            lines = [(grid[r][0], [(numbers[r], c + 1, grid[r][c]) for c in columns]) for r in rows]
            stations = [(numbers[0], c + 1, grid[0][c]) for c in columns]
        named = {"waterline": [], "buttock": [], "keel": []}  # type: dict[str, list[tuple[float, list[float | None]]]]
        for title, cells in lines:
            kind, at = self.kind_of(title, cells[0])
            if kind != "other":
                named[kind].append((at, [self.cell(*cell) for cell in cells]))
        places = [self.number(*station) for station in stations]
        self.stop()
        waterlines, buttocks = sorted(named["waterline"]), sorted(named["buttock"], key=lambda line: line[0])
        return Offsets(
            stations_m=tuple(places),
            waterlines_m=tuple(at for at, _ in waterlines),
            half_breadths_m=tuple(zip(*(values for _, values in waterlines), strict=True)),
            draft_m=0.0,
            keel_m=tuple(named["keel"][0][1]) if named["keel"] else (),
            buttocks_m=tuple(at for at, _ in buttocks),
            heights_m=tuple(zip(*(values for _, values in buttocks), strict=True)) if buttocks else (),
        )

    def kind_of(self, title: str, first: tuple[int, int, str]) -> tuple[str, float]:
        """What a line of the table holds, and where it lies."""
        low = title.strip().lower()
        if low.startswith(("keel", "rabbet", "profile")):
            return "keel", 0.0
        if low.startswith(("sheer", "deck", "chine", "diagonal", "d")):
            return "other", 0.0
        kind = "buttock" if low.startswith("b") else "waterline"
        return kind, self.number(first[0], first[1], title)

    def sorted(self, table: Offsets) -> Offsets:
        """Stations in rising order, whichever end the designer counted from."""
        if len(set(table.stations_m)) < len(table.stations_m) or list(table.stations_m) == sorted(table.stations_m):
            return table
        order = sorted(range(len(table.stations_m)), key=lambda k: table.stations_m[k])
        return Offsets(
            stations_m=tuple(table.stations_m[k] for k in order),
            waterlines_m=table.waterlines_m,
            half_breadths_m=tuple(table.half_breadths_m[k] for k in order),
            draft_m=table.draft_m,
            keel_m=tuple(table.keel_m[k] for k in order) if table.keel_m else (),
            buttocks_m=table.buttocks_m,
            heights_m=tuple(table.heights_m[k] for k in order) if table.heights_m else (),
        )

    def number(self, line: int, column: int, cell: str) -> float:
        """A place along or up; what is none becomes a problem."""
        value = self.cell(line, column, _WORDS.sub("", cell, count=1).strip())
        if value is None:
            self.problem(line, column, "nothing", "a number", advice="Every row and column needs its place.")
        return value or 0.0

    def cell(self, line: int, column: int, cell: str) -> float | None:
        """Metres of one cell; None where it says that there is no hull.

        >>> round(_Reader(label="doc", unit="ft-in-8").cell(1, 1, "2-3-4"), 4)
        0.6985
        """
        if cell.strip().lower() in _EMPTY:
            return None
        if self.unit == EIGHTHS:
            return self.eighths(line, column, cell.strip())
        if not _DECIMAL.fullmatch(cell.strip()):
            advice = "Write - where there is no hull." if "-" not in cell else "Is the unit ft-in-8?"
            self.problem(line, column, shown(cell), f"a decimal number in {self.unit}", advice=advice)
            return 0.0
        return float(cell.strip().replace(",", ".")) * UNIT_M[self.unit]  # type: ignore[index]

    def eighths(self, line: int, column: int, cell: str) -> float:
        """Feet, inches and eighths; a plus or a minus behind them is half an eighth more or less."""
        match = _EIGHTHS.fullmatch(cell)
        if match and int(match[2]) < 12 and int(match[3]) < 8:
            eighths = int(match[3]) + {"+": 0.5, "-": -0.5, None: 0.0}[match[4]]
            return (int(match[1]) + (int(match[2]) + eighths / 8.0) / 12.0) * 0.3048
        if re.fullmatch(r"0+", cell):
            return 0.0
        advice = "Inches run to 11, eighths to 7: 2-3-4 is two feet, three inches and four eighths."
        self.problem(line, column, shown(cell), "feet-inches-eighths such as 2-3-4", advice=advice)
        return 0.0

    def problem(self, line: int, column: int, found: str, allowed: str, *, advice: str) -> None:  # noqa: PLR0917 - a Problem's own words
        where = f"{self.label}, line {line}, column {column}"
        self.problems.append(Problem(where=where, found=found, allowed=allowed, advice=advice))
        if len(self.problems) >= MOST_PROBLEMS:
            self.stop()

    def stop(self) -> None:
        if self.problems:
            raise InputError(self.problems)


def _refused(where: str, found: str, allowed: str, advice: str) -> InputError:  # noqa: PLR0917 - a Problem's own four words
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))
