"""One place for units: quantities as people write them to SI floats, and back. Inside boottop all is SI."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from boottop.base.errors import InputError, Problem


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of quantity: the pint unit boottop keeps it in, and how to write an example."""

    name: str
    unit: str
    example: str


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(name="length", unit="meter", example='"11.6 m", "38 ft" or "38 ft 6 in"'),
        Kind(name="film", unit="micrometer", example='"75 um" or "3 mil"'),
        Kind(name="area", unit="meter ** 2", example='"32 m2" or "344 ft2"'),
        Kind(name="volume", unit="liter", example='"3.8 L" or "1 US gal"'),
        Kind(name="displacement", unit="meter ** 3", example='"6.2 m3"'),
        Kind(name="mass", unit="kilogram", example='"6200 kg", "6.2 t" or "13700 lb"'),
        Kind(name="density", unit="kilogram / liter", example='"1.05 kg/L"'),
        Kind(name="temperature", unit="degree_Celsius", example='"20 degC" or "68 degF"'),
        Kind(name="difference", unit="kelvin", example='"3 K" or "5 delta_degF"'),
        Kind(name="duration", unit="hour", example='"80 min" or "1.5 h"'),
        Kind(name="speed", unit="meter / second", example='"4 m/s" or "8 knot"'),
        Kind(name="rate", unit="meter ** 2 / hour", example='"12 m2/h"'),
        Kind(name="fraction", unit="dimensionless", example='"85 %" or 0.85'),
        Kind(name="angle", unit="degree", example='"220 deg"'),
    )
}


@lru_cache(maxsize=1)
def registry() -> Any:
    """The pint registry, made on first use (importing pint costs a tenth of a second)."""
    import pint

    made: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=False, cache_folder=None)
    return made


_SPELLINGS = (
    (
        re.compile(r"\bUS\s+(gal(lons?)?|qt|quarts?|pt|pints?|fl\.?\s*oz)\b", re.I),
        lambda m: {"g": "gallon", "q": "quart", "p": "pint", "f": "fluid_ounce"}[m.group(1)[0].lower()],
    ),
    (re.compile(r"\b(m|ft|cm|mm|in)([23])\b"), lambda m: f"{m.group(1)}**{m.group(2)}"),
    (re.compile(r"\bt\b"), lambda _: "tonne"),
    (re.compile(r"°\s*([CF])"), lambda m: f"deg{m.group(1)}"),
    (re.compile(r"µm|μm"), lambda _: "um"),
    (re.compile(r"\b(kn|kt|kts)\b"), lambda _: "knot"),
    (re.compile(r"\bmils?\b"), lambda _: "thou"),
)
_FEET_INCHES = re.compile(r"""^\s*(\d+)\s*(?:ft|')\s*(\d+(?:\.\d+)?)\s*(?:in|")\s*$""")
_NUMBER_UNIT = re.compile(r"^\s*([+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")


def parse(text: object, kind_name: str, *, where: str) -> float:
    """SI value of a quantity written by a person, for example parse("38 ft", "length", where="boat.length").

    Raises InputError naming `where` when the text is no quantity, has no unit, or a unit of another kind.

    >>> round(parse("38 ft 6 in", "length", where="doc"), 4)
    11.7348
    >>> round(parse("68 degF", "temperature", where="doc"), 6)
    20.0
    """
    kind = KINDS[kind_name]
    if kind_name == "fraction" and isinstance(text, int | float) and not isinstance(text, bool):
        return float(text)
    if not isinstance(text, str):
        raise _refused(where, kind, f"{text!r} without a unit")
    if match := _FEET_INCHES.match(text):
        return _to(float(match[1]) + float(match[2]) / 12.0, "foot", (where, kind, text))
    match = _NUMBER_UNIT.match(text)
    if match is None:
        raise _refused(where, kind, repr(text))
    return _to(float(match[1]), _spelled(match[2]), (where, kind, text))


def _spelled(unit: str) -> str:
    if unit == "%":
        return "percent"
    for pattern, replacement in _SPELLINGS:
        unit = pattern.sub(replacement, unit)
    return unit


def _to(value: float, unit: str, context: tuple[str, Kind, str]) -> float:
    where, kind, text = context
    try:
        measured = registry().Quantity(value, unit)
        return float(measured.to(kind.unit).magnitude)
    except Exception:  # pint raises several unrelated types for what is one thing here: no such unit or another kind
        raise _refused(where, kind, repr(text)) from None


def _refused(where: str, kind: Kind, found: str) -> InputError:
    return InputError(
        Problem(
            where=where,
            found=found,
            allowed=f"a {kind.name} with its unit, such as {kind.example}",
            advice="Write the number and its unit in quotes.",
        )
    )
