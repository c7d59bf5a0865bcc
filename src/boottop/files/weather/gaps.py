"""Gaps in the hours: short ones are filled and flagged, long ones refused with their place. Missing is not dry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from boottop.base.errors import Problem
from boottop.files.weather.columns import BY_FIELD
from boottop.files.weather.hours import Hourly
from boottop.files.weather.table import HOUR_S, Bools, Floats, Request, utc_text

LONGEST_H = 3
LONGEST_DRY_H = 2
DRY_SPELL_H = 60 * 24
NEEDED = ("air_c", "dew_c", "wind_m_s")


@dataclass(frozen=True, kw_only=True)
class Gap:
    """Hours `first`..`last` (inclusive) without a value; `inside` when it has neighbours on both sides."""

    first: int
    last: int
    inside: bool

    @property
    def hours(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True, kw_only=True)
class Filled:
    """Values without gaps, the flags, what was refused, and what is to be told."""

    values: dict[str, Floats]
    filled: dict[str, Bools]
    problems: tuple[Problem, ...]
    notes: tuple[str, ...]


def gaps_of(values: Floats) -> Iterator[Gap]:
    """Runs of NaN.

    >>> [(gap.first, gap.hours, gap.inside) for gap in gaps_of(np.array([1.0, np.nan, np.nan, 2.0, np.nan]))]
    [(1, 2, True), (4, 1, False)]
    """
    missing = np.concatenate([[False], np.isnan(values), [False]])
    edges = np.flatnonzero(missing[1:] != missing[:-1])
    for first, after in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        yield Gap(first=first, last=after - 1, inside=first > 0 and after < len(values))


class Filler:
    """Goes through the quantities of one file; refuses only gaps that reach into the window `low`..`high` of hours."""

    def __init__(self, hourly: Hourly, request: Request, window: tuple[int, int]) -> None:
        self.hourly = hourly
        self.request = request
        self.low, self.high = window
        self.refused: dict[Gap, list[tuple[str, str]]] = {}
        self.told: dict[tuple[tuple[Gap, ...], str], list[str]] = {}
        self.notes: list[str] = []

    def run(self) -> Filled:
        """All quantities of the file: needed ones whole or refused, optional ones whole or left out with a note."""
        values: dict[str, Floats] = {}
        filled: dict[str, Bools] = {}
        for field, raw in self.hourly.values.items():
            done = raw.copy()
            marks = self.hourly.filled[field].copy()
            if field == "rain_mm":
                self._rain(done, marks)
            elif field in NEEDED:
                self._needed(field, done, marks)
            elif not self._optional(field, done, marks):
                continue
            values[field], filled[field] = done, marks
        return Filled(values=values, filled=filled, problems=self._problems(), notes=self._notes())

    def _matters(self, gap: Gap) -> bool:
        return gap.last >= self.low and gap.first <= self.high

    def _place(self, gap: Gap) -> str:
        return utc_text(self.hourly.first_s + gap.first * HOUR_S)

    def _needed(self, field: str, done: Floats, marks: Bools) -> None:
        gaps = [gap for gap in gaps_of(done) if self._matters(gap)]
        for gap in gaps:
            if gap.hours > LONGEST_H or not gap.inside:
                self._refuse(field, gap, f"at most {LONGEST_H} h, with values before and after")
        short = [gap for gap in gaps if gap.hours <= LONGEST_H and gap.inside]
        self._interpolate(field, short, done=done, marks=marks)

    def _optional(self, field: str, done: Floats, marks: Bools) -> bool:
        gaps = [gap for gap in gaps_of(done) if self._matters(gap)]
        long = [gap for gap in gaps if gap.hours > LONGEST_H or not gap.inside]
        if long:
            worst = max(long, key=lambda gap: gap.hours)
            self.notes.append(
                f"{BY_FIELD[field].name}: not used, because {worst.hours} h are missing from {self._place(worst)} "
                f"(at most {LONGEST_H} h); it is estimated for the whole time instead"
            )
            return False
        self._interpolate(field, gaps, done=done, marks=marks)
        return True

    def _interpolate(self, field: str, gaps: list[Gap], *, done: Floats, marks: Bools) -> None:
        for gap in gaps:
            span = slice(gap.first, gap.last + 1)
            ends = [gap.first - 1, gap.last + 1]
            done[span] = np.interp(np.arange(gap.first, gap.last + 1), ends, done[ends])
            marks[span] = True
        self._tell(field, gaps, "interpolated")

    def _rain(self, done: Floats, marks: Bools) -> None:
        gaps = [gap for gap in gaps_of(done) if self._matters(gap)]
        dry = [gap for gap in gaps if self.request.assume_dry or self._between_dry(gap, done)]
        for gap in gaps:
            if gap not in dry:
                self._refuse(
                    "rain_mm", gap, f"rain at most {LONGEST_DRY_H} h between two dry hours: missing is not dry"
                )
        for gap in dry:
            done[gap.first : gap.last + 1] = 0.0
            marks[gap.first : gap.last + 1] = True
        asked = (
            "TAKEN AS DRY because you asked for it" if self.request.assume_dry else "taken as dry, between dry hours"
        )
        self._tell("rain_mm", dry, asked)
        if done.size >= DRY_SPELL_H and not dry and not np.nan_to_num(done, nan=1.0).any():
            self.notes.append(f"rain: not a drop in {done.size // 24} days; is rain measured there at all?")

    @staticmethod
    def _between_dry(gap: Gap, done: Floats) -> bool:
        return gap.inside and gap.hours <= LONGEST_DRY_H and done[gap.first - 1] == 0 == done[gap.last + 1]

    def _tell(self, field: str, gaps: list[Gap], how: str) -> None:
        if gaps:
            self.told.setdefault((tuple(gaps), how), []).append(BY_FIELD[field].name)

    def _notes(self) -> tuple[str, ...]:
        notes = []
        for (gaps, how), names in self.told.items():
            places = ", ".join(f"{self._place(gap)} ({gap.hours} h)" for gap in gaps[:5])
            more = f" and {len(gaps) - 5} more places" if len(gaps) > 5 else ""
            hours = sum(gap.hours for gap in gaps)
            notes.append(f"{', '.join(names)}: {hours} h missing, {how}: {places}{more}")
        return (*notes, *self.notes)

    def _refuse(self, field: str, gap: Gap, allowed: str) -> None:
        self.refused.setdefault(gap, []).append((BY_FIELD[field].name, allowed))

    def _problems(self) -> tuple[Problem, ...]:
        problems = []
        for gap, entries in sorted(self.refused.items(), key=lambda item: item[0].first):
            edge = "" if gap.inside else ", at the end of the file" if gap.first else ", at the start of the file"
            problems.append(
                Problem(
                    where=f"{self.request.where}, {', '.join(name for name, _ in entries)}, from {self._place(gap)}",
                    found=f"{gap.hours} h missing{edge}",
                    allowed="; ".join(dict.fromkeys(allowed for _, allowed in entries)),
                    advice="Fill the hours from a neighbouring station, or choose a window without them.",
                )
            )
        return tuple(problems)
