"""One text for one JSON value, in Python and in a browser alike, so that texts can be compared and hashed.

[1] RFC 8785, JSON Canonicalization Scheme, 2020: keys sorted by UTF-16 units (3.2.3), numbers as ECMAScript prints
them (3.2.2.3), no white space, only the escapes that JSON asks for (3.2.2.2).
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

INTEGER_MAX = 2**53 - 1
"""Largest whole number that a browser holds exactly (I-JSON, RFC 7493, 2.2)."""
DEPTH_MAX = 16


def canonical(value: object, *, depth: int = 0) -> str:
    """The one text of a JSON value; ValueError, saying what, for what JSON cannot carry from one device to another.

    >>> canonical({"b": 20.0, "a": [1e-7, "é", None, True]})
    '{"a":[1e-7,"é",null,true],"b":20}'
    """
    if depth > DEPTH_MAX:
        raise ValueError(f"lists or tables nested more than {DEPTH_MAX} deep")
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, int | float):
        return number(value)
    if isinstance(value, list | tuple):
        return "[" + ",".join(canonical(item, depth=depth + 1) for item in value) + "]"
    if isinstance(value, Mapping):
        return _table(value, depth)
    raise ValueError(f"a {type(value).__name__}, which JSON does not have")


def read(text: str) -> Any:
    """The value of a canonical text. Whole digits beyond what a browser holds exactly are a double, as it reads them.

    >>> read("[7,63146559657476030]")
    [7, 6.314655965747603e+16]
    """
    return json.loads(text, parse_int=_whole)


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) < 17 and abs(int(digits)) <= INTEGER_MAX else float(digits)


def _table(value: Mapping[object, object], depth: int) -> str:
    keys = [key for key in value if isinstance(key, str)]
    if len(keys) != len(value):
        raise ValueError("a key that is no text")
    texts = {key: _text(key) for key in keys}
    keys.sort(key=lambda key: key.encode("utf-16-be"))
    return "{" + ",".join(f"{texts[key]}:{canonical(value[key], depth=depth + 1)}" for key in keys) + "}"


def _text(value: str) -> str:
    if "\0" in value:
        raise ValueError("a text with a null character in it")
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:
        raise ValueError("a text with half a character in it (a lone surrogate)") from None
    return json.dumps(value, ensure_ascii=False)


def number(value: int | float) -> str:
    """A number as ECMAScript prints it (Number::toString): shortest digits that read back the same.

    >>> number(1e21), number(333333333.3333333), number(0.000001), number(-0.0)
    ('1e+21', '333333333.3333333', '0.000001', '0')
    """
    if isinstance(value, int):
        return str(value) if abs(value) <= INTEGER_MAX else number(_as_float(value))
    if not math.isfinite(value):
        raise ValueError(f"{value}, which is no number")
    if value == 0.0:
        return "0"
    sign = "-" if value < 0 else ""
    parts = Decimal(repr(abs(value))).as_tuple()
    whole = "".join(map(str, parts.digits))
    digits = whole.strip("0")
    point = len(whole.lstrip("0")) + int(parts.exponent)
    return sign + _placed(digits, point)


def _as_float(value: int) -> float:
    if value.bit_length() > 1023 or int(float(value)) != value:
        raise ValueError("a whole number with more digits than a browser can hold")
    return float(value)


def _placed(digits: str, point: int) -> str:
    """The digits with the decimal point after `point` of them, or in powers of ten when that lies far off."""
    if len(digits) <= point <= 21:
        return digits + "0" * (point - len(digits))
    if 0 < point <= 21:
        return f"{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return "0." + "0" * -point + digits
    rest = f".{digits[1:]}" if len(digits) > 1 else ""
    return f"{digits[0]}{rest}e{point - 1:+d}"
