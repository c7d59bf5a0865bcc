"""What every reader hands on: rows as they stand in the file, in SI, nothing judged but what cannot be read."""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from boottop.base.errors import InputError, Problem

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

HOUR_S = 3600
DAY_S = 86400
MAX_ROWS = 1_000_000
_HUGE = 1e15  # beyond any unit's range, and safe to reckon with
MISSING = frozenset({"", "NA", "N/A", "NaN", "nan", "NAN", "M", "---", "null"})


@dataclass(frozen=True, kw_only=True)
class Request:
    """What is asked of a reader: the file's name, the station, the window in epoch seconds, the yard."""

    where: str
    station: str | None = None
    start_s: int | None = None
    end_s: int | None = None
    assume_dry: bool = False
    place: tuple[float, float] | None = None
    elevation_m: float | None = None

    def near(self, epoch_s: Ints) -> Bools:
        """Rows within a day of the window; all of them when no window is asked."""
        near = np.ones(epoch_s.shape, dtype=np.bool_)
        if self.start_s is not None:
            near &= epoch_s >= self.start_s - DAY_S
        if self.end_s is not None:
            near &= epoch_s < self.end_s + DAY_S
        return near


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rows near the window. `values` by Weather field (and `rh`), SI, NaN where the cell is empty, shape (row,).

    `covers_s` is the first and last stamp of the whole file for the station; `place` latitude and longitude in
    degrees if the file states them; `filled` what an earlier run had filled in; `problems` what could not be read;
    `left_out` says by quantity why the reader left values out that are in the file.
    """

    where: str
    epoch_s: Ints
    lines: Ints
    values: Mapping[str, Floats]
    covers_s: tuple[int, int]
    station: str
    source: str
    licence: str
    place: tuple[float, float] | None = None
    notes: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    filled: Mapping[str, Bools] = field(default_factory=dict)
    left_out: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """Comma-separated text taken apart: the header's cells, the rows' cells, and each row's line in the file."""

    header: tuple[str, ...]
    rows: list[list[str]]
    lines: Ints
    problems: tuple[Problem, ...] = ()

    def column(self, index: int, rows: Ints) -> list[str]:
        """Cells of one column in the rows named."""
        return [self.rows[row][index] for row in rows.tolist()]


def utc_text(epoch_s: float) -> str:
    """A stamp for people, such as 2022-03-13T02:00Z."""
    return datetime.fromtimestamp(epoch_s, tz=UTC).strftime("%Y-%m-%dT%H:%MZ")


def at_lines(where: str, lines: Iterable[int]) -> str:
    """`file line 7`, or `file lines 7, 8, 9 and 40 more`."""
    listed = [int(line) for line in lines]
    if len(listed) == 1:
        return f"{where} line {listed[0]}"
    more = f" and {len(listed) - 4} more" if len(listed) > 4 else ""
    return f"{where} lines {', '.join(str(line) for line in listed[:4])}{more}"


def nearest(word: str, known: Iterable[str]) -> str:
    """` (did you mean air?)`, or nothing when no known word is like it."""
    close = difflib.get_close_matches(word.strip().lower(), list(known), n=1, cutoff=0.5)
    return f" (did you mean {close[0]}?)" if close else ""


def refuse(where: str, found: str, *, allowed: str, advice: str) -> InputError:
    """An InputError with one problem."""
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))


def split_csv(numbered: Sequence[tuple[int, str]], where: str) -> Sheet:
    """Header and rows of comma-separated lines `(line number, text)`; rows of another length become problems."""
    if not numbered:
        raise refuse(
            where,
            "no header line",
            allowed="a header line and one line an hour",
            advice="Check that this is the right file.",
        )
    if len(numbered) > MAX_ROWS:
        raise refuse(
            where,
            f"{len(numbered)} lines",
            allowed=f"at most {MAX_ROWS} (over a century of hours)",
            advice="Cut the file first.",
        )
    cells = _cells([text for _, text in numbered], where)
    header = tuple(cell.strip() for cell in cells[0])
    good = [row for row, fields in enumerate(cells) if row and len(fields) == len(header)]
    bad = [row for row, fields in enumerate(cells) if row and len(fields) != len(header)]
    problems: tuple[Problem, ...] = ()
    if bad:
        problems = (
            Problem(
                where=at_lines(where, (numbered[row][0] for row in bad)),
                found=f"{len(cells[bad[0]])} cells",
                allowed=f"{len(header)}, as many as the header has",
                advice="Complete the row, or look for a decimal comma or a stray comma in it.",
            ),
        )
    lines = np.array([numbered[row][0] for row in good], dtype=np.int64)
    return Sheet(header=header, rows=[cells[row] for row in good], lines=lines, problems=problems)


def _cells(texts: list[str], where: str) -> list[list[str]]:
    if not any('"' in text for text in texts):
        return [text.split(",") for text in texts]
    try:
        cells = list(csv.reader(texts, strict=True))
    except csv.Error as error:
        raise refuse(
            where, f"broken quoting ({error})", allowed="plain comma-separated cells", advice="Remove the quotes."
        ) from None
    if len(cells) != len(texts):
        raise refuse(
            where, "a quote that spans lines", allowed="plain comma-separated cells", advice="Remove the quotes."
        )
    return cells


def numbers(cells: Sequence[str], lines: Ints, where: str) -> tuple[Floats, tuple[Problem, ...]]:
    """Cells as numbers, NaN where empty or marked missing; what is no number becomes one problem for the column."""
    plain = [cell.strip() for cell in cells]
    plain = ["nan" if cell in MISSING else cell for cell in plain]
    try:
        if not any("_" in cell for cell in plain):
            return np.clip(np.array(plain, dtype=np.float64), -_HUGE, _HUGE), ()
    except ValueError:
        pass
    values = np.clip(np.array([_number(cell) for cell in plain], dtype=np.float64), -_HUGE, _HUGE)
    bad = np.flatnonzero(np.isnan(values) & (np.array(plain, dtype=object) != "nan"))
    problem = Problem(
        where=at_lines(where, lines[bad]),
        found=repr(plain[int(bad[0])][:40]),
        allowed="a number with a decimal point, or an empty cell where there is none",
        advice="Correct the cell, or empty it.",
    )
    return values, (problem,)


def _number(cell: str) -> float:
    try:
        return float(cell) if "_" not in cell else float("nan")
    except ValueError:
        return float("nan")


def squeezed(name: str) -> str:
    """A name as it is compared: `Sherkin Island` and `SherkinIsland` are one station.

    >>> squeezed("Sherkin Island"), squeezed("SherkinIsland")
    ('sherkinisland', 'sherkinisland')
    """
    return "".join(letter for letter in name.lower() if letter.isalnum())


def choose_station(names: Sequence[str], request: Request) -> str:
    """The one station to read; InputError when it is not in the file, or not chosen although there are several."""
    known = sorted({name.strip() for name in names})
    if request.station is None and len(known) == 1:
        return known[0]
    wanted = squeezed(request.station or "")
    chosen = [name for name in known if wanted and squeezed(name) == wanted]
    if len(chosen) == 1:
        return chosen[0]
    asked = request.station if request.station is not None else "no station chosen"
    raise refuse(
        f"{request.where}, station",
        f"{asked}{nearest(asked, [name.lower() for name in known])}" if request.station else asked,
        allowed=f"one of {', '.join(known[:20]) or 'none: the file has no rows'}",
        advice="Name the one nearest to the yard: weather_station under [job] of the sheet, or --station.",
    )
