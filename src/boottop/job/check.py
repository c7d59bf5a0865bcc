"""Is an event fit to be written down: kind, fields, bounds, zone, times, ids. Asked at the door and nowhere else."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime, timedelta
from math import isfinite

from boottop.base.errors import Problem
from boottop.job.events import EVENT_KINDS, Event, EventKind, Json

BOUNDS: Mapping[str, tuple[float, float]] = {
    "litres": (0.0, 100.0),
    "thrown_l": (0.0, 100.0),
    "batch_c": (-40.0, 80.0),
    "air_c": (-40.0, 80.0),
    "surface_c": (-40.0, 80.0),
    "humidity": (0.0, 1.0),
    "wet_film_um": (0.0, 5000.0),
    "coat": (1, 20),
    "people": (1, 50),
    "grit": (8, 5000),
    "stand_set": (1, 20),
    "bytes": (0, 1_000_000_000),
}
"""Smallest and largest value of each number, ends included, in the unit of its name; what lies outside is a slip of
the thumb or of the unit (common practice, no source)."""

TEXT_MAX = 2000
NAME_MAX = 120
LOTS_MAX = 20
FIRST, LAST = datetime(2000, 1, 1, tzinfo=UTC), datetime(2100, 1, 1, tzinfo=UTC)
AHEAD = timedelta(minutes=1)
"""By how much `happened` may lie after `recorded`: both come from one clock, so a minute only covers rounding."""

_UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-]\d\d:\d\d)")
_HEX = re.compile(r"[0-9a-f]{64}")
NOT_CORRECTED = ("corrects", "strike", "happened")
"""Fields of a correction that say what it does; the others it carries replace those of the event it names."""

_FIELD_TYPES: Mapping[str, str] = {
    name: word.rstrip("?")
    for kind in EVENT_KINDS.values()
    if kind.name != "correction"
    for name, word in kind.fields.items()
}


def event_problems(event: Event) -> list[Problem]:
    """All that is wrong with an event, none if it may be written down.

    It looks at the event alone: whether the batch or event that it names is there is no question of the door, for
    that one may still be on its way from another phone.
    """
    kind = EVENT_KINDS.get(event.kind)
    if kind is None:
        return [_problem("kind", repr(event.kind), ", ".join(EVENT_KINDS), "Choose one of the kinds.")]
    return [*_envelope(event), *_zone(event, kind), *_fields(event, kind)]


def parse_time(text: str) -> datetime | None:
    """Aware UTC of an RFC 3339 text such as 2026-06-02T10:15:00.000Z, None if it is none."""
    if not _TIME.fullmatch(text):
        return None
    try:
        return datetime.fromisoformat(text).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _envelope(event: Event) -> Iterator[Problem]:
    if not _UUID.fullmatch(event.id):
        yield _problem("id", repr(event.id), "a UUID in small letters", "Make the id on the device, once an event.")
    for name, text in (("device", event.device), ("who", event.who)):
        if not 0 < len(text.strip()) <= len(text) <= NAME_MAX:
            yield _problem(name, repr(text[:NAME_MAX]), f"1 to {NAME_MAX} characters", f"Say whose {name} it is.")
    if not 0 <= event.order < 2**53:
        yield _problem("order", str(event.order), "0 or more", "Count the events of a device from 0 up.")
    for name, when in (("happened", event.happened), ("recorded", event.recorded)):
        if when.utcoffset() is None:
            yield _problem(name, when.isoformat(), "a time with its offset from UTC", "Send the time in UTC.")
            return
        if not FIRST <= when < LAST:
            yield _problem(name, when.isoformat(), "a time from 2000 to 2099", "Set the clock of the device.")
    if event.happened > event.recorded + AHEAD:
        yield _problem(
            "happened",
            event.happened.isoformat(),
            f"no later than it was recorded, {event.recorded.isoformat()}",
            "Write down what has happened, not what will.",
        )


def _zone(event: Event, kind: EventKind) -> Iterator[Problem]:
    if event.zone is None:
        if kind.zoned:
            yield _problem("zone", "nothing", "the name of a zone", f"Say where: {kind.label.lower()}.")
    elif not 0 < len(event.zone.strip()) <= len(event.zone) <= NAME_MAX:
        yield _problem("zone", repr(event.zone[:NAME_MAX]), f"1 to {NAME_MAX} characters", "Name a zone of the hull.")


def _fields(event: Event, kind: EventKind) -> Iterator[Problem]:
    known = dict(kind.fields)
    if kind.name == "correction":
        known |= {name: f"{word}?" for name, word in _FIELD_TYPES.items()}
    for name in event.data:
        if name not in known:
            yield _problem(f"data.{name}", "a field that is not known", ", ".join(known), "Leave it out.")
    for name, word in known.items():
        value, optional = event.data.get(name), word.endswith("?")
        if name not in event.data and not optional:
            yield _problem(f"data.{name}", "nothing", _allowed(name, word), "Fill it in.")
        elif name in event.data:
            yield from _field(event, name, word=word, value=value)
    if event.kind == "correction" and event.data.get("corrects") == event.id:
        yield _problem("data.corrects", "its own id", "the id of another event", "Name the event that was wrong.")


def _field(event: Event, name: str, *, word: str, value: Json) -> Iterator[Problem]:
    if value is None and word.endswith("?") and event.kind == "correction" and name not in NOT_CORRECTED:
        return  # takes the field away
    if event.kind == "correction" and name == "happened":
        when = parse_time(value) if isinstance(value, str) else None
        if when is None or not FIRST <= when < LAST:
            allowed = "a time such as 2026-06-02T10:15:00.000Z, 2000 to 2099"
            yield _problem("data.happened", repr(value)[:80], allowed, "Send the time in UTC.")
    elif not _CHECKS[word.rstrip("?").split(":")[0]](name, word.rstrip("?"), value):
        yield _problem(f"data.{name}", repr(value)[:80], _allowed(name, word), "Check the value and its unit.")


def _is_text(name: str, _word: str, value: Json) -> bool:
    if not isinstance(value, str) or not 0 < len(value.strip()) <= len(value) <= TEXT_MAX:
        return False
    return name != "sha256" or _HEX.fullmatch(value) is not None


def _is_number(name: str, _word: str, value: Json) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        return False
    low, high = BOUNDS[name]
    return low <= value <= high


def _is_count(name: str, word: str, value: Json) -> bool:
    return _is_number(name, word, value) and isinstance(value, int | float) and value == int(value)


def _is_choice(_name: str, word: str, value: Json) -> bool:
    return isinstance(value, str) and value in word.split(":", 1)[1].split("|")


def _is_id(_name: str, _word: str, value: Json) -> bool:
    return isinstance(value, str) and _UUID.fullmatch(value) is not None


def _is_lots(_name: str, _word: str, value: Json) -> bool:
    return (
        isinstance(value, dict)
        and len(value) <= LOTS_MAX
        and all(
            0 < len(part) <= NAME_MAX and isinstance(lot, str) and 0 < len(lot.strip()) <= len(lot) <= NAME_MAX
            for part, lot in value.items()
        )
    )


_CHECKS: Mapping[str, Callable[[str, str, Json], bool]] = {
    "text": _is_text,
    "number": _is_number,
    "count": _is_count,
    "choice": _is_choice,
    "id": _is_id,
    "lots": _is_lots,
}


def _allowed(name: str, word: str) -> str:
    plain = word.rstrip("?")
    if name in BOUNDS:
        low, high = BOUNDS[name]
        return f"{'a whole number' if plain == 'count' else 'a number'} from {low:g} to {high:g}"
    if name == "sha256":
        return "64 hexadecimal digits in small letters"
    if plain.startswith("choice:"):
        return " or ".join(plain.split(":", 1)[1].split("|"))
    words = {"text": f"text of 1 to {TEXT_MAX} characters", "id": "the id of an event", "lots": "lot number by part"}
    return words[plain]


def _problem(where: str, found: str, allowed: str, advice: str) -> Problem:  # noqa: PLR0917 four words of one sentence
    return Problem(where=where, found=found, allowed=allowed, advice=advice)
