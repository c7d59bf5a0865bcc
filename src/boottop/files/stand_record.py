"""Where she stood at every haul-out: a small CSV that lives beside the job sheets and only grows."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite
from pathlib import Path
from typing import get_args

from boottop.base.errors import InputError, Problem
from boottop.files.hull_guard import read_bytes
from boottop.measure.hull import Side
from boottop.measure.spots import Spot, SpotKind

COLUMNS = ("haul_out", "boat", "what", "kind", "set", "side", "station_m", "height_m", "length_m", "width_m")
LARGEST_BYTES = 1_000_000
MOST_ROWS = 5000


@dataclass(frozen=True, kw_only=True)
class Stood:
    """One place at one haul-out."""

    day: date
    boat: str
    spot: Spot


def load_record(path: Path) -> tuple[Stood, ...]:
    """The places in a record; InputError with the line of every row that cannot be read."""
    content = read_bytes(path, largest=LARGEST_BYTES)
    label = str(path)
    try:
        rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig")), strict=True))
    except (UnicodeDecodeError, csv.Error):
        raise InputError(_problem(label, "no table in UTF-8")) from None
    if not rows or tuple(rows[0]) != COLUMNS:
        raise InputError(_problem(f"{label}, line 1", "another heading"))
    stood, problems = [], []
    for number, row in enumerate(rows[1 : MOST_ROWS + 1], start=2):
        try:
            stood.append(_stood(row))
        except (ValueError, IndexError):
            problems.append(_problem(f"{label}, line {number}", repr(",".join(row)[:60])))
    if problems:
        raise InputError(problems[:20])
    return tuple(stood)


def _stood(row: Sequence[str]) -> Stood:
    day, boat, what, kind, number, side, *sizes = row
    station, height, length, width = (float(size) for size in sizes)
    if kind not in get_args(SpotKind) or side not in get_args(Side) or not all(map(isfinite, (station, height))):
        raise ValueError(row)
    if not (0.0 < length < 20.0 and 0.0 < width < 20.0):
        raise ValueError(row)
    spot = Spot(
        name=what, kind=kind, side=side, station_m=station, height_m=height,  # type: ignore[arg-type] # looked up above
        length_m=length, width_m=width, stand_set=int(number),
    )  # fmt: skip
    return Stood(day=date.fromisoformat(day), boat=boat, spot=spot)


def record_text(kept: Sequence[Stood], spots: Iterable[Spot], *, day: date, boat: str) -> str:
    """The record with the places of one haul-out; those of the same day and boat are written anew."""
    stood = [one for one in kept if (one.day, one.boat) != (day, boat)]
    stood += [Stood(day=day, boat=boat, spot=spot) for spot in spots]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for one in sorted(stood, key=lambda s: s.day):
        s = one.spot
        sizes = (f"{value:.3f}" for value in (s.station_m, s.height_m, s.length_m, s.width_m))
        writer.writerow([one.day.isoformat(), one.boat, s.name, s.kind, s.stand_set, s.side, *sizes])
    return out.getvalue()


def _problem(where: str, found: str) -> Problem:
    return Problem(
        where=where,
        found=found,
        allowed=f"a record with the columns {', '.join(COLUMNS)}",
        advice="boottop stands JOB --record FILE writes one.",
    )
