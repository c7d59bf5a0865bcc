"""Events for tests of the board's rule, written as briefly as on a slip of paper; and strategies of whole logs."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from uuid import UUID

from hypothesis import strategies as st

from boottop.job.conformance_tables import START, tables
from boottop.job.events import Event, Json

FAIR, MIXED = tables()
PORT, GEAR, PADS = (zone.name for zone in FAIR.zones)
COPPER, UNDER = "hull copper", "undercoat"
MORNING = START + timedelta(hours=11)
"""Eleven in the morning of the first day of the tables."""


def ident(number: int) -> str:
    """The same UUID for the same number."""
    return str(UUID(int=number, version=4))


def made(number: int, kind: str, zone: str | None = None, **data: Json) -> Event:
    """Event `number`, written down at its minute of the morning."""
    return at(MORNING + timedelta(minutes=number), number, kind, zone=zone, **data)


def at(when: datetime, number: int, kind: str, *, zone: str | None = None, **data: Json) -> Event:
    """Event `number` at a moment."""
    return Event(
        id=ident(number),
        kind=kind,
        happened=when,
        recorded=when,
        device="phone-1",
        order=number,
        who="Ana",
        zone=zone,
        data=data,
    )


def correction(number: int, of: Event | int, *, strike: bool = False, zone: str | None = None, **data: Json) -> Event:
    """Correction `number` of an event, or of the event of a number."""
    corrects = of.id if isinstance(of, Event) else ident(of)
    return made(number, "correction", zone, corrects=corrects, strike="yes" if strike else "no", **data)


def s(when: datetime) -> int:
    """Whole epoch seconds."""
    return int(when.timestamp())


_COAT: dict[str, st.SearchStrategy[Json]] = {"product": st.sampled_from([COPPER, UNDER]), "coat": st.integers(1, 3)}
_NUMBER = st.floats(0.5, 30.0, allow_nan=False).map(lambda value: round(value, 2))
_FIELDS: dict[str, dict[str, st.SearchStrategy[Json]]] = {
    "hauled_out": {},
    "washed": {},
    "launched": {},
    "stripped": {},
    "abraded": {"grit": st.sampled_from([80, 120])},
    "wiped": {},
    "activated": {},
    "batch_mixed": {"product": _COAT["product"], "litres": _NUMBER},
    "batch_done": {"batch": st.integers(0, 30).map(ident), "thrown_l": st.sampled_from([0.0, 0.2])},
    "coat_started": {**_COAT, "people": st.integers(1, 3)},
    "coat_finished": {**_COAT, "litres": _NUMBER},
    "touch_test": {**_COAT, "verdict": st.sampled_from(["wet", "tacky", "past tacky"])},
    "reading": {"air_c": _NUMBER, "humidity": st.sampled_from([0.4, 0.8]), "surface_c": _NUMBER},
    "rain": {"what": st.sampled_from(["began", "ended"])},
    "stands_moved": {"stand_set": st.integers(1, 2)},
    "note": {"text": st.sampled_from(["a", "b"])},
    "correction": {
        "corrects": st.integers(0, 30).map(ident),
        "strike": st.sampled_from(["yes", "no"]),
        "litres": st.sampled_from([1.25, None]),
        "happened": st.integers(0, 300).map(
            lambda minutes: (MORNING - timedelta(minutes=minutes)).isoformat().replace("+00:00", "Z")
        ),
    },
}
OPTIONAL = {"grit", "thrown_l", "people", "litres", "air_c", "humidity", "surface_c", "happened"}


@st.composite
def one_event(draw: st.DrawFn, number: int, *, of: str | None = None) -> Event:
    """An event of any kind, its optional fields there or not, its time in any order to its number."""
    kind = of or draw(st.sampled_from(sorted(_FIELDS)))
    needed = {"litres"} if kind == "batch_mixed" else set()
    data = {
        name: draw(field)
        for name, field in _FIELDS[kind].items()
        if name not in OPTIONAL - needed or draw(st.booleans())
    }
    zoned = kind in ("stripped", "abraded", "wiped", "activated", "coat_started", "coat_finished", "touch_test")
    zone = draw(st.sampled_from([PORT, GEAR])) if zoned or (kind == "reading" and draw(st.booleans())) else None
    happened = MORNING + timedelta(seconds=draw(st.integers(-20_000, 20_000)))
    late = timedelta(seconds=draw(st.sampled_from([0, 0, 1, 9000])))
    device = draw(st.sampled_from(["phone-1", "phone-2"]))
    event = at(happened, number, kind, zone=zone, **data)
    return replace(event, recorded=happened + late, device=device)


@st.composite
def logs(draw: st.DrawFn, *, most: int = 14) -> list[Event]:
    """A log of events with ids of their own; corrections name any of them, themselves left out, or none."""
    count = draw(st.integers(0, most))
    found = [draw(one_event(number)) for number in range(count)]
    return [event for event in found if event.data.get("corrects") != event.id]
