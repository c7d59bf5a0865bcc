"""One place for money: amounts as people write them to integer minor units with a currency code, and back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from boottop.base.errors import InputError, Problem
from boottop.base.quantities import plain_digits, shown

# Digits after the point where they are not two: ISO 4217 (from memory).
MINOR_DIGITS: Mapping[str, int] = {
    **dict.fromkeys(("CLP", "ISK", "JPY", "KRW", "PYG", "UGX", "VND", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}
THOUSANDS = "\N{NARROW NO-BREAK SPACE}"
MOST = Decimal(10) ** 9
_APART = "[ \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{THIN SPACE}]"
_SET_APART = re.compile(rf"(?<![\d.])\d{{1,3}}(?:{_APART}\d{{3}})+(?!\d)")
_CURRENCY = re.compile(r"[A-Z]{3}")
_AMOUNT = re.compile(r"(\d{1,10}(?:\.\d{1,4})?)(?:\s*([A-Za-z]{3}))?|([A-Za-z]{3})\s*(\d{1,10}(?:\.\d{1,4})?)")


def minor_digits(currency: str) -> int:
    """Digits after the point of a currency, 2 unless listed."""
    return MINOR_DIGITS.get(currency, 2)


def check_currency(code: object, *, where: str) -> str:
    """The code itself when it is three capital letters; InputError naming `where` otherwise."""
    if isinstance(code, str) and _CURRENCY.fullmatch(code):
        return code
    raise InputError(
        Problem(
            where=where,
            found="nothing" if code is None else shown(code),
            allowed='a currency code of three capital letters, such as "EUR" or "USD"',
            advice="Write the code of the currency the yard bills in.",
        )
    )


def parse_money(value: object, currency: str, *, where: str) -> int:
    """Minor units of an amount written "189.00 EUR", "1 189 EUR", "189.00" or 189; never through a float.

    Raises InputError when it is no amount, negative, in another currency, or finer than the currency's coins.

    >>> parse_money("189.00 EUR", "EUR", where="doc"), parse_money(Decimal("2.5"), "EUR", where="doc")
    (18900, 250)
    """
    amount, code = _read(value)
    if amount is None or not 0 <= amount <= MOST:
        raise _refused(
            value, currency, where, advice="Write digits and a point; between thousands nothing, or a space."
        )
    if code not in (None, currency):
        raise _refused(value, currency, where, advice=f"Convert it: all money of one job is in {currency}.")
    minor = amount.scaleb(minor_digits(currency))
    if minor != minor.to_integral_value():
        raise _refused(
            value, currency, where, advice=f"{currency} has {minor_digits(currency)} digits after the point."
        )
    return int(minor)


def _read(value: object) -> tuple[Decimal | None, str | None]:
    if isinstance(value, bool):
        return None, None
    if isinstance(value, int):
        return (Decimal(value) if abs(value) <= MOST else None), None
    if isinstance(value, Decimal):
        return (value if value.is_finite() else None), None
    if isinstance(value, str) and (match := _AMOUNT.fullmatch(_SET_APART.sub(_joined, plain_digits(value.strip())))):
        code = match[2] or match[3]
        return Decimal(match[1] or match[4]), code.upper() if code else None
    return None, None


def _joined(match: re.Match[str]) -> str:
    return re.sub(_APART, "", match[0])


def _refused(value: object, currency: str, where: str, *, advice: str) -> InputError:
    return InputError(
        Problem(
            where=where,
            found=shown(value),
            allowed=f'an amount of money from 0 to {MOST:,.0f}, such as "189.00 {currency}" or "189.00"',
            advice=advice,
        )
    )


def plain_money(minor: int, currency: str) -> str:
    """Amount with its currency for files that programs read: every digit after the point, no mark between thousands.

    >>> plain_money(123450, "USD"), plain_money(-5, "EUR"), plain_money(900, "JPY")
    ('1234.50 USD', '-0.05 EUR', '900 JPY')
    """
    digits = minor_digits(currency)
    return f"{Decimal(minor).scaleb(-digits):.{digits}f} {currency}"


def format_money(minor: float, currency: str, *, whole: bool = False) -> str:
    """Amount with its currency for people, as `parse_money` reads it back (a minus sign where money comes in).

    Thousands are set apart by a narrow no-break space and the code by a no-break space, so that no line ends within;
    digits after the point are left out where all are zero. `whole`: to whole units of the currency, for sums that are
    no better known.

    >>> format_money(311000, "USD"), format_money(-5, "EUR"), format_money(99999, "USD", whole=True)
    ('3\\u202f110\\xa0USD', '-0.05\\xa0EUR', '1\\u202f000\\xa0USD')
    """
    digits = minor_digits(currency)
    amount = Decimal(round(minor)).scaleb(-digits)
    places = 0 if whole or amount == amount.to_integral_value() else digits
    text = f"{amount:,.{places}f}".replace(",", THOUSANDS)
    return f"{'0' if text == '-0' else text}\N{NO-BREAK SPACE}{currency}"
