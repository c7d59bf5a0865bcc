"""Money as people write it, in whole minor units."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.base.money import check_currency, format_money, parse_money, plain_money


@pytest.mark.parametrize(
    ("value", "currency", "minor"),
    [
        ("189.00 EUR", "EUR", 18900),
        ("EUR 189.5", "EUR", 18950),
        ("189", "EUR", 18900),
        (189, "USD", 18900),
        (Decimal("0.29"), "USD", 29),
        ("1200 JPY", "JPY", 1200),
        ("1.234", "KWD", 1234),
        (0, "EUR", 0),
        ("\N{ARABIC-INDIC DIGIT ONE}\N{ARABIC-INDIC DIGIT EIGHT} EUR", "EUR", 1800),
        ("1 200.50 EUR", "EUR", 120050),
        ("EUR 14\u202f588", "EUR", 1458800),
        ("1\u00a0200\u2009000", "EUR", 120000000),
    ],
)
def test_reads(value: object, currency: str, minor: int) -> None:
    assert parse_money(value, currency, where="here") == minor


@pytest.mark.parametrize(
    ("value", "match"),
    [
        ("189.005", "EUR has 2 digits after the point"),
        ("189 USD", "all money of one job is in EUR"),
        ("-5", "such as"),
        (-5, "such as"),
        ("1,200.00", "between thousands nothing, or a space"),
        ("1 20 EUR", "such as"),
        ("1234 567 EUR", "such as"),
        ("1.200 300", "such as"),
        ("12 euros", "such as"),
        (True, "such as"),
        (0.5, "such as"),
        (Decimal("NaN"), "such as"),
        (Decimal("1e30"), "from 0 to 1,000,000,000"),
        (Decimal("1e-300"), "2 digits after the point"),
        (10**5000, "very many digits"),
        (None, "such as"),
    ],
    ids=lambda value: str(value)[:20] if not isinstance(value, int) else "number",
)
def test_refuses(value: object, match: str) -> None:
    with pytest.raises(InputError, match=match):
        parse_money(value, "EUR", where="here")


@pytest.mark.parametrize("code", ["eur", "EURO", "E1R", "", None, 978])
def test_refuses_what_is_no_currency(code: object) -> None:
    with pytest.raises(InputError, match="three capital letters"):
        check_currency(code, where="job.currency")


@given(st.integers(0, 10**11), st.sampled_from(["EUR", "JPY", "KWD"]))
def test_written_money_reads_back_exactly(minor: int, currency: str) -> None:
    minor = minor if currency != "JPY" else minor // 100
    for text in (format_money(minor, currency), plain_money(minor, currency)):
        assert parse_money(text, currency, where="here") == minor


def test_shown_to_whole_units() -> None:
    assert format_money(1458849.7, "USD", whole=True) == "14\u202f588\xa0USD"
    assert format_money(-30, "USD", whole=True) == "0\xa0USD"
    assert format_money(-123456, "USD") == "-1\u202f234.56\xa0USD"
