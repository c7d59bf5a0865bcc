"""A first plan at once: place task by task at the earliest start, narrowing what is left after every step.

Tasks of one day are placed as a block. When a step leaves some task without a start, the next later start is tried;
a budget of steps (not of seconds, so that the same job gives the same plan) bounds the search.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random

import numpy as np
from numpy.typing import NDArray

from boottop.plan.model_domains import Masks, Tables, propagate
from boottop.plan.model_outer import Outer, Prepared, keep_worth, option_sets, prepare, worth
from boottop.plan.network import Network, Placed, Solution, SolverReport

STEPS_PER_CHOICE = 60
STEPS_IN_ALL = 140
MOST_TRIES = 3
LATER_SLOTS = (0, 1, 4, 16, 48, 96, 192)


def first_plan(network: Network, *, seed: int) -> Solution | None:
    """A plan that keeps every rule, found by serial construction; None when the budget of steps finds none."""
    return first_of(prepare(network), seed=seed)


def first_of(prepared: Prepared, *, seed: int) -> Solution | None:
    """The best plan the budget of steps finds among the outer choices, the most promising first."""
    best: Solution | None = None
    best_worth: int | None = None
    steps = STEPS_IN_ALL
    for options, outer in _attempts(prepared):
        if steps <= 0 or (best_worth is not None and outer.least >= best_worth):
            break
        board = _opened(prepared, options, outer, below=best_worth)
        if board is None:
            continue
        search = _Search(steps=min(steps, STEPS_PER_CHOICE), random=Random(seed))
        granted = search.steps
        done = search.descend(board)
        steps -= granted - search.steps
        if done is not None:
            best = _solution(prepared.tables, done, options)
            finish = next(p.finish for p in best.placed if p.key == prepared.tables.network.money.last)
            best_worth = worth(prepared.tables.network, best.cost_minor or 0, finish)
    return best


def any_plan(tables: Tables, masks: Masks, *, seed: int) -> Solution | None:
    """Some plan within narrowed starts, at whatever cost, the richest sets of options first; None if none is found."""
    first = tables.index[tables.network.money.first]
    starts = tuple(np.flatnonzero(masks[first].any(axis=0)).tolist())
    outer = Outer(options=None, starts=starts, earliest=0, rest=0, least=0)
    prepared = Prepared(tables=tables, narrowed={None: masks}, choices=(outer,))
    for options in sorted(option_sets(tables.network), key=len, reverse=True)[:MOST_TRIES]:
        board = _opened(prepared, options, outer, below=None)
        if board is not None:
            done = _Search(steps=STEPS_PER_CHOICE, random=Random(seed)).descend(board)
            if done is not None:
                return _solution(tables, done, options)
    return None


def _attempts(prepared: Prepared) -> Iterator[tuple[tuple[str, ...], Outer]]:
    sets = option_sets(prepared.tables.network)
    for outer in prepared.choices:
        for options in sets if outer.options is None else [outer.options]:
            yield options, outer


@dataclass(kw_only=True)
class _Board:
    """What is placed, what is left free of every pool, and the starts left to the rest."""

    tables: Tables
    masks: Masks
    free: dict[str, NDArray[np.int64]]
    placed: dict[int, tuple[int, int]] = field(default_factory=dict)

    def place(self, task: int, row: int, start: int) -> _Board | None:
        """The board with one more task placed, None when some task is left without a start."""
        masks = [mask.copy() for mask in self.masks]
        masks[task][:] = False
        masks[task][row, start] = True
        finish = int(self.tables.finish[task][row, start])
        uses = self.tables.network.tasks[task].modes[row].uses
        free = dict(self.free)
        touched = {task}
        placed = self.placed | {task: (row, start)}
        for name in (name for name, units in uses.items() if units):
            free[name] = free[name].copy()
            free[name][start:finish] -= uses[name]
            touched |= _fit(self.tables, masks, name=name, room=(free[name], placed))
        if not propagate(self.tables, masks, touched):
            return None
        return _Board(tables=self.tables, masks=masks, free=free, placed=placed)


def _fit(
    tables: Tables, masks: Masks, *, name: str, room: tuple[NDArray[np.int64], dict[int, tuple[int, int]]]
) -> set[int]:
    """Drop the starts that ask for more of a pool than is free; the tasks that lost some."""
    free, placed = room
    slots = np.arange(len(free))
    full: dict[int, NDArray[np.int64]] = {}
    touched = set()
    for task, mask in enumerate(masks):
        if task in placed:
            continue
        for row, mode in enumerate(tables.network.tasks[task].modes):
            units = mode.uses.get(name, 0)
            if not units or not mask[row].any():
                continue
            if units not in full:
                full[units] = np.concatenate(([0], np.cumsum(free < units)))
            ends = np.minimum(tables.finish[task][row], len(free))
            clear = full[units][ends] == full[units][slots]
            if bool((mask[row] & ~clear).any()):
                mask[row] &= clear
                touched.add(task)
    return touched


def _opened(prepared: Prepared, options: tuple[str, ...], outer: Outer, *, below: int | None) -> _Board | None:
    """The board before the first step: one outer choice, and only ends worth less than `below`."""
    tables, network = prepared.tables, prepared.tables.network
    masks = [mask.copy() for mask in prepared.narrowed[outer.options]]
    first = tables.index[network.money.first]
    masks[first] &= np.isin(np.arange(network.count), outer.starts)
    if outer.options is None:
        _only_with(tables, masks, options)
    if below is not None:
        keep_worth(tables, masks, below - 1 - outer.rest)
    if not propagate(tables, masks):
        return None
    free = {
        pool.name: np.full(network.count, pool.capacity + sum(pool.extra.get(key, 0) for key in options), np.int64)
        for pool in network.resources
    }
    for name, room in free.items():
        _fit(tables, masks, name=name, room=(room, {}))
    return _Board(tables=tables, masks=masks, free=free) if propagate(tables, masks) else None


def _only_with(tables: Tables, masks: Masks, options: tuple[str, ...]) -> None:
    for task, mask in zip(tables.network.tasks, masks, strict=True):
        for row, mode in enumerate(task.modes):
            if not set(mode.needs) <= set(options) or set(mode.without) & set(options):
                mask[row] = False


@dataclass(kw_only=True)
class _Search:
    """Depth-first placing within a budget of steps."""

    steps: int
    random: Random

    def descend(self, board: _Board) -> _Board | None:
        if len(board.placed) == len(board.masks):
            return board
        task = self._next(board)
        for row, start in _candidates(board, task):
            if self.steps <= 0:
                return None
            self.steps -= 1
            placed = board.place(task, row, start)
            done = self.descend(placed) if placed is not None else None
            if done is not None:
                return done
        return None

    def _next(self, board: _Board) -> int:
        """The task to place: of a day begun first, else the earliest start with all before it placed."""
        rest = [task for task in range(len(board.masks)) if task not in board.placed]
        before = {reach.after: True for reach in board.tables.reaches if reach.before not in board.placed}
        ready = [task for task in rest if task not in before] or rest
        begun = {
            task
            for group in board.tables.groups
            if any(member in board.placed for member in group.tasks)
            for task in group.tasks
        }
        block = [task for task in ready if task in begun] or ready
        return min(block, key=lambda task: (_span(board.masks[task]), self.random.random()))


def _span(mask: NDArray[np.bool_]) -> tuple[int, int]:
    open_slots = np.flatnonzero(mask.any(axis=0))
    return int(open_slots[0]), int(open_slots[-1])


def _candidates(board: _Board, task: int) -> Iterator[tuple[int, int]]:
    """The earliest start in every mode, the soonest done first, then later and later starts in the best mode."""
    mask, finish = board.masks[task], board.tables.finish[task]
    modes = board.tables.network.tasks[task].modes
    earliest = int(np.flatnonzero(mask.any(axis=0))[0])
    seen: set[tuple[int, int]] = set()
    for later in LATER_SLOTS:
        open_slots = np.flatnonzero(mask[:, earliest + later :].any(axis=0))
        if not len(open_slots):
            return
        start = earliest + later + int(open_slots[0])
        rows = [row for row in range(len(modes)) if mask[row, start]]
        rows.sort(key=lambda row: (int(finish[row, start]), modes[row].cost_minor))
        for row in rows if later == 0 else rows[:1]:
            if (row, start) not in seen:
                seen.add((row, start))
                yield row, start


def _solution(tables: Tables, board: _Board, options: tuple[str, ...]) -> Solution:
    network = tables.network
    placed = []
    cost = sum(option.cost_minor for option in network.options if option.key in options)
    for number, task in enumerate(network.tasks):
        row, start = board.placed[number]
        finish = int(tables.finish[number][row, start])
        placed.append(Placed(key=task.key, mode=task.modes[row].key, start=start, finish=finish))
        cost += task.modes[row].cost_minor
        if task.key == network.money.first:
            cost += int(network.money.by_start[start])
        if task.key == network.money.last:
            cost += int(network.money.by_finish[finish])
    report = SolverReport(first_s=None, proof_s=None, total_s=0.0, bound_minor=None, branches=0, variables=0)
    return Solution(status="feasible", placed=tuple(placed), options=options, cost_minor=cost, report=report)
