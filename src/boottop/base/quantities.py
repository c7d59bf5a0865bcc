"""One place for units: quantities as people write them to SI floats, and back. Inside boottop all is SI."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from boottop.base.errors import InputError, Problem

System = Literal["metric", "us"]


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of quantity: the pint unit boottop keeps it in, how to write an example, and how it is shown.

    `metric` and `us` are the unit texts that `format_quantity` writes and `parse` reads back.
    """

    name: str
    unit: str
    example: str
    metric: str
    us: str


KINDS: Mapping[str, Kind] = {
    name: Kind(name=name, unit=unit, metric=metric, us=us, example=example)
    for name, unit, metric, us, example in (
        ("length", "meter", "m", "ft", '"11.6 m", "38 ft" or "38 ft 6 in"'),
        ("film", "micrometer", "um", "mil", '"75 um" or "3 mil"'),
        ("area", "meter ** 2", "m2", "ft2", '"32 m2" or "344 ft2"'),
        ("volume", "liter", "L", "US gal", '"3.8 L" or "1 US gal"'),
        ("displacement", "meter ** 3", "m3", "ft3", '"6.2 m3"'),
        ("mass", "kilogram", "kg", "lb", '"6200 kg", "6.2 t" or "13700 lb"'),
        ("density", "kilogram / liter", "kg/L", "lb/US gal", '"1.05 kg/L"'),
        ("temperature", "degree_Celsius", "degC", "degF", '"20 degC" or "68 degF"'),
        ("difference", "delta_degree_Celsius", "K", "degF", '"3 K" or "5 degF"'),
        ("duration", "hour", "h", "h", '"80 min", "1.5 h" or "3 days"'),
        ("speed", "meter / second", "m/s", "kn", '"4 m/s", "8 kn" or "9 mph"'),
        ("rate", "meter ** 2 / hour", "m2/h", "ft2/h", '"12 m2/h" or "130 ft2/h"'),
        ("fraction", "dimensionless", "%", "%", '"85 %" or 0.85'),
        ("angle", "degree", "deg", "deg", '"220 deg"'),
        ("viscosity", "pascal * second", "Pa s", "cP", '"0.9 Pa s" or "900 cP"'),
        ("activation energy", "joule / mole", "kJ/mol", "kJ/mol", '"50 kJ/mol"'),
    )
}


@lru_cache(maxsize=1)
def registry() -> Any:
    """The pint registry, made on first use (importing pint costs a tenth of a second)."""
    import pint

    made: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=False, cache_folder=None)
    return made


_PLAIN = str.maketrans(
    {
        "\N{SUPERSCRIPT TWO}": "2",
        "\N{SUPERSCRIPT THREE}": "3",
        "\N{MICRO SIGN}": "u",
        "\N{GREEK SMALL LETTER MU}": "u",
        "\N{MIDDLE DOT}": "*",
        "\N{MULTIPLICATION SIGN}": "*",
        "\N{MINUS SIGN}": "-",
        "\N{PRIME}": "'",
        "\N{DOUBLE PRIME}": '"',
    }
)
_LIQUIDS = (
    (r"gal(?:lons?)?", "gallon"),
    (r"(?:qts?|quarts?)", "quart"),
    (r"(?:pts?|pints?)", "pint"),
    (r"(?:fl\.?\s*oz\.?|fluid\s*ounces?)", "fluid_ounce"),
)
_SPELLINGS: tuple[tuple[re.Pattern[str], str], ...] = (
    *((re.compile(rf"\b(?:US|U\.S\.)\s*{word}(?!\w)", re.I), f"US_{unit}") for word, unit in _LIQUIDS),
    *((re.compile(rf"\b(?:imp(?:erial)?\.?|UK)\s*{word}(?!\w)", re.I), f"imperial_{unit}") for word, unit in _LIQUIDS),
    (re.compile(r"\bUS_(gallon|quart)"), r"US_liquid_\1"),
    (re.compile(r"\b(?:sq\.?|square)\s*(m|cm|mm|ft|feet|foot|in|inch|metres?|meters?)\b", re.I), r"\1**2"),
    (re.compile(r"\b(?:cu\.?|cubic)\s*(m|cm|ft|feet|foot|in|metres?|meters?)\b", re.I), r"\1**3"),
    (re.compile(r"\b(m|cm|mm|ft|in)(?:\^|\*\*)?([23])\b"), r"\1**\2"),
    (re.compile("^\N{DEGREE SIGN}$"), "deg"),
    (re.compile(r"\boz\.?\s*(?:wt|av)\b\.?", re.I), "avoirdupois_ounce"),
    (re.compile(r"\bt\b"), "tonne"),
    (re.compile(r"\b(short|long|metric)\s+tons?\b", re.I), r"\1_ton"),
    (re.compile(r"\b(?:kt|kts)\b"), "knot"),
    (re.compile(r"\bmils?\b"), "thou"),
    (re.compile(r"\s+per\s+"), "/"),
    (re.compile(r"\bl(?:it(?:re|er)s?)?\b", re.I), "liter"),
)
_AMBIGUOUS: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"\b(gal(lons?)?)\b", re.I), 'Say "US gal" or "imp gal", or use litres.'),
    (re.compile(r"\b(qts?|quarts?)\b", re.I), 'Say "US qt" or "imp qt", or use litres.'),
    (re.compile(r"\b(pts?|pints?)\b", re.I), 'Say "US pt" or "imp pt", or use litres.'),
    (
        re.compile(r"\b(fl\.?\s*oz|fluid\s*ounces?|oz|ounces?)\b", re.I),
        'Say "US fl oz" or "imp fl oz" for a volume; "oz wt", "lb" or "g" for a weight.',
    ),
    (re.compile(r"\b(tons?)\b", re.I), 'Say "t" (1000 kg), "short ton" (2000 lb) or "long ton" (2240 lb).'),
)
# Only plain unit words, products, quotients, squares and cubes ever reach pint, which would work out "9**9**9".
_UNIT_TEXT = re.compile(r"[A-Za-z_]{1,24}(?:\*\*[23])?(?:\s*[*/ ]\s*[A-Za-z_]{1,24}(?:\*\*[23])?){0,3}")
_FRACTION = r"\d{1,4}\s*/\s*\d{1,4}"
_NUMBER = rf"(?:\d{{1,4}}[ -]{_FRACTION}|{_FRACTION}|\d+(?:\.\d*)?(?:[eE][+-]?\d{{1,3}})?|\.\d+)"
_NUMBER_UNIT = re.compile(rf"([+-]?{_NUMBER})\s*(.*)")
_FEET_INCHES = re.compile(rf"""(\d{{1,9}})\s*(?:ft\.?|feet|foot|')\s*({_NUMBER})\s*(?:in\.?|inch(?:es)?|"|'')""", re.I)
_ONLY_FEET = re.compile(r"(\d+(?:\.\d+)?)\s*'")
_HOURS_MINUTES = re.compile(r"(\d{1,4})\s*(?:h|hrs?|hours?)\s*(\d+)\s*(?:min|minutes?)", re.I)
_DEGREES = re.compile(r"(delta_)?(?:deg\.?\s*|degrees?\s*|\N{DEGREE SIGN}\s*)?([CF])(?:elsius|ahrenheit)?", re.I)
_COMMA = re.compile("[0-9][,\N{ARABIC DECIMAL SEPARATOR}\N{ARABIC THOUSANDS SEPARATOR}][0-9]")
SMALL_L = 0.1 * 3.785411784
"""Below a tenth of a US gallon a volume is shown in fluid ounces: 0.02 US gal is no measure to pour by."""


