"""Events and the board table as plain JSON values and back; state and next steps as plain JSON values.

Every dataclass becomes an object with its own field names, a tuple a list, a mapping an object. Times of events are
RFC 3339 in UTC to the millisecond, "2026-06-02T10:15:00.000Z"; all other times are whole epoch seconds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import datetime, timedelta
from itertools import chain, repeat
from typing import Any

from boottop.base.errors import InputError, Problem
from boottop.job.board import BoardStock, BoardSystem, BoardTable, BoardTask, BoardZone
from boottop.job.check import parse_time
from boottop.job.events import Event, Json

EVENT_KEYS = ("id", "kind", "happened", "recorded", "device", "order", "who", "zone", "data")
MARKS = ("ready", "ready_middle", "overcoat_until", "rain_safe", "stands_safe", "immersion")
LEVELS = ("rule", "rain_mm", "margin_k", "surface_c")
"""Lists of the board table that are sent as runs: those by mark as [value - index, length], the others as
[value, length]."""


def event_dict(event: Event) -> dict[str, Json]:
    """An event as JSON, keys as in EVENT_KEYS, times cut to the millisecond."""
    return {
        "id": event.id,
        "kind": event.kind,
        "happened": time_text(event.happened),
        "recorded": time_text(event.recorded),
        "device": event.device,
        "order": event.order,
        "who": event.who,
        "zone": event.zone,
        "data": dict(event.data),
    }


def event_of(found: Mapping[str, Json]) -> Event:
    """An event from JSON; InputError where a key is missing, strange or of the wrong type. Put `event_problems` to
    what comes out."""
    problems = [
        Problem(where=f"event.{key}", found="nothing" if missing else "a key that is not known",
                allowed=", ".join(EVENT_KEYS), advice="Send an event with exactly these keys.")
        for missing, keys in ((True, [k for k in EVENT_KEYS if k not in found]),
                              (False, [k for k in found if k not in EVENT_KEYS]))
        for key in keys
    ]  # fmt: skip
    if problems:
        raise InputError(problems)
    times = {key: parse_time(str(found[key])) for key in ("happened", "recorded")}
    problems += [
        Problem(where=f"event.{key}", found=repr(found[key])[:80], allowed="a time such as 2026-06-02T10:15:00.000Z",
                advice="Send the time in UTC.")
        for key, when in times.items() if when is None
    ]  # fmt: skip
    problems += _wrong_types(found)
    happened, recorded = times["happened"], times["recorded"]
    if problems or happened is None or recorded is None:
        raise InputError(problems)
    zone, data, order = found["zone"], found["data"], found["order"]
    return Event(
        id=str(found["id"]),
        kind=str(found["kind"]),
        happened=_whole(happened),
        recorded=_whole(recorded),
        device=str(found["device"]),
        order=order if isinstance(order, int) else 0,
        who=str(found["who"]),
        zone=None if zone is None else str(zone),
        data=data if isinstance(data, dict) else {},
    )


def _wrong_types(found: Mapping[str, Json]) -> list[Problem]:
    wanted: Mapping[str, tuple[type, ...]] = {
        "id": (str,), "kind": (str,), "device": (str,), "order": (int,), "who": (str,), "zone": (str, type(None)),
        "data": (dict,),
    }  # fmt: skip
    words = {str: "text", int: "a whole number", dict: "an object", type(None): "null"}
    return [
        Problem(where=f"event.{key}", found=repr(found[key])[:80], allowed=" or ".join(words[t] for t in types),
                advice="Send this key with a value of that type.")
        for key, types in wanted.items()
        if not isinstance(found[key], types) or isinstance(found[key], bool)
    ]  # fmt: skip


def time_text(when: datetime) -> str:
    """RFC 3339 in UTC to the millisecond, cut off, not rounded."""
    return when.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _whole(when: datetime) -> datetime:
    return when - timedelta(microseconds=when.microsecond % 1000)


def plain(value: object) -> Json:
    """Any of this room's dataclasses as JSON values."""
    if value is None or isinstance(value, str | int | float | bool):
        return value
    if is_dataclass(value):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, Sequence):
        return [plain(one) for one in value]
    raise TypeError(f"{type(value).__name__} has no JSON form")


def table_dict(table: BoardTable) -> dict[str, Json]:
    """The board table as JSON; its long lists as runs, see MARKS and LEVELS."""
    found = plain(table)
    assert isinstance(found, dict)
    found["rain_mm"] = _level_runs(table.rain_mm)
    found["zones"] = [
        {**_object(plain(zone)), "systems": [_system_dict(system) for system in zone.systems]} for zone in table.zones
    ]
    return found


def _system_dict(system: BoardSystem) -> dict[str, Json]:
    found = _object(plain(system))
    found |= {name: _mark_runs(getattr(system, name)) for name in MARKS}
    found |= {name: _level_runs(getattr(system, name)) for name in LEVELS if name != "rain_mm"}
    return found


def _object(value: Json) -> dict[str, Json]:
    assert isinstance(value, dict)
    return value


def _mark_runs(marks: Sequence[int]) -> Json:
    return _level_runs([mark - index for index, mark in enumerate(marks)])


def _level_runs(values: Iterable[float]) -> Json:
    runs: list[list[Json]] = []
    length, last = 0, None
    for value in values:
        if length and value == last:
            length += 1
            runs[-1][1] = length
        else:
            length, last = 1, value
            runs.append([value, 1])
    return list(runs)


def table_of(found: Mapping[str, Any]) -> BoardTable:
    """The board table from JSON as `table_dict` writes it; what is not so is a fault of our own."""
    parts = dict(found)
    parts["rain_mm"] = _levels(found["rain_mm"])
    parts["zones"] = tuple(_zone_of(zone) for zone in found["zones"])
    parts["tasks"] = tuple(BoardTask(**task) for task in found["tasks"])
    parts["stock"] = tuple(_stock_of(stock) for stock in found["stock"])
    for name in ("rules", "midnights"):
        parts[name] = tuple(found[name])
    return BoardTable(**parts)


def _stock_of(found: Mapping[str, Any]) -> BoardStock:
    return BoardStock(**{**found, "parts": tuple(found.get("parts", ()))})


def _zone_of(found: Mapping[str, Any]) -> BoardZone:
    parts = dict(found)
    parts["systems"] = tuple(_system_of(system) for system in found["systems"])
    parts["steps"] = tuple(found["steps"])
    return BoardZone(**parts)


def _system_of(found: Mapping[str, Any]) -> BoardSystem:
    parts = dict(found)
    parts |= {name: tuple(lag + index for index, lag in enumerate(_levels(found[name]))) for name in MARKS}
    parts |= {name: _levels(found[name]) for name in LEVELS if name != "rain_mm"}
    parts["pot_life_min"] = tuple((float(at_c), float(minutes)) for at_c, minutes in found["pot_life_min"])
    parts["sheltered"] = tuple(found["sheltered"])
    return BoardSystem(**parts)


def _levels(runs: Iterable[Sequence[Any]]) -> tuple[Any, ...]:
    return tuple(chain.from_iterable(repeat(value, length) for value, length in runs))
