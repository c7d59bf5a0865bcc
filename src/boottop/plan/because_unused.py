"""Working hours in which nobody works, and the rule that closed each of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from boottop.plan.because import what_forbids
from boottop.plan.because_blocks import Board
from boottop.plan.because_closed import Block
from boottop.plan.plan import UnusedHours

NO_NEED = Block(kind="free", rule="nothing presses", says="nothing that must be done now")


@dataclass(frozen=True, kw_only=True)
class _Idle:
    """Idle slots [first, end) that wait for one task under one rule."""

    first: int
    end: int
    waits: str
    block: Block


def unused(board: Board) -> tuple[UnusedHours, ...]:
    """Every idle working hour of the crew between haul-out and launch, in order, with what closed it.

    Slots that wait for one task under one rule are put together; where the rule has numbers, by the hour, with those
    of its first slot. The task asked is the next to start, the yard's included.
    """
    idle: list[_Idle] = []
    for slot in _idle_slots(board):
        key, block = _what_closes(board, slot)
        if idle and _goes_on(board, idle[-1], _Idle(first=slot, end=slot + 1, waits=key, block=block)):
            idle[-1] = _Idle(first=idle[-1].first, end=slot + 1, waits=key, block=idle[-1].block)
        else:
            idle.append(_Idle(first=slot, end=slot + 1, waits=key, block=block))
    grid = board.job.calendar.grid
    return tuple(
        UnusedHours(
            start=grid.time_of(one.first),
            end=grid.time_of(one.end),
            waits=board.facts(one.waits).parts[0].key,
            because=one.block.says,
            needed=one.block.needed,
            had=one.block.had,
            unit=one.block.unit,
        )
        for one in idle
    )


def _goes_on(board: Board, last: _Idle, this: _Idle) -> bool:
    """Whether `this` slot only carries on what closed the last one."""
    calendar = board.job.calendar
    same = last.end == this.first and last.waits == this.waits and last.block.rule == this.block.rule
    if not same or calendar.day[this.first] != calendar.day[last.first]:
        return False
    return this.block.needed is None or calendar.local(this.first).hour == calendar.local(last.first).hour


def _idle_slots(board: Board) -> list[int]:
    """Slots of the crew's hours, from now on, after haul-out and wash and before the launch, in which no hand is at
    work."""
    money, crew = board.job.network.money, board.job.calendar.crew
    idle = crew.copy()
    idle[: max(board.placed[money.first].finish, board.job.from_slot)] = False
    idle[board.placed[money.last].start :] = False
    for key, place in board.placed.items():
        if board.job.facts[key].people[place.mode]:
            idle[place.start : place.finish] = False
    return [int(slot) for slot in np.flatnonzero(idle)]


def _what_closes(board: Board, slot: int) -> tuple[str, Block]:
    """The next task to start after a slot, and the first rule that keeps it from starting there."""
    later = [place for place in board.solution.placed if place.start > slot]
    key = min(later, key=lambda place: (place.start, place.finish, place.key)).key
    return key, what_forbids(board, key, slot) or NO_NEED
