"""Preparation as early as it can be: what may float is not left to the last hour before the coats."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from boottop.plan.because_blocks import Board, blocks
from boottop.plan.network import Placed

EARLY_KINDS = ("strip", "abrade", "mask", "extra", "move_stands")
"""Work that gains by being done: a day of rain then costs nothing. Wiping, coats and bare copper gain by waiting for
their moment, which is the solver's to choose (common practice, no source)."""


def preparation_early(board: Board) -> Board:
    """The same plan at the same cost with its preparation moved forward as far as every rule lets it, the earliest
    work first; wiping, coats, bare copper, haul-out and launch stay where they are."""
    moved = True
    while moved:
        moved = False
        for place in sorted(board.solution.placed, key=lambda place: (place.start, place.key)):
            if board.facts(place.key).kind in EARLY_KINDS and (start := _earliest(board, place)) < place.start:
                board, moved = _with(board, place, start), True
    return board


def _earliest(board: Board, place: Placed) -> int:
    """The first slot that nothing forbids, at most where the task is."""
    waits = [board.earliest(link) or 0 for _, link in board.into[place.key]]
    first = max(waits, default=0)
    for slot in np.flatnonzero(board.modes[place.key].starts[first : place.start]):
        if not blocks(board, place.key, first + int(slot)):
            return first + int(slot)
    return place.start


def _with(board: Board, place: Placed, start: int) -> Board:
    finish = int(board.modes[place.key].finish[start])
    placed = tuple(
        Placed(key=one.key, mode=one.mode, start=start, finish=finish) if one.key == place.key else one
        for one in board.solution.placed
    )
    return Board(job=board.job, solution=replace(board.solution, placed=placed))