def parse(text: object, kind_name: str, *, where: str) -> float:
    """SI value of a quantity written by a person, for example parse("38 ft", "length", where="boat.length").

    Raises InputError naming `where` when the text is no quantity, has no unit, a unit of another kind, or a unit
    that means two things (a bare gallon, pint, quart, ounce or ton).

    >>> round(parse("38 ft 6 in", "length", where="doc"), 4)
    11.7348
    >>> round(parse("68 degF", "temperature", where="doc"), 6)
    20.0
    >>> round(parse("12 mil", "film", where="doc"), 3)
    304.8
    """
    kind = KINDS[kind_name]
    if kind_name == "fraction" and not isinstance(text, str | bool):
        return _plain_fraction(text, kind, where)
    if not isinstance(text, str):
        raise _refused(where, kind, f"{shown(text)} without a unit")
    clean = " ".join(plain_digits(text).translate(_PLAIN).split())
    if _COMMA.search(clean):
        advice = "Write the decimal point as a point (11.6) and no mark between thousands."
        raise _refused(where, kind, shown(text), advice=advice)
    compound = _compound(clean, kind_name)
    if compound is not None:
        return compound
    match = _NUMBER_UNIT.fullmatch(clean)
    value = _number(match[1]) if match else None
    if match is None or value is None:
        raise _refused(where, kind, shown(text))
    return _to(value, _spelled(match[2], (where, kind, text)), (where, kind, text))


def plain_digits(text: str) -> str:
    """The same text with the digits 0 to 9: the one rule of every reader for digits of other scripts, which a phone's
    keypad may write, is that they are the numbers they mean.

    >>> plain_digits("\N{ARABIC-INDIC DIGIT ONE}\N{ARABIC-INDIC DIGIT TWO} m"), plain_digits("12 m")
    ('12 m', '12 m')
    """
    if text.isascii():
        return text
    return "".join(str(unicodedata.decimal(one)) if one.isdecimal() else one for one in text)


def _plain_fraction(value: object, kind: Kind, where: str) -> float:
    try:
        number = float(value)  # type: ignore[arg-type]  # what is no number raises and is refused
    except (TypeError, ValueError, OverflowError):
        raise _refused(where, kind, shown(value)) from None
    if not math.isfinite(number):
        raise _refused(where, kind, shown(value), advice="Write a finite number.")
    return number


