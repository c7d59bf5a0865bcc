"""Money, ranges and turning values in words, for terminal and page alike."""

from __future__ import annotations

from boottop.base.money import format_money, minor_digits
from boottop.money.case import CostCase
from boottop.money.decide import Outcome
from boottop.money.turning import Turn


def round_money(minor: float, currency: str) -> str:
    """Whole units of the currency with their code; cents of a ten-year reckoning would only pretend.

    >>> round_money(123456, "USD"), round_money(-99950, "EUR"), round_money(1500, "JPY")
    ('1\u202f235\xa0USD', '-1\u202f000\xa0EUR', '1\u202f500\xa0JPY')
    """
    return format_money(minor, currency, whole=True)


def money_span(ends: tuple[int, int], currency: str) -> str:
    """Two amounts with the currency once: "2 400 to 7 800 USD"."""
    return f"{round_money(ends[0], currency).removesuffix(currency).strip()} to {round_money(ends[1], currency)}"


def in_unit(value: float, unit: str, currency: str) -> str:
    """A value of an input with its unit, one of it without the s.

    >>> in_unit(12345.0, "money", "USD"), in_unit(0.02, "%", "USD"), in_unit(2.0, "years", "USD")
    ('123\xa0USD', '2 %', '2 years')
    """
    minor = 10.0 ** minor_digits(currency)
    if unit == "money":
        return round_money(value, currency)
    if unit == "money/L":
        return f"{value / minor:.3g} {currency}/L"
    if unit == "%":
        return f"{100.0 * value:.2g} %"
    text = f"{value:.3g}"
    return f"x{value:.2g}" if unit == "x" else f"{text} {unit.removesuffix('s') if text == '1' else unit}"


def break_even_words(one: Outcome, case: CostCase) -> str:
    """From which year a way stays ahead of the reference."""
    if one.name == case.reference:
        return ""
    if one.break_even_year is None:
        return "not in this time"
    return "the start" if one.break_even_year == 0 else f"year {one.break_even_year}"


def turn_words(turn: Turn, currency: str) -> str:
    """One sentence on where an input turns the decision."""
    likely = in_unit(turn.likely[1], turn.unit, currency)
    looked = " to ".join(in_unit(one, turn.unit, currency) for one in turn.looked)
    if not turn.at:
        return f"{_first_capital(turn.words)}: no turning value from {looked}."
    at = in_unit(turn.at[0], turn.unit, currency)
    side = "above" if turn.at[0] >= turn.likely[1] else "below"
    inside = "within your range" if turn.inside else "outside your range"
    return f"{_first_capital(turn.words)}: {side} {at} (likely {likely}; {inside}) {turn.instead} is cheaper."


def span_words(ends: tuple[float, float], unit: str, currency: str) -> str:
    """Both ends of a range with the unit once, where it is a plain word after the number."""
    low, high = (in_unit(one, unit, currency) for one in ends)
    tail = currency if unit == "money" else unit
    return f"{low.removesuffix(tail).strip()} to {high}" if unit not in ("x", "money/L") else f"{low} to {high}"


def _first_capital(words: str) -> str:
    return words[:1].upper() + words[1:]
