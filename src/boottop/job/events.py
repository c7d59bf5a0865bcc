"""Events of a job: what is written down under the hull. Append-only; a correction is an event of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

Json = str | int | float | bool | None | list["Json"] | dict[str, "Json"]


@dataclass(frozen=True, kw_only=True)
class Event:
    """One thing that happened, as the device that recorded it has it.

    `id`: UUID made on that device; the same id again is the same event. `kind`: a key of EVENT_KINDS. `happened` and
    `recorded`: aware UTC, when it took place and when it was typed. `device` and `order`: the device and its own
    running number. `who`: the person's name. `data`: fields of the kind, SI units in their names.
    """

    id: str
    kind: str
    happened: datetime
    recorded: datetime
    device: str
    order: int
    who: str
    zone: str | None = None
    data: Mapping[str, Json] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class EventKind:
    """One kind of event: its label, whether it belongs to a zone, and its fields (name to type word).

    Type words: "text", "number", "count", "choice:a|b", "id", "lots" (part name to lot number). A "?" at the end
    makes the field optional.
    """

    name: str
    label: str
    zoned: bool
    fields: Mapping[str, str]


EVENT_KINDS: Mapping[str, EventKind] = {
    name: EventKind(name=name, label=label, zoned=zoned, fields=fields)
    for name, label, zoned, fields in (
        ("hauled_out", "Hauled out", False, {}),
        ("washed", "Washed", False, {}),
        ("stripped", "Stripped", True, {}),
        ("abraded", "Abraded", True, {"grit": "count?"}),
        ("masked", "Masked", True, {}),
        ("wiped", "Wiped clean", True, {"cleaner": "text?"}),
        ("batch_mixed", "Batch mixed", False,
         {"product": "text", "kit": "text?", "lots": "lots?", "litres": "number", "batch_c": "number?"}),
        ("batch_done", "Batch used up or thrown away", False, {"batch": "id", "thrown_l": "number?"}),
        ("coat_started", "Coat started", True, {"product": "text", "coat": "count", "people": "count?"}),
        ("coat_finished", "Coat finished", True,
         {"product": "text", "coat": "count", "people": "count?", "litres": "number?"}),
        ("touch_test", "Touch test", True,
         {"product": "text", "coat": "count", "verdict": "choice:wet|tacky|past tacky"}),
        ("reading", "Reading", False,
         {"air_c": "number?", "humidity": "number?", "surface_c": "number?", "wet_film_um": "number?"}),
        ("rain", "Rain", False, {"what": "choice:began|ended"}),
        ("stands_moved", "Stands moved", False, {"stand_set": "count"}),
        ("other_work", "Other work done", False, {"work": "text"}),
        ("activated", "Sanded to bare copper", True, {"grit": "count?"}),
        ("launched", "Launched", False, {}),
        ("photo", "Photograph", False, {"sha256": "text", "name": "text", "bytes": "count"}),
        ("note", "Note", False, {"text": "text"}),
        ("correction", "Correction", False, {"corrects": "id", "strike": "choice:yes|no", "happened": "text?"}),
    )
}  # fmt: skip
"""A reading may carry a zone (its surface and film are that zone's); `humidity` is a fraction. `work` of other work is
its name in the job sheet (anodes, seacocks, bearings: whatever is no part of the coating). A correction strikes
the event it names, or replaces its time, zone and the fields that it carries itself."""
