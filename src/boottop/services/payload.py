"""Taking answers apart without trust: what is missing, of another kind or in another unit is refused by its name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from boottop.files.weather.columns import BY_FIELD, to_si
from boottop.files.weather.table import HOUR_S
from boottop.services.failure import ServiceError, failed

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CHANGED = "The service may have changed its answers: look for a newer boottop, or give a weather file with --weather."
MAX_HOURS = 200_000
_FIRST, _LAST = datetime(1901, 1, 1, tzinfo=UTC), datetime(2199, 1, 1, tzinfo=UTC)
# How the services spell their units, and how our own columns spell the same.
SPELLINGS = {
    "celsius": "degC", "°C": "degC", "degC": "degC", "wmoUnit:degC": "degC", "unit:degC": "degC",
    "fahrenheit": "degF", "°F": "degF", "wmoUnit:degF": "degF", "unit:degF": "degF",
    "K": "K", "wmoUnit:K": "K", "unit:K": "K",
    "m/s": "m/s", "wmoUnit:m_s-1": "m/s", "unit:m_s-1": "m/s",
    "km/h": "km/h", "wmoUnit:km_h-1": "km/h", "unit:km_h-1": "km/h",
    "mp/h": "mph", "mph": "mph", "kn": "knot", "kt": "knot", "wmoUnit:kt": "knot",
    "mm": "mm", "wmoUnit:mm": "mm", "unit:mm": "mm", "kg/m2": "mm", "inch": "inch",
    "%": "%", "wmoUnit:percent": "%", "unit:percent": "%", "1": "1", "octas": "okta",
    "hPa": "hPa", "wmoUnit:hPa": "hPa", "Pa": "Pa", "wmoUnit:Pa": "Pa", "unit:Pa": "Pa",
    "W/m²": "W/m2", "W/m2": "W/m2",
}  # fmt: skip


def dig(payload: object, path: Sequence[str], *, title: str) -> object:
    """What lies at the keys of `path`; refused when it is not there."""
    found = payload
    for depth, key in enumerate(path):
        if not isinstance(found, Mapping) or key not in found:
            raise _changed(title, f"no {'.'.join(path[: depth + 1])} in the answer")
        found = found[key]
    return found


def mapping(value: object, what: str, *, title: str) -> Mapping[str, object]:
    """A JSON object."""
    if not isinstance(value, Mapping):
        raise _changed(title, f"{what} is {_kind(value)}, not an object")
    return value


def sequence(value: object, what: str, *, title: str) -> Sequence[object]:
    """A JSON list, not empty and not endless."""
    if not isinstance(value, list) or not 0 < len(value) <= MAX_HOURS:
        raise _changed(title, f"{what} is {_kind(value)}, not a list of 1 to {MAX_HOURS} items")
    return value


def number(value: object, what: str, *, title: str) -> float:
    """A JSON number, NaN for null."""
    if value is None:
        return float("nan")
    if isinstance(value, bool) or not isinstance(value, int | float) or abs(value) > 1e12:
        raise _changed(title, f"{what} is {_kind(value)}, not a number")
    return float(value)


def numbers(value: object, what: str, *, title: str) -> Floats:
    """A JSON list of numbers, NaN for null."""
    return np.array([number(item, what, title=title) for item in sequence(value, what, title=title)], dtype=np.float64)


def instant_s(value: object, what: str, *, title: str) -> int:
    """Epoch seconds of a time with its offset on a whole hour.

    >>> instant_s("2022-02-03T16:00:00-05:00", "time", title="example")
    1643922000
    """
    when = moment(value, what, title=title)
    epoch_s = int(when.timestamp())
    if when.microsecond or epoch_s % HOUR_S:
        raise _changed(title, f"{what} {value!r}, not on a whole hour")
    return epoch_s


def moment(value: object, what: str, *, title: str) -> datetime:
    """A time with its offset, in UTC; a time without one is refused."""
    try:
        when = datetime.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        when = None
    if when is None or when.tzinfo is None or not _FIRST.year < when.year < _LAST.year:
        raise _changed(title, f"{what} {str(value)[:40]!r}, not a time with its offset")
    return when.astimezone(UTC)


def wall_s(value: object, offset_s: float, *, title: str) -> int:
    """Epoch seconds of a local time without an offset, which stands `offset_s` ahead of UTC.

    >>> wall_s("2026-10-03T02:00", 7200, title="example") == instant_s("2026-10-03T00:00Z", "time", title="example")
    True
    """
    try:
        wall = datetime.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        wall = None
    if wall is None or wall.tzinfo is not None or not _FIRST.year < wall.year < _LAST.year:
        raise _changed(title, f"time {str(value)[:40]!r}, not a local time without an offset")
    utc = wall.replace(tzinfo=UTC) - timedelta(seconds=offset_s)
    return instant_s(utc.isoformat(), "time", title=title)


def in_si(field: str, unit: object, values: Floats, *, title: str) -> Floats:
    """Values in SI, by the unit that the answer itself states; one that is not known for the quantity is refused."""
    column = BY_FIELD[field]
    ours = SPELLINGS.get(unit) if isinstance(unit, str) else None
    if ours is None or ours not in dict(column.units):
        known = sorted(spelling for spelling, name in SPELLINGS.items() if name in dict(column.units))
        raise failed(
            f"{title}, {column.name}", f"the unit {str(unit)[:40]!r}", allowed=", ".join(known), advice=CHANGED
        )
    return to_si(column, ours, values)


def _changed(title: str, found: str) -> ServiceError:
    return failed(title, found, allowed="an answer as the service documents it", advice=CHANGED)


def _kind(value: object) -> str:
    if isinstance(value, Mapping):
        return "an object"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    return "text" if isinstance(value, str) else repr(str(value)[:20])
