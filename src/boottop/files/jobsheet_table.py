"""Reading a section key by key: every getter notes what is wrong and goes on, so that all of it is told at once."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from difflib import get_close_matches
from functools import cached_property
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from boottop.base.clock import to_utc
from boottop.base.errors import InputError, Problem
from boottop.base.money import parse_money
from boottop.base.quantities import format_quantity, parse, plain_digits, shown
from boottop.files.jobsheet_lines import KeyPath, find_lines
from boottop.files.jobsheet_text import TomlFile

T = TypeVar("T")
REQUIRED: Any = object()
LONGEST_TEXT = 500
LONGEST_LIST = 1000
_INSTANT = 'a date and time such as 2026-04-25T08:00:00 or "2026-04-25 08:00"'


@dataclass(frozen=True, kw_only=True)
class Span:
    """Allowed values of a number in SI: from `low` (itself excluded when `above`) to `high`."""

    low: float
    high: float
    above: bool = False

    def holds(self, value: float) -> bool:
        return (value > self.low if self.above else value >= self.low) and value <= self.high

    def text(self, kind_name: str | None = None) -> str:
        low, high = (
            f"{end:g}" if kind_name is None else format_quantity(end, kind_name) for end in (self.low, self.high)
        )
        return f"more than {low}, up to {high}" if self.above else f"from {low} to {high}"


@dataclass(kw_only=True)
class Sheet:
    """One file being read: collects every problem with the line it stands at, and the keys that are wrong."""

    file: TomlFile
    problems: list[tuple[int, Problem]] = field(default_factory=list)
    bad: set[KeyPath] = field(default_factory=set)

    @cached_property
    def lines(self) -> Mapping[KeyPath, int]:
        return find_lines(self.file.text)

    def root(self) -> Table:
        return Table(sheet=self, path=(), data=self.file.data)

    def line_of(self, path: KeyPath) -> int | None:
        """Line of a key, or of the section around it when it is missing; None when that is missing too."""
        return next((self.lines[path[:n]] for n in range(len(path), 0, -1) if path[:n] in self.lines), None)

    def where(self, path: KeyPath) -> str:
        """File, line and key path, list elements counted from 1: "job.toml, line 14, yard.lift_slots[2]"."""
        line = self.line_of(path)
        parts = [self.file.label, *([f"line {line}"] if line else []), *([spelled(path)] if path else [])]
        return ", ".join(parts)

    def note(self, path: KeyPath, *, found: str, allowed: str, advice: str) -> None:
        """Record a problem at a key."""
        self.add(path, [Problem(where=self.where(path), found=found, allowed=allowed, advice=advice)])

    def add(self, path: KeyPath, problems: Iterable[Problem]) -> None:
        """Record problems met at a key."""
        self.bad.add(path)
        line = self.line_of(path) or self.file.text.count("\n") + 2
        self.problems += [(line, problem) for problem in problems]

    def ok(self, path: KeyPath) -> bool:
        """Whether nothing was found wrong at this key or below it."""
        return not any(bad[: len(path)] == path for bad in self.bad)

    def raise_if_bad(self) -> None:
        """InputError with every problem, in the order of the file, each once."""
        if self.problems:
            in_order = sorted(self.problems, key=lambda entry: entry[0])
            raise InputError(dict.fromkeys(problem for _, problem in in_order))


def spelled(path: KeyPath) -> str:
    """A key path as people read it, list elements counted from 1.

    >>> spelled(("yard", "lift_slots", 1))
    'yard.lift_slots[2]'
    """
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def nearest(word: str, known: Iterable[str]) -> str:
    """A sentence naming the nearest known word, or an empty text."""
    plain = {re.sub(r"[\s_-]+", "_", name.lower()): name for name in known}
    close = get_close_matches(re.sub(r"[\s_-]+", "_", word.lower()), plain, n=1, cutoff=0.55)
    return f"Did you mean {plain[close[0]]!r}?" if close else ""


@dataclass(kw_only=True)
class Table:
    """One section. `absent`: it is not in the sheet (and that has been told already): its getters stay silent."""

    sheet: Sheet
    path: KeyPath
    data: Mapping[str, Any]
    absent: bool = False
    asked: list[str] = field(default_factory=list)

    # -- what is there ------------------------------------------------------------------------------------------

    def has(self, key: str) -> bool:
        if key not in self.asked:
            self.asked.append(key)
        return key in self.data

    def ok(self, *keys: str) -> bool:
        """Whether nothing was found wrong at these keys or below them."""
        return all(self.sheet.ok((*self.path, key)) for key in keys)

    def note(self, key: str, *, found: str, allowed: str, advice: str) -> None:
        self.sheet.note((*self.path, key), found=found, allowed=allowed, advice=advice)

    def where(self, key: str) -> str:
        return self.sheet.where((*self.path, key))

    def read(self, key: str, reader: Callable[[Any, str], T], default: T, *, fallback: T) -> T:
        """The value of a key through `reader`; its default when it is missing, `fallback` when it is wrong."""
        if not self.has(key):
            if default is not REQUIRED:
                return default
            if not self.absent:
                self.note(key, found="nothing", allowed="this key is required", advice=f"Add it to {self.title()}.")
            self.sheet.bad.add((*self.path, key))
            return fallback
        try:
            return reader(self.data[key], self.where(key))
        except InputError as error:
            self.sheet.add((*self.path, key), error.problems)
            return fallback

    def title(self) -> str:
        return f"section [{spelled(self.path)}]" if self.path else "the top of the file"

    def close(self) -> None:
        """Note every key that nobody asked for, with the nearest that is known."""
        for key in self.data:
            if key not in self.asked:
                hint = nearest(key, self.asked)
                advice = f"{hint} " if hint else ""
                self.note(
                    key,
                    found="an unknown key",
                    allowed=", ".join(sorted(self.asked)),
                    advice=f"{advice}A key belongs to the [section] above it; take it out if it is not needed.",
                )

    # -- sections -----------------------------------------------------------------------------------------------

    def table(self, key: str) -> Table:
        """A section that must be there."""
        found = self.table_or_none(key)
        if found is not None:
            return found
        if self.ok(key) and not self.absent:
            path = spelled((*self.path, key))
            self.note(
                key,
                found="nothing",
                allowed=f"a section [{path}]",
                advice="Add it; boottop new DIR writes a sheet that has it.",
            )
        return Table(sheet=self.sheet, path=(*self.path, key), data={}, absent=True)

    def table_or_none(self, key: str) -> Table | None:
        """A section that may be left out."""
        if not self.has(key):
            return None
        value = self.data[key]
        if isinstance(value, dict):
            return Table(sheet=self.sheet, path=(*self.path, key), data=value)
        path = spelled((*self.path, key))
        self.note(
            key,
            found=shown(value),
            allowed=f"a section [{path}] with keys of its own",
            advice=f"Write [{path}] on a line of its own.",
        )
        return None

    def tables(self, key: str) -> list[Table]:
        """All sections [[key]]; none when left out."""
        if not self.has(key):
            return []
        value = self.data[key]
        path = spelled((*self.path, key))
        if not isinstance(value, list) or not all(isinstance(element, dict) for element in value):
            self.note(
                key,
                found=shown(value),
                allowed=f"sections [[{path}]], one for each",
                advice=f"Write [[{path}]], with two brackets, before each.",
            )
            return []
        return [
            Table(sheet=self.sheet, path=(*self.path, key, number), data=element)
            for number, element in enumerate(value)
        ]

    # -- values -------------------------------------------------------------------------------------------------

    def text(self, key: str, default: str = REQUIRED) -> str:
        return self.read(key, _text, default, fallback="?")

    def flag(self, key: str, default: bool = REQUIRED) -> bool:
        return self.read(key, _flag, default, fallback=False)

    def whole(self, key: str, span: Span, default: int = REQUIRED) -> int:
        return self.read(key, lambda value, where: _whole(value, span, where), default, fallback=int(span.high))

    def choice(self, key: str, names: Iterable[str], default: Any = REQUIRED) -> Any:
        """One of the names of a registry (typed Any so that it fits the registry's Literal)."""
        known = tuple(names)
        return self.read(key, lambda value, where: one_of(value, known, where), default, fallback=known[0])

    def names(self, key: str, known: Iterable[str] | None = None) -> tuple[str, ...]:
        """A list of texts, none when left out; each one of `known` if that is given. A single text is a list of one."""
        value = self.data.get(key, ()) if self.has(key) else ()
        allowed = None if known is None else tuple(known)
        return tuple(self.each(key, [value] if isinstance(value, str) else value, lambda v, w: one_of(v, allowed, w)))

    def required_list(self, key: str) -> object:
        """What stands at a key that must be there, for `each`; an empty list when it is missing."""
        return self.read(key, lambda value, _: value, REQUIRED, fallback=[])

    def each(self, key: str, values: object, reader: Callable[[Any, str], T]) -> list[T]:
        """Every element of a list through `reader`, leaving out the wrong ones (and telling each)."""
        if not isinstance(values, list | tuple):
            self.note(
                key, found=shown(values), allowed="a list in square brackets", advice=f"Write {key} = [ ..., ... ]."
            )
            return []
        if len(values) > LONGEST_LIST:
            allowed = f"at most {LONGEST_LIST} in a list"
            self.note(key, found=f"{len(values)} of them", allowed=allowed, advice="Shorten the list.")
            return []
        good: list[T] = []
        for number, value in enumerate(values):
            path = (*self.path, key, number)
            try:
                good.append(reader(value, self.sheet.where(path)))
            except InputError as error:
                self.sheet.add(path, error.problems)
        return good

    def quantity(self, key: str, kind: str, span: Span, *, default: float = REQUIRED) -> float:
        """SI value of a quantity with its unit, inside the span."""
        fallback = span.high if default is REQUIRED else default
        return self.read(key, lambda value, where: in_span(value, kind, span, where=where), default, fallback=fallback)

    def quantity_or_none(self, key: str, kind: str, span: Span) -> float | None:
        return self.quantity(key, kind, span) if self.has(key) else None

    def money(self, key: str, currency: str, *, default: int = REQUIRED) -> int:
        """Minor units in the job's currency."""
        return self.read(key, lambda value, where: parse_money(value, currency, where=where), default, fallback=0)

    def day(self, key: str, default: date | None = REQUIRED) -> date | None:
        return self.read(key, local_day, default, fallback=None)

    def instant(self, key: str, zone: ZoneInfo, default: datetime | None = REQUIRED) -> datetime | None:
        """Aware UTC from a date (its midnight), a wall clock in the yard's zone or a time with its offset."""
        return self.read(key, lambda value, where: local_instant(value, zone, where), default, fallback=None)


def refuse(where: str, found: object, *, allowed: str, advice: str) -> InputError:
    """The InputError of one wrong value."""
    return InputError(Problem(where=where, found=shown(found), allowed=allowed, advice=advice))


def _text(value: Any, where: str) -> str:
    if isinstance(value, str) and value.strip() and len(value) <= LONGEST_TEXT and value.isprintable():
        return value.strip()
    raise refuse(
        where, value, allowed=f"a text of 1 to {LONGEST_TEXT} characters, one line", advice="Write it in quotes."
    )


def _flag(value: Any, where: str) -> bool:
    if isinstance(value, bool):
        return value
    raise refuse(where, value, allowed="true or false", advice="Write true or false, small letters, no quotes.")


def _whole(value: Any, span: Span, where: str) -> int:
    if isinstance(value, int) and not isinstance(value, bool) and span.holds(value):
        return value
    raise refuse(
        where, value, allowed=f"a whole number {span.text()}", advice="Write digits only, no quotes and no unit."
    )


def one_of(value: Any, known: Sequence[str] | None, where: str) -> str:
    """The text itself if it is one of the known names (any text when `known` is None)."""
    if known is None:
        return _text(value, where)
    if isinstance(value, str) and value in known:
        return value
    hint = nearest(value, known) if isinstance(value, str) else ""
    allowed = ", ".join(f'"{name}"' for name in known)
    raise refuse(where, value, allowed=allowed, advice=hint or "Choose one of these names.")


def in_span(value: Any, kind: str, span: Span, *, where: str) -> float:
    """SI value of a quantity, refused outside the span."""
    number = parse(value, kind, where=where)
    if span.holds(number):
        return number
    raise refuse(where, value, allowed=f"{kind} {span.text(kind)}", advice="Check the number and its unit.")


def local_day(value: Any, where: str) -> date:
    """A date, bare or in quotes."""
    if isinstance(value, str):
        try:
            return date.fromisoformat(plain_digits(value))
        except ValueError:
            pass
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    raise refuse(where, value, allowed="a date such as 2026-04-25", advice="Write year-month-day, without quotes.")


def local_time(value: Any, where: str) -> time:
    """A time of day, bare with seconds or in quotes."""
    if isinstance(value, str) and re.fullmatch(r"\d\d?:\d\d(:\d\d)?", value):
        text = plain_digits(value)
        try:
            return time.fromisoformat(f"0{text}" if text[1] == ":" else text)
        except ValueError:
            pass
    if isinstance(value, time) and value.tzinfo is None:
        return value
    allowed = 'a time of day such as 08:00:00 or "08:00"'
    raise refuse(where, value, allowed=allowed, advice="Write hours and minutes, 00:00 to 23:59.")


def local_instant(value: Any, zone: ZoneInfo, where: str) -> datetime:
    """Aware UTC of a date or a time in the yard's zone."""
    if isinstance(value, str):
        try:
            value = datetime.fromisoformat(plain_digits(value))
        except ValueError:
            raise refuse(where, value, allowed=_INSTANT, advice="Correct the date or the time.") from None
    if isinstance(value, date) and not isinstance(value, datetime):
        value = datetime(value.year, value.month, value.day)  # noqa: DTZ001 the yard's wall clock: to_utc gives it its zone
    if isinstance(value, datetime) and 1990 <= value.year <= 2200:
        return to_utc(value, zone, where=where)
    raise refuse(where, value, allowed=_INSTANT, advice="Write year-month-day and the time.")
