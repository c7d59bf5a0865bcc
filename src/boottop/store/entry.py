"""An event as a row of the log: checked, with the one text that is compared and hashed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import RowMapping

from boottop.base.errors import Problem
from boottop.job.events import Event
from boottop.store.canonical import INTEGER_MAX, canonical, read
from boottop.store.tables import utc_text

FIRST_LINK = "0" * 64
"""What the first event of a job is chained to."""
EVENT_BYTES_MAX = 65_536
NAME_LENGTH_MAX = 200


@dataclass(frozen=True, kw_only=True)
class Logged:
    """An event in the log: its place `seq` (1, 2, 3 ... within the job), when the store received it, its link."""

    seq: int
    received: datetime
    event: Event
    chain: str


@dataclass(frozen=True, kw_only=True)
class Entry:
    """An event ready to be written: its columns, and its text without what the store itself adds."""

    columns: Mapping[str, Any]
    text: str


def entry_of(event: Event) -> Entry | Problem:
    """The row of an event, or what is wrong with it: a bad event never stops the ones beside it."""
    try:
        columns = _columns(event)
        text = entry_text(columns)
    except (ValueError, OverflowError) as error:
        return _problem(event, str(error))
    size = len(text.encode())
    if size > EVENT_BYTES_MAX:
        return _problem(event, f"{size} bytes, more than {EVENT_BYTES_MAX}")
    return Entry(columns=columns, text=text)


def entry_text(row: Mapping[str, Any] | RowMapping) -> str:
    """Canonical JSON of an event from its columns (times may be the texts that they are kept as)."""
    zone = "null" if row["zone"] is None else canonical(row["zone"])
    return (
        f'{{"data":{row["data"]},"device":{canonical(row["device"])},"happened":{_time(row["happened"])},'
        f'"id":{canonical(row["id"])},"kind":{canonical(row["kind"])},"order":{row["device_order"]},'
        f'"recorded":{_time(row["recorded"])},"who":{canonical(row["who"])},"zone":{zone}}}'
    )


def link(previous: str, text: str, *, job: str, received: datetime | str) -> str:
    """Hash of an entry: SHA-256 (FIPS 180-4) over the hash before it and the canonical JSON of what is logged."""
    logged = f'{{"event":{text},"job":{canonical(job)},"received":{_time(received)}}}'
    return hashlib.sha256((previous + logged).encode()).hexdigest()


def logged_of(row: RowMapping) -> Logged:
    """The event of a row."""
    event = Event(
        id=row["id"],
        kind=row["kind"],
        happened=row["happened"],
        recorded=row["recorded"],
        device=row["device"],
        order=row["device_order"],
        who=row["who"],
        zone=row["zone"],
        data=read(row["data"]),
    )
    return Logged(seq=row["seq"], received=row["received"], event=event, chain=row["chain"])


def _columns(event: Event) -> dict[str, Any]:
    _check_id(event.id)
    for name, text in (("kind", event.kind), ("device", event.device), ("who", event.who), ("zone", event.zone or "")):
        if len(text) > NAME_LENGTH_MAX:
            raise ValueError(f"{name} of {len(text)} characters, more than {NAME_LENGTH_MAX}")
    if not 0 <= event.order <= INTEGER_MAX:
        raise ValueError(f"order {event.order}, not between 0 and {INTEGER_MAX}")
    for name, when in (("happened", event.happened), ("recorded", event.recorded)):
        if when.utcoffset() is None:
            raise ValueError(f"{name} {when.isoformat()}, a time without its offset from UTC")
    return {
        "id": event.id,
        "kind": event.kind,
        "happened": event.happened,
        "recorded": event.recorded,
        "device": event.device,
        "device_order": int(event.order),
        "who": event.who,
        "zone": event.zone,
        "data": canonical(event.data),
    }


def _check_id(text: str) -> None:
    try:
        good = str(UUID(text)) == text
    except ValueError:
        good = False
    if not good:
        raise ValueError("an id that is no UUID in small letters")


def _time(when: datetime | str) -> str:
    return f'"{when if isinstance(when, str) else utc_text(when)}"'


def _problem(event: Event, found: str) -> Problem:
    return Problem(
        where=f"event {event.id[:64]!r} ({event.kind[:64]})",
        found=found,
        allowed=f"a UUID, aware times, plain JSON data, {EVENT_BYTES_MAX} bytes in all",
        advice="Nothing of this event was written. Look at it on the device that made it and log it anew.",
    )
