"""How long each film waited, against the windows that the sheet and the weather made."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from boottop.job.board import BoardTable
from boottop.job.events import Event
from boottop.job.settle import ms
from boottop.job.slots import time_after
from boottop.job.state import Coat, State, ZoneState
from boottop.record.conditions import modelled
from boottop.record.film import begun_s

What = Literal["overcoat", "rain", "stands", "launch"]
Outcome = Literal["in time", "early", "late", "not judged"]
WAIT_WORDS: dict[What, str] = {
    "overcoat": "next coat",
    "rain": "first rain",
    "stands": "stands moved",
    "launch": "launched",
}

BEARS = ("side", "named")
"""Kinds of zone that stands may be put onto."""


@dataclass(frozen=True, kw_only=True)
class Wait:
    """From the end of a coat to what came next. `from_s`: from when the windows allowed it (the expected time, and
    with the plan's caution `careful_s`), `until_s`: until when, None without an end. `touched`: it was touched tacky
    (or past it) before, which counts more than any clock; `sanded`: it was abraded in between, after which no overcoat
    window holds."""

    zone: str
    product: str
    coat: int
    what: What
    finished_s: int
    came_s: int
    waited_h: float
    from_s: int | None
    careful_s: int | None
    until_s: int | None
    touched: bool
    sanded: bool
    outcome: Outcome


def waits_of(state: State, tables: Sequence[BoardTable], *, events: Sequence[Event] = ()) -> tuple[Wait, ...]:
    """Every wait that the log has both ends of, zone by zone in order of time.

    `early` where it came before the expected time and no touch test had said tacky; `late` past the end of the
    overcoat window without sanding; `not judged` without a table that covers it. `events` settled, for the sanding.
    """
    sanded = [(one.zone, ms(one.happened) // 1000) for one in events if one.kind == "abraded"]
    found: list[Wait] = []
    for zone in state.zones:
        finished = sorted(
            (one for one in zone.coats if one.finished_s is not None), key=lambda one: one.finished_s or 0
        )
        for under, over in itertools.pairwise(finished):
            came_s = begun_s(over)
            if came_s is not None:
                one = _wait(under, zone, tables, what="overcoat", came_s=came_s)
                between = any(name == zone.zone and one.finished_s <= at_s <= came_s for name, at_s in sanded)
                found.append(replace(one, sanded=True, outcome="in time") if between else one)
        if finished:
            found += _last_waits(finished[-1], zone, state, tables)
    return tuple(found)


def _last_waits(last: Coat, zone: ZoneState, state: State, tables: Sequence[BoardTable]) -> list[Wait]:  # noqa: PLR0917 - read in this order
    done_s = last.finished_s or 0
    rains = [one.began_s for one in state.rain if one.began_s >= done_s]
    bears = any(board.name == zone.zone and board.kind in BEARS for table in tables[:1] for board in table.zones)
    moved = [one.at_s for one in state.stands if one.at_s >= done_s] if bears else []
    ends: list[tuple[What, int]] = [("rain", min(rains))] if rains else []
    ends += [("stands", min(moved))] if moved else []
    if state.launched_s is not None and state.launched_s >= done_s:
        ends.append(("launch", state.launched_s))
    return [_wait(last, zone, tables, what=what, came_s=came_s) for what, came_s in ends]


def _wait(coat: Coat, zone: ZoneState, tables: Sequence[BoardTable], *, what: What, came_s: int) -> Wait:
    finished_s = coat.finished_s or 0
    table = modelled(tables, zone.zone, product=coat.product, at_s=finished_s)
    from_s = careful_s = until_s = None
    if table is not None:
        system = table.system
        marks = {
            "overcoat": (system.ready_middle or system.ready, system.ready),
            "rain": (system.rain_safe, system.rain_safe),
            "stands": (system.stands_safe, system.stands_safe),
            "launch": (system.immersion, system.immersion),
        }[what]
        from_s, careful_s = (time_after(table.table, one, finished_s, factor=1.0) for one in marks)
        if what == "overcoat":
            until_s = time_after(table.table, system.overcoat_until, finished_s, factor=1.0, early=True)
    touched = what == "overcoat" and any(
        touch.verdict != "wet" and finished_s <= touch.at_s <= came_s for touch in coat.touch
    )
    return Wait(
        zone=zone.zone,
        product=coat.product,
        coat=coat.coat,
        what=what,
        finished_s=finished_s,
        came_s=came_s,
        waited_h=(came_s - finished_s) / 3600.0,
        from_s=from_s,
        careful_s=careful_s,
        until_s=until_s,
        touched=touched,
        sanded=False,
        outcome=_outcome(came_s, from_s=from_s, until_s=until_s, touched=touched, judged=table is not None),
    )


def _outcome(came_s: int, *, from_s: int | None, until_s: int | None, touched: bool, judged: bool) -> Outcome:
    if not judged or (from_s is None and until_s is None):
        return "not judged"
    if until_s is not None and came_s > until_s:
        return "late"
    if from_s is not None and came_s < from_s and not touched:
        return "early"
    return "in time"