def _compound(text: str, kind_name: str) -> float | None:
    """Feet and inches, or hours and minutes; None when the text is neither."""
    if kind_name == "length":
        if match := _FEET_INCHES.fullmatch(text):
            inches = _number(match[2])
            return None if inches is None else (float(match[1]) + inches / 12.0) * 0.3048
        if match := _ONLY_FEET.fullmatch(text):
            return float(match[1]) * 0.3048
    if kind_name == "duration" and (match := _HOURS_MINUTES.fullmatch(text)):
        return float(match[1]) + float(match[2]) / 60.0
    return None


def _number(text: str) -> float | None:
    """A decimal number, a fraction "3/16" or a mixed number "5 1/2"; None for a division by zero."""
    sign = -1.0 if text.startswith("-") else 1.0
    text = text.lstrip("+-")
    if "/" not in text:
        return sign * float(text)
    whole, _, fraction = re.sub(r"\s*/\s*", "/", text).replace("-", " ").rpartition(" ")
    over, under = fraction.split("/")
    return None if int(under) == 0 else sign * (float(whole or 0) + float(over) / float(under))


def _spelled(unit: str, context: tuple[str, Kind, str]) -> str:
    """The unit text as pint knows it."""
    where, kind, text = context
    if unit in {"%", "percent", "per cent"}:
        return "percent"
    if unit == "" and kind.unit == "dimensionless":
        return unit
    if kind.name in {"temperature", "difference"} and (match := _DEGREES.fullmatch(unit)):
        absolute = kind.name == "temperature" and match[1] is None
        return f"{'' if absolute else 'delta_'}deg{match[2].upper()}"
    for pattern, replacement in _SPELLINGS:
        unit = pattern.sub(replacement, unit)
    for pattern, advice in _AMBIGUOUS:
        if match := pattern.search(unit):
            raise _refused(where, kind, f"{shown(text)}: {match[1]!r} alone means more than one thing", advice=advice)
    if not _UNIT_TEXT.fullmatch(unit):
        raise _refused(where, kind, shown(text))
    return unit


def _to(value: float, unit: str, context: tuple[str, Kind, str]) -> float:
    where, kind, text = context
    try:
        measured = registry().Quantity(value, unit)
        result = float(measured.to(kind.unit).magnitude)
    except Exception:  # pint raises several unrelated types for what is one thing here: no such unit or another kind
        raise _refused(where, kind, shown(text)) from None
    if not math.isfinite(result):
        raise _refused(where, kind, shown(text), advice="Write a finite number and its unit in quotes.")
    return result


def shown(value: object) -> str:
    """What was found, as an error quotes it: as it stood in the sheet, cut so that a monster does not fill the screen.

    >>> shown("38 ft"), shown(True), shown({"a": 1})
    ("'38 ft'", 'true', 'a section')
    """
    if isinstance(value, dict):
        return "a section"
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number of very many digits"
    text = str(value).lower() if isinstance(value, bool) else repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 80 else text[:77] + "..."


def _refused(
    where: str, kind: Kind, found: str, *, advice: str = "Write the number and its unit in quotes."
) -> InputError:
    article = "an" if kind.name[0] in "aeiou" else "a"
    return InputError(
        Problem(
            where=where,
            found=found,
            allowed=f"{article} {kind.name} with its unit, such as {kind.example}",
            advice=advice,
        )
    )


def format_quantity(value: float, kind_name: str, system: System = "metric", *, digits: int = 4) -> str:
    """Text of an SI value that `parse` reads back, to `digits` significant digits (whole numbers are never rounded).

    US lengths of a foot and more come as feet and inches to a tenth of an inch, US volumes under a tenth of a gallon in
    fluid ounces, temperatures to a tenth of a degree.

    >>> format_quantity(11.7348, "length"), format_quantity(11.7348, "length", "us")
    ('11.73 m', '38 ft 6 in')
    >>> format_quantity(20.0, "temperature", "us"), format_quantity(0.85, "fraction")
    ('68 degF', '85 %')
    """
    kind = KINDS[kind_name]
    if kind_name == "length" and system == "us" and 0.3048 <= value < 1e6 and digits <= 4:
        return _feet_inches(value)
    unit = kind.us if system == "us" else kind.metric
    if kind_name == "volume" and system == "us" and 0.0 < abs(value) < SMALL_L:
        unit = "US fl oz"
    shown = _from_si(value, unit, kind)
    places = 1 if kind_name == "temperature" and digits <= 4 else _places(shown, digits)
    number = f"{shown:.{places}f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{'0' if number == '-0' else number} {unit}"


def _from_si(value: float, unit: str, kind: Kind) -> float:
    pint_unit = _spelled(unit, ("format_quantity", kind, unit))
    return float(registry().Quantity(value, kind.unit).to(pint_unit).magnitude)


def _places(shown: float, digits: int) -> int:
    """Decimal places that give `digits` significant digits, 0 to 12."""
    size = math.floor(math.log10(abs(shown))) if shown else 0
    return min(12, max(0, digits - 1 - size))


def _feet_inches(value_m: float) -> str:
    tenths = round(value_m / 0.0254 * 10.0)
    feet, rest = divmod(tenths, 120)
    inches = f"{rest / 10:.1f}".removesuffix(".0")
    return f"{feet} ft" if rest == 0 else f"{feet} ft {inches} in"
