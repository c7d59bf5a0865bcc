"""How a record speaks: times, quantities and ranges in the units that the reader wants, and the blocks of its pages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal
from zoneinfo import ZoneInfo

from boottop.base.quantities import System, format_quantity
from boottop.record.conditions import Range
from boottop.report.typeset import typeset

Align = Literal["l", "r"]
SIGNS = (("degC", "°C"), ("degF", "°F"), ("um", "µm"), ("m2", "m²"), ("ft2", "ft²"))
MIL_UM = 25.4
NONE = "\N{EN DASH}"
PLACES = {"area": 2, "temperature": 1, "difference": 1, "volume": 2, "length": 2}


@dataclass(frozen=True, kw_only=True)
class Block:
    """One block of the record: `kind` text, facts, table, drawing, photos or lines; what it has of the rest.

    `rows`: cells of a table, or (name, value) of facts, or (file, words) of photographs. `widths`: shares of the page.
    """

    kind: Literal["heading", "text", "facts", "table", "drawing", "photos", "lines", "hash", "list"]
    text: str = ""
    heads: tuple[str, ...] = ()
    aligns: tuple[Align, ...] = ()
    widths: tuple[float, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Words:
    """Formats for one reader: the yard's zone and metric or US units."""

    zone: ZoneInfo
    system: System

    def time(self, at_s: int | None) -> str:
        """Date and time as the yard's clock had it; a dash for none."""
        return NONE if at_s is None else f"{datetime.fromtimestamp(at_s, tz=self.zone):%Y-%m-%d %H:%M}"

    def clock(self, at_s: int | None) -> str:
        """Time of day alone."""
        return NONE if at_s is None else f"{datetime.fromtimestamp(at_s, tz=self.zone):%H:%M}"

    def day(self, at_s: int | None) -> str:
        """Date alone."""
        return NONE if at_s is None else f"{datetime.fromtimestamp(at_s, tz=self.zone):%Y-%m-%d}"

    def q(self, value: float | None, kind: str, digits: int = 3) -> str:
        """A quantity with its unit; a dash for none."""
        return NONE if value is None else printed(format_quantity(value, kind, self.system, digits=digits))

    def number(self, value: float | None, kind: str) -> str:
        """The number of a quantity alone, for a column whose head has the unit; always as many places."""
        if value is None:
            return NONE
        plain = float(format_quantity(value, kind, self.system, digits=9).split(" ")[0])
        return f"{plain:.{3 if kind == 'volume' and self.system == 'us' else PLACES[kind]}f}"

    def straight(self, kind: str) -> tuple[float, float]:
        """Scale and shift from SI to the reader's unit, for curves."""
        at = [float(format_quantity(one, kind, self.system, digits=9).split(" ")[0]) for one in (0.0, 100.0)]
        return (at[1] - at[0]) / 100.0, at[0]

    def litres(self, value: float | None) -> str:
        """A volume to a hundredth, with its unit."""
        return NONE if value is None else f"{self.number(value, 'volume')} {self.unit('volume')}"

    def film(self, value: float | None, mil_places: int = 1) -> str:
        """A film in whole um, or in mil to a tenth; what is small, such as wear, to a hundredth."""
        if value is None:
            return NONE
        return f"{value:.0f}" if self.system == "metric" else f"{value / MIL_UM:.{mil_places}f}"

    @property
    def film_unit(self) -> str:
        return "µm" if self.system == "metric" else "mil"

    def unit(self, kind: str) -> str:
        """The unit of a kind as it stands in a column's head."""
        return printed(f"0 {format_quantity(1.0, kind, self.system).split(' ', 1)[1]}").split(" ", 1)[1]

    def span(self, found: Range | None, kind: str) -> str:
        """Least to most of a range, one number where they print alike."""
        if found is None:
            return NONE
        low, high = (self.number(value, kind) for value in found.span)
        return low if low == high else f"{low} to {high}"


def printed(text: str) -> str:
    """Units with their signs.

    >>> printed("82 um at 20 degC, 3 m2")
    '82 µm at 20 °C, 3 m²'
    """
    words = typeset(text).split(" ")
    return " ".join(_sign(word) for word in words)


def _sign(word: str) -> str:
    bare = word.rstrip(".,;:)")
    return next((sign + word[len(bare) :] for plain, sign in SIGNS if bare == plain), word)


def heading(text: str) -> Block:
    """A heading of a section."""
    return Block(kind="heading", text=text)


def text(words: str) -> Block:
    """A paragraph."""
    return Block(kind="text", text=printed(words))


def listed(lines: Iterable[str]) -> Block:
    """A list of sentences."""
    return Block(kind="list", rows=tuple((printed(one),) for one in lines))


def table(heads: Sequence[str], aligns: str, *, rows: Iterable[Sequence[str]], widths: Sequence[float] = ()) -> Block:
    """A table: `aligns` has a letter a column, l or r; `widths` shares of the page, even where there are none. Without
    rows it is a sentence that says so."""
    cells = tuple(tuple(printed(cell) for cell in row) for row in rows)
    if not cells:
        return text("Nothing is written down.")
    return Block(
        kind="table",
        heads=tuple(heads),
        aligns=tuple("r" if letter == "r" else "l" for letter in aligns),
        widths=tuple(widths) or (1.0,) * len(heads),
        rows=cells,
    )
