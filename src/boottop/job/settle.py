"""What the log says once doubles are dropped and corrections are applied, whatever the order in which it came."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from boottop.job.check import NOT_CORRECTED, parse_time
from boottop.job.events import Event

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MS = timedelta(milliseconds=1)


@dataclass(frozen=True, kw_only=True)
class Settled:
    """The log put right.

    `events`: what counts, with corrections applied and without the corrections themselves, in order of (happened,
    recorded, id). `struck`: ids of events that no longer count. `corrected_by`: id of an event or correction to the
    id of the correction that holds for it. `lost`: corrections that reach no event. `doubled`: events
    whose id came with other contents too.
    """

    events: tuple[Event, ...]
    struck: tuple[str, ...]
    corrected_by: dict[str, str]
    lost: tuple[Event, ...]
    doubled: tuple[Event, ...]


def ms(when: datetime) -> int:
    """Whole epoch milliseconds, cut off."""
    return (when - EPOCH) // _MS


def settle(events: Iterable[Event]) -> Settled:
    """Put a log right: the same answer for every order and for every number of copies.

    1. Of events with one id, the one recorded first counts (then the earliest, then the smallest by its other keys).
    2. Every correction names one event or another correction. Those whose chain of names ends at an event count;
       those that end nowhere or run in a ring are lost, until the event comes.
    3. From the far end of the chains inwards: of the corrections of one event that are not struck themselves, the one
       recorded last (then with the largest id) holds, alone. `strike` "yes" takes the event out; "no" replaces its
       time, its zone and each field that the correction carries (a null takes the field away). A correction of a
       correction changes what that one carries; its strike undoes it.
    """
    kept, doubled = _without_doubles(events)
    corrections = {event.id: event for event in kept.values() if event.kind == "correction"}
    depth = _depths(kept, corrections)
    lost = sorted(one for one in corrections if one not in depth)
    now, struck, by = dict(kept), set[str](), dict[str, str]()
    named: dict[str, list[str]] = {}
    for one in depth:
        named.setdefault(_target(corrections[one]), []).append(one)
    for target in sorted(named, key=lambda target: depth.get(target, 0), reverse=True):
        live = [one for one in named[target] if one not in struck]
        if not live:
            continue
        holds = now[max(live, key=lambda one: (ms(kept[one].recorded), one))]
        by[target] = holds.id
        if holds.data.get("strike") == "yes":
            struck.add(target)
        else:
            now[target] = _corrected(now[target], holds)
    counting = [event for one, event in now.items() if one not in corrections and one not in struck]
    return Settled(
        events=tuple(sorted(counting, key=_in_time)),
        struck=tuple(sorted(one for one in struck if one not in corrections)),
        corrected_by=by,
        lost=tuple(kept[one] for one in lost),
        doubled=tuple(kept[one] for one in sorted(doubled)),
    )


def _without_doubles(events: Iterable[Event]) -> tuple[dict[str, Event], set[str]]:
    kept: dict[str, Event] = {}
    doubled: set[str] = set()
    for event in events:
        known = kept.setdefault(event.id, event)
        if known is not event and known != event:
            doubled.add(event.id)
            kept[event.id] = min(known, event, key=_first)
    return kept, doubled


def _first(event: Event) -> tuple[int, int, str, str, int, str, str, str]:
    data = json.dumps(dict(event.data), sort_keys=True)
    return (
        ms(event.recorded), ms(event.happened), event.kind, event.device, event.order, event.who, event.zone or "", data
    )  # fmt: skip


def _in_time(event: Event) -> tuple[int, int, str]:
    return ms(event.happened), ms(event.recorded), event.id


def _target(correction: Event) -> str:
    return str(correction.data.get("corrects"))


def _depths(kept: dict[str, Event], corrections: dict[str, Event]) -> dict[str, int]:
    """How many steps each correction is from the event at the end of its chain; those that reach none are left out."""
    depth: dict[str, int] = {}
    for one in corrections:
        chain: list[str] = []
        walked: set[str] = set()
        at = one
        while at in corrections and at not in depth and at not in walked:
            walked.add(at)
            chain.append(at)
            at = _target(corrections[at])
        if at in walked or at not in kept or (at in corrections and at not in depth):
            continue
        below = depth.get(at, 0)
        for step, link in enumerate(reversed(chain), start=1):
            depth[link] = below + step
    return depth


def _corrected(event: Event, correction: Event) -> Event:
    """The event with what the correction carries; a correction so changed keeps what it corrects and whether it
    strikes."""
    data = dict(event.data)
    happened = event.happened
    for name, value in correction.data.items():
        if name in NOT_CORRECTED:
            continue
        if value is None and event.kind != "correction":
            data.pop(name, None)
        else:
            data[name] = value
    if isinstance(said := correction.data.get("happened"), str):
        if event.kind == "correction":
            data["happened"] = said
        else:
            happened = parse_time(said) or happened
    return replace(event, happened=happened, zone=correction.zone or event.zone, data=data)
