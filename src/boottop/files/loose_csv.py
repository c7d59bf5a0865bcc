"""CSV as instruments write it: any of three separators, decimal commas, lines before the header, own column names."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from boottop.base.errors import InputError, Problem

BYTES_MAX = 20_000_000
HEADER_WITHIN = 40
TOLD_MAX = 30
SEPARATORS = (";", "\t", ",")
_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")


@dataclass(frozen=True, kw_only=True)
class LooseTable:
    """A table of texts. `lines`: line of the file of each row. `decimal_comma`: numbers are written 81,5."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    separator: str
    decimal_comma: bool

    @property
    def signature(self) -> str:
        """What tells this kind of file: its column names."""
        return "|".join(cell.strip().casefold() for cell in self.header)


@dataclass(frozen=True, kw_only=True)
class ColumnMap:
    """Which column holds what: `columns` by field, and values that hold for the whole file (`fixed`)."""

    columns: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)


def read_loose(content: bytes, *, name: str, known: Iterable[str]) -> LooseTable:
    """The table in a file; the header is the line, of the first forty, in which the most `known` words are found.

    UTF-8, else the Western code page that old instruments write. InputError for what is no text or has no rows.
    """
    text = _text(content, name)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    separator, head = _header_line(lines, tuple(known))
    cells = [
        (number, tuple(cell.strip() for cell in row))
        for number, row in _rows(lines[head:], separator, first=head + 1)
        if any(cell.strip() for cell in row)
    ]
    if len(cells) < 2:
        raise _refused(name, "no row below the header", allowed="a header and one row or more", advice="Export again.")
    header, body = cells[0][1], cells[1:]
    wrong = [number for number, row in body if len(row) > len(header)]
    if wrong:
        raise _refused(
            f"{name} line {wrong[0]}",
            f"more cells than the header has names ({len(header)}), in {len(wrong)} rows",
            allowed="as many as in the header; a decimal comma needs semicolons or tabs between the columns",
            advice="Export again with semicolons between the columns, or with points in the numbers.",
        )
    rows = tuple(row + ("",) * (len(header) - len(row)) for _, row in body)
    return LooseTable(
        name=name,
        header=header,
        rows=rows,
        lines=tuple(number for number, _ in body),
        separator=separator,
        decimal_comma=separator != "," and _has_decimal_commas(rows),
    )


def _text(content: bytes, name: str) -> str:
    if len(content) > BYTES_MAX or b"\x00" in content.removeprefix(b"\xff\xfe")[:4096:2]:
        found = "more than 20 MB" if len(content) > BYTES_MAX else "no text"
        raise _refused(name, found, allowed="CSV of at most 20 MB", advice="Export the readings as CSV.")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _header_line(lines: Sequence[str], known: Sequence[str]) -> tuple[str, int]:
    """The separator and the line of the header, counted from 0. A line with a number in a cell is no header; where no
    line has a known word, the first is it."""
    first = lines[0] if lines else ""
    best = (0, 0, 0, 0, max(SEPARATORS, key=first.count))
    for index, line in enumerate(lines[:HEADER_WITHIN]):
        for rank, separator in enumerate(SEPARATORS):
            cells = [cell.strip().casefold() for cell in line.split(separator)]
            words = sum(any(word in cell for word in known) for cell in cells)
            if words and len(cells) > 1 and not any(cell[:1].isdigit() for cell in cells):
                like = sum(one.count(separator) == line.count(separator) for one in lines[index + 1 : index + 4])
                best = max(best, (words, like, len(cells) - rank, -index, separator))
    return best[4], -best[3]


def _rows(lines: Sequence[str], separator: str, *, first: int) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO("\n".join(lines)), delimiter=separator)
    found = []
    try:
        for row in reader:
            found.append((first + reader.line_num - 1, row))
    except csv.Error as error:
        raise _refused(
            f"line {first + reader.line_num - 1}",
            str(error),
            allowed="plain CSV",
            advice="Save the file again as CSV.",
        ) from None
    return found


def _has_decimal_commas(rows: Iterable[Sequence[str]]) -> bool:
    commas = points = 0
    for row in rows:
        for cell in row:
            if match := _NUMBER.fullmatch(cell.split(" ")[0]):
                commas += "," in match[0]
                points += "." in match[0]
    return commas > points


def number_in(cell: str, table: LooseTable) -> str:
    """A cell with its number written with a point; a comma in a table of decimal points stays, and is refused.

    >>> made = LooseTable(name="x", header=(), rows=(), lines=(), separator=";", decimal_comma=True)
    >>> number_in("81,5 um", made), number_in("1.081,5", made)
    ('81.5 um', '1081.5')
    """
    if table.decimal_comma and "," in cell:
        return cell.replace(".", "").replace(",", ".")
    return cell


def mapped(
    table: LooseTable, words: Mapping[str, Sequence[str]], *, given: ColumnMap, remembered: ColumnMap | None = None
) -> ColumnMap:
    """Which column is which: as given, else as remembered for this header, else by the `words` in the header.

    `words` by field; a column serves one field, the first field that names it. InputError for a column that is given
    and not there.
    """
    by_fold = {cell.casefold(): cell for cell in table.header}
    problems, columns = [], {}
    for name, column in given.columns.items():
        if column.casefold() in by_fold:
            columns[name] = by_fold[column.casefold()]
            continue
        near = get_close_matches(column, table.header, n=1)
        problems.append(
            Problem(
                where=f"{table.name}, header",
                found=f"no column {column!r}",
                allowed=", ".join(repr(cell) for cell in table.header),
                advice=f"Did you mean {near[0]!r}?" if near else "Name a column of this file.",
            )
        )
    if problems:
        raise InputError(problems)
    fixed = dict(given.fixed)
    if remembered is not None:
        known = {name: cell for name, cell in remembered.columns.items() if cell.casefold() in by_fold}
        columns, fixed = known | columns, dict(remembered.fixed) | fixed
    taken = set(columns.values())
    for name, spellings in words.items():
        if name in columns or name in fixed:
            continue
        for cell in table.header:
            if cell not in taken and any(word in cell.casefold() for word in spellings):
                columns[name] = cell
                taken.add(cell)
                break
    return ColumnMap(columns=columns, fixed=fixed)


def in_short(problems: Iterable[Problem], name: str) -> list[Problem]:
    """Problems of a file's rows, each once, the first thirty with a word on how many more there are."""
    every = list(dict.fromkeys(problems))
    if len(every) <= TOLD_MAX:
        return every
    more = Problem(
        where=name,
        found=f"{len(every) - TOLD_MAX} more of these",
        allowed="rows as above",
        advice="Put the first ones right; the others are likely the same. Nothing was taken.",
    )
    return [*every[:TOLD_MAX], more]


def bracketed(header: str) -> str:
    """The unit that a column's head carries in brackets or after a slash; empty without one.

    >>> bracketed("Temp (°C)"), bracketed("RH [%]"), bracketed("DFT / mil"), bracketed("Reading")
    ('°C', '%', 'mil', '')
    """
    match = re.search(r"[\[(]\s*([^\])]{1,12}?)\s*[\])]|[/,]\s*([^\s/]{1,8})\s*$", header)
    return (match[1] or match[2] or "") if match else ""


def _refused(where: str, found: str, *, allowed: str, advice: str) -> InputError:
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))
