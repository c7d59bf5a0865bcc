"""Words of a cost document: single values or low, likely, high; prices for a unit; years, days, speeds and burns."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from boottop.base.errors import InputError
from boottop.base.money import minor_digits, parse_money
from boottop.base.quantities import format_quantity, parse
from boottop.files.jobsheet_table import REQUIRED, Span, Table, in_span, refuse
from boottop.money.fouling import CONDITIONS_UM

Triple = tuple[float, float, float]
Reader = Callable[[Any, str], float]
HOURS_A_YEAR, HOURS_A_DAY = 8766.0, 24.0
_RATE = re.compile(r"\s*(.+?)\s*(?:/|\bper\b|\ba\b)\s*([A-Za-z][A-Za-z .]*?)\s*")
_MONEY = re.compile(r"(\d{1,9}(?:\.\d{1,6})?)(?:\s*([A-Za-z]{3}))?|([A-Za-z]{3})\s*(\d{1,9}(?:\.\d{1,6})?)")
_BURN = re.compile(r"\s*(.+?)\s*(?:/|\bper\b|\ban?\b)\s*(?:h|hr|hour)\s*")


def triple(table: Table, key: str, reader: Reader, *, default: Triple = REQUIRED) -> Triple:
    """Low, likely and high value of a key: a list of three in rising order, or one value that is taken as certain."""
    return table.read(key, lambda value, where: triple_of(value, where, reader), default, fallback=(1.0, 1.0, 1.0))


def triple_of(value: Any, where: str, reader: Reader) -> Triple:
    """The same of a value at hand."""
    if not isinstance(value, list):
        one = reader(value, where)
        return one, one, one
    if len(value) != 3:
        raise refuse(
            where, value, allowed="one value, or [low, likely, high]", advice="Write three values in square brackets."
        )
    low, likely, high = (reader(one, where) for one in value)
    if not low <= likely <= high:
        raise refuse(
            where, value, allowed="low, likely, high in rising order", advice="Put the lowest first, the highest last."
        )
    return low, likely, high


def money_reader(currency: str) -> Reader:
    """Minor units of an amount."""
    return lambda value, where: float(parse_money(value, currency, where=where))


def fuel_price(value: Any, where: str, currency: str) -> float:
    """Minor units a litre, of "1.45 USD/L" or "5.20 USD/US gal"; finer than the currency's coins.

    >>> fuel_price("1.459 EUR/L", "doc", "EUR")
    145.9
    """
    match = _RATE.fullmatch(value) if isinstance(value, str) else None
    amount = _MONEY.fullmatch(match[1]) if match else None
    if match is None or amount is None or (amount[2] or amount[3] or currency).upper() != currency:
        raise refuse(
            where, value, allowed=f'a price such as "1.45 {currency}/L"', advice=f"Write it in {currency} for a unit."
        )
    litres = parse(f"1 {match[2]}", "volume", where=where)
    minor = 10.0 ** minor_digits(currency)
    return round(float(amount[1] or amount[4]) * minor / litres, 6)


def burn(value: Any, where: str) -> float:
    """Litres an hour, of "14 L/h" or "3.7 US gal/h"."""
    match = _BURN.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise refuse(where, value, allowed='a burn such as "14 L/h" or "3.7 US gal/h"', advice="Write volume/h.")
    return in_span(match[1], "volume", Span(low=0.05, high=2000.0), where=where)


def spell(unit_h: float, span: Span) -> Reader:
    """A reader of spans of time, in units of so many hours, within the span."""

    def read(value: Any, where: str) -> float:
        found = parse(value, "duration", where=where) / unit_h
        if span.holds(found):
            return found
        name = {HOURS_A_YEAR: "years", HOURS_A_DAY: "days"}.get(unit_h, "hours")
        raise refuse(where, value, allowed=f"{span.text()} {name}", advice="Check the number and its unit.")

    return read


years = spell(HOURS_A_YEAR, Span(low=0.25, high=60.0))
days = spell(HOURS_A_DAY, Span(low=0.0, high=365.0))
hours = spell(1.0, Span(low=0.0, high=8784.0))


def whole_years(value: Any, where: str) -> int:
    """Whole years between haul-outs; 0 for "never"."""
    if value == "never":
        return 0
    found = years(value, where)
    if abs(found - round(found)) > 0.01 or round(found) < 1:
        raise refuse(where, value, allowed='whole years such as "2 years", or "never"', advice="Round it.")
    return round(found)


def share(span: Span) -> Reader:
    """A reader of fractions within the span; may be negative where the span is."""

    def read(value: Any, where: str) -> float:
        text = value.strip() if isinstance(value, str) else value
        minus = isinstance(text, str) and text.startswith("-")
        found = parse(text[1:] if minus else text, "fraction", where=where) * (-1.0 if minus else 1.0)
        if span.holds(found):
            return found
        allowed = f"{100 * span.low:g} % to {100 * span.high:g} %"
        raise refuse(where, value, allowed=allowed, advice='Write it as "3 %".')

    return read


def number(span: Span) -> Reader:
    """A reader of plain numbers within the span."""

    def read(value: Any, where: str) -> float:
        try:
            found = float(value) if not isinstance(value, bool | str) else float("nan")
        except (TypeError, ValueError, OverflowError):
            found = float("nan")
        if span.holds(found):
            return found
        raise refuse(where, value, allowed=f"a number {span.text()}", advice="Write digits, no quotes, no unit.")

    return read


def condition(value: Any, where: str) -> float:
    """Equivalent sand roughness in um, of a condition's name or of "150 um"."""
    if isinstance(value, str) and value in CONDITIONS_UM:
        return CONDITIONS_UM[value]
    try:
        return in_span(value, "film", Span(low=0.0, high=30_000.0), where=where)
    except InputError:
        names = ", ".join(f'"{name}"' for name in CONDITIONS_UM)
        allowed = f"{names}, or a sand-grain roughness such as {format_quantity(150.0, 'film')}"
        raise refuse(where, value, allowed=allowed, advice="Choose the nearest condition.") from None
