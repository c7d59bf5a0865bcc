"""The log as Signal K deltas, one JSON object a line (or one list): speeds, revolutions, fuel and wind of her own.

Paths and units as in the Signal K specification (open data, CC BY-SA; read in samples): SI, angles in radians,
revolutions in hertz, fuel rate in m3/s.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

from boottop.files.cost_log_bins import Bins, LogHow, Parsed

_PLAIN = {
    "navigation.speedThroughWater": ("water_m_s", 1.0),
    "navigation.speedOverGround": ("ground_m_s", 1.0),
}
_WIND = {
    "environment.wind.speedTrue": ("wind_m_s", 1.0, True),
    "environment.wind.angleTrueWater": ("wind_deg", 180.0 / math.pi, True),
    "environment.wind.speedApparent": ("wind_m_s", 1.0, False),
    "environment.wind.angleApparent": ("wind_deg", 180.0 / math.pi, False),
}
_ENGINE = re.compile(r"propulsion\.([^.]+)\.(revolutions|fuel\.rate)")
_ENGINE_FIELDS = {"revolutions": ("rev_s", 1.0), "fuel.rate": ("fuel_l_h", 3.6e6)}


def read(text: str, name: str, how: LogHow) -> Parsed:
    """Moments of a log of deltas; other vessels and what cannot be read are passed over and counted."""
    bins, passed = Bins(), [0]
    readings = _own(_deltas(text, passed))
    true_wind = any(path in _WIND and _WIND[path][2] for _, path, _ in readings)
    for time_s, path, value in readings:
        if path in _PLAIN:
            field, factor = _PLAIN[path]
            bins.put(time_s, field, value * factor)
        elif path in _WIND and _WIND[path][2] == true_wind:
            bins.put(time_s, _WIND[path][0], value * _WIND[path][1])
        elif match := _ENGINE.fullmatch(path):
            field, factor = _ENGINE_FIELDS[match[2]]
            bins.put(time_s, field, value * factor, source=match[1])
    notes = (f"{name}: {passed[0]} lines that are no Signal K passed over",) if passed[0] else ()
    return bins.parsed(wind_is_apparent=not true_wind, notes=notes)


def _own(deltas: Iterator[dict[str, Any]]) -> list[tuple[float, str, float]]:
    """Readings of the boat herself: of contexts that log an engine or an impeller, which other vessels' do not."""
    by_context: dict[str, list[tuple[float, str, float]]] = {}
    for delta in deltas:
        by_context.setdefault(str(delta.get("context", "vessels.self")), []).extend(_readings(delta))
    return [
        reading
        for found in by_context.values()
        if any(path.startswith("propulsion.") or path == "navigation.speedThroughWater" for _, path, _ in found)
        for reading in found
    ]


def _deltas(text: str, passed: list[int]) -> Iterator[dict[str, Any]]:
    pieces = [text] if text.lstrip().startswith("[") else text.split("\n")
    for piece in pieces:
        if not piece.strip():
            continue
        try:
            found: Any = json.loads(piece)
        except (ValueError, RecursionError):
            passed[0] += 1
            continue
        for one in found if isinstance(found, list) else [found]:
            if isinstance(one, dict):
                yield one


def _readings(delta: dict[str, Any]) -> Iterator[tuple[float, str, float]]:
    """Time, path and value of every number in a delta."""
    for update in _objects(delta.get("updates")):
        time_s = _time_s(update.get("timestamp"))
        for one in _objects(update.get("values")):
            value = one.get("value")
            if time_s is not None and isinstance(value, int | float) and not isinstance(value, bool):
                yield time_s, str(one.get("path")), float(value)


def _objects(value: Any) -> list[dict[str, Any]]:
    return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []


def _time_s(text: Any) -> float | None:
    """Epoch seconds of an RFC 3339 time; without an offset it is UTC, as the specification has it."""
    try:
        moment = datetime.fromisoformat(str(text))
    except ValueError:
        return None
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()
