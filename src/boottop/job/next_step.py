"""What may be done now, zone by zone: from when, until when, and why not.

The same rule runs on the phone; tests/conformance/board.json holds the two together. Everything is a function of the
state, the table, the moment and what was learned; nothing here remembers.
"""

from __future__ import annotations

from boottop.job.board import BoardTable
from boottop.job.learned import Learned
from boottop.job.nexts import Board, NextStep
from boottop.job.situation import Situation
from boottop.job.slots import slot_at
from boottop.job.state import State
from boottop.job.step_ashore import launch_from_s
from boottop.job.step_zone import zone_step
from boottop.job.stock import batch_clocks, litres_of


def next_steps(state: State, table: BoardTable, now_s: int, learned: Learned) -> tuple[NextStep, ...]:  # noqa: PLR0917
    """The one next step of every zone of the table, in its order."""
    return board_at(state, table, now_s=now_s, learned=learned).steps


def board_at(state: State, table: BoardTable, *, now_s: int, learned: Learned) -> Board:
    """All that the board shows at a moment."""
    places = [Situation(state=state, table=table, zone=zone, now_s=now_s, learned=learned) for zone in table.zones]
    return Board(
        now_s=now_s,
        steps=tuple(zone_step(place, places) for place in places),
        batches=batch_clocks(state, table, now_s=now_s),
        litres=litres_of(state, table),
        raining=state.raining,
        rain_at_s=_rain_at_s(table, now_s),
        launch_from_s=launch_from_s(places),
        table_ends_s=table.start_s + table.count * table.slot_s,
    )


def _rain_at_s(table: BoardTable, now_s: int) -> int | None:
    first = slot_at(table, max(now_s, table.start_s))
    if first is None:
        return None
    found = next((slot for slot in range(first, table.count) if table.rain_mm[slot] > 0.0), None)
    return None if found is None else max(now_s, table.start_s + found * table.slot_s)
