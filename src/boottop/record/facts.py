"""What a record holds beside log and sheet: papers of the boat, lots and their shelf life, bare spots, reasons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

BareKind = Literal["pads", "blocks", "slings", "fitting", "other"]
BARE_WORDS: Mapping[BareKind, str] = {
    "pads": "under a stand's pad",
    "blocks": "on the keel blocks",
    "slings": "under a sling",
    "fitting": "left bare on purpose",
    "other": "bare",
}


@dataclass(frozen=True, kw_only=True)
class Lot:
    """A lot of one part of a product; `best_before` is the date on the tin, ISO, None where none is written there."""

    product: str
    part: str
    lot: str
    best_before: str | None = None


@dataclass(frozen=True, kw_only=True)
class BareSpot:
    """A spot without its film. `station_m` aft of the fore end of the waterline, `girth_m` down from the waterline,
    None where nobody measured. `source`: who says so (log, sheet, a person)."""

    zone: str
    kind: BareKind
    words: str
    area_m2: float | None = None
    station_m: float | None = None
    girth_m: float | None = None
    side: str = "centre"
    source: str = "sheet"


@dataclass(frozen=True, kw_only=True)
class Facts:
    """Typed for the record. `papers`: words by name (hull number, owner, contractor ...). `explained`: words by the
    key of a deviation. `least_film_um`: film at which the bottom is due, None for one coat's."""

    papers: Mapping[str, str] = field(default_factory=dict)
    lots: tuple[Lot, ...] = ()
    bare: tuple[BareSpot, ...] = ()
    explained: Mapping[str, str] = field(default_factory=dict)
    least_film_um: float | None = None


@dataclass(frozen=True, kw_only=True)
class PhotoFact:
    """A photograph: `taken_s` by the clock of the log, `camera_s` by the camera's own (None: it says nothing).

    `clock_words`: what is to be said where the two disagree; `words`: format and size, or why it cannot be shown.
    """

    sha256: str
    name: str
    taken_s: int
    zone: str | None
    who: str
    size_bytes: int
    words: str
    shown: bool
    camera_s: int | None = None
    clock_words: str = ""


@dataclass(frozen=True, kw_only=True)
class ChainEnd:
    """The end of the log's chain of hashes: number of events, hash of the last, and what was found wrong."""

    events: int
    head: str
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class BoatPapers:
    """The boat and the yard as the sheet has them."""

    name: str
    length_m: float
    waterline_m: float
    beam_m: float | None
    draft_m: float | None
    displacement_kg: float | None
    yard: str
    zone_name: str
    job: str
    people: int
    notes: tuple[str, ...] = ()
