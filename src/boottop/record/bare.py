"""Where the bottom has no film, or less than it should: what the sheet knows, what the log says, what people noted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from boottop.coating.scope import zones_for
from boottop.coating.sheet import System
from boottop.job.state import State
from boottop.measure.hull import Hull
from boottop.measure.inputs import Hidden
from boottop.record.facts import BARE_WORDS, BareKind, BareSpot, Facts
from boottop.record.film import finished_coats

NOTE_BEGINS = "bare"
KIND_OF_HIDING: dict[str, BareKind] = {
    "blocks": "blocks",
    "anode": "fitting",
    "transducer": "fitting",
    "other": "fitting",
}


def bare_spots(
    hull: Hull, hidden: Sequence[Hidden], *, systems: Sequence[System], state: State, facts: Facts
) -> tuple[BareSpot, ...]:
    """Every bare spot of this job: blocks and fittings by the sheet, zones whose coats are not all in the log when she
    is launched, notes of the log that begin with "bare", and what was typed for the record."""
    return (
        *_by_sheet(hidden),
        *_unfinished(hull, systems, state),
        *_noted(state),
        *facts.bare,
    )


def _by_sheet(hidden: Sequence[Hidden]) -> Iterator[BareSpot]:
    for one in hidden:
        kind = KIND_OF_HIDING.get(one.kind)
        if kind is None:  # pads are zones of their own, and told by their coats
            continue
        times = f"{one.count} x " if one.count > 1 else ""
        yield BareSpot(
            zone=one.zone or ("keel sole" if kind == "blocks" else "sides"),
            kind=kind,
            words=f"{times}{one.name}, {BARE_WORDS[kind]}",
            area_m2=one.area_each_m2 * one.count,
            side=one.side,
        )


def _unfinished(hull: Hull, systems: Sequence[System], state: State) -> Iterator[BareSpot]:
    if state.launched_s is None:
        return
    for system in systems:
        for zone in zones_for(system, hull):
            done = len(finished_coats(state, zone.name, system.sheet.name))
            if done < system.coats:
                kind: BareKind = "pads" if zone.kind == "pads" else "other"
                words = "no coat" if done == 0 else f"{done} of {system.coats} coats"
                yield BareSpot(
                    zone=zone.name,
                    kind=kind,
                    words=f"{words} of {system.sheet.name} in the log",
                    area_m2=zone.area_m2,
                    side=zone.side,
                    source="log",
                )


def _noted(state: State) -> Iterator[BareSpot]:
    for note in state.notes:
        text = note.text.strip()
        if text.lower().startswith(NOTE_BEGINS):
            kind: BareKind = "slings" if "sling" in text.lower() else "other"
            yield BareSpot(zone=note.zone or "whole boat", kind=kind, words=text, source=f"log, {note.who}")
