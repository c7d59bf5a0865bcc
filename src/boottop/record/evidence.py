"""What deviations are found in: the job against its sheet, and the words that one of them is told with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from boottop.coating.sheet import System
from boottop.job.board import BoardTable
from boottop.job.events import Event
from boottop.job.state import Coat, State
from boottop.measure.hull import Hull, Zone
from boottop.record.conditions import Conditions
from boottop.record.facts import Facts, PhotoFact
from boottop.record.film import ZoneFilm, begun_s
from boottop.record.waits import Wait

Weight = Literal["serious", "minor"]
SHEET, PRACTICE = "the product's sheet", "common practice, no source"


@dataclass(frozen=True, kw_only=True)
class Deviation:
    """One place where the job left a rule. `key` stays the same from record to record; `explained` is a person's."""

    key: str
    zone: str | None
    at_s: int | None
    what: str
    found: str
    limit: str
    source: str
    weight: Weight
    explained: str = ""


@dataclass(frozen=True, kw_only=True)
class CoatFacts:
    """One coat with what the rules ask of it."""

    zone: Zone
    system: System
    coat: Coat
    conditions: Conditions
    first: bool


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """All that the rules look at; `events` settled."""

    hull: Hull
    systems: Sequence[System]
    tables: Sequence[BoardTable]
    state: State
    events: Sequence[Event]
    coats: Sequence[CoatFacts]
    waits: Sequence[Wait]
    films: Sequence[ZoneFilm]
    photos: Sequence[PhotoFact]
    facts: Facts
    zone_name: str


def _coat_key(what: str, one: CoatFacts) -> str:
    return f"{what}/{one.zone.name}/{one.system.sheet.name}/{one.coat.coat}"


def of_coat(one: CoatFacts, what: str, *, key: str, found: str, limit: str, source: str = SHEET) -> Deviation:
    return Deviation(
        key=_coat_key(key, one),
        zone=one.zone.name,
        at_s=begun_s(one.coat),
        what=f"{one.system.sheet.name}, coat {one.coat.coat}: {what}",
        found=found,
        limit=limit,
        source=source,
        weight="serious",
    )
