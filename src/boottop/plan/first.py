"""A first plan at once: place task by task at the earliest start, narrowing what is left after every step.

Tasks of one day, and tasks that must soon follow another, are placed as a block. When a step leaves some task without
a start, the next later start is tried; a budget of steps (not of seconds, so that the same job gives the same plan)
bounds the search.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random

import numpy as np
from numpy.typing import NDArray

from boottop.plan.model_domains import Masks, Tables, propagate
from boottop.plan.model_outer import Outer, Prepared, Taken, keep_worth, option_sets, prepare, worth
from boottop.plan.network import Network, Placed, Solution, SolverReport

SPARE_STEPS = 20
DESCENTS_IN_ALL = 4
MOST_TRIES = 3
LATER_SLOTS = (0, 1, 4, 16, 48, 96, 192)


def first_plan(network: Network, *, seed: int) -> Solution | None:
    """A plan that keeps every rule, found by serial construction; None when the budget of steps finds none."""
    best = None
    for plan in first_plans(prepare(network), seed=seed):
        best = plan
    return best


def first_plans(prepared: Prepared, *, seed: int) -> Iterator[Solution]:
    """Plans, each better than the one before, as far as the budget of steps goes.

    The roomiest choice of every set of options until one works; then halfway between it and the most promising.
    """
    network = prepared.tables.network
    each = len(network.tasks) + SPARE_STEPS
    steps = each * DESCENTS_IN_ALL
    waiting = _roomy(prepared)
    best_worth: int | None = None
    while steps > 0 and waiting:
        at = 0 if best_worth is None else len(waiting) // 2
        options, outer = waiting[at]
        board = _opened(prepared, options, outer, below=best_worth)
        search = _Search(steps=min(steps, each), random=Random(seed))
        granted = search.steps
        done = None if board is None else search.descend(board)
        steps -= granted - search.steps
        if done is None:
            waiting = waiting[at + 1 :]
            continue
        plan = _solution(prepared.tables, done, options)
        yield plan
        best_worth = worth_of(network, plan)
        waiting = [(taken, c) for c in prepared.choices if c.least < best_worth for taken in _sets(prepared, c)]


def worth_of(network: Network, plan: Solution) -> int:
    """What a plan is worth: see `worth`."""
    finish = next(place.finish for place in plan.placed if place.key == network.money.last)
    return worth(network, plan.cost_minor or 0, finish)


def any_plan(tables: Tables, masks: Masks, *, seed: int) -> Solution | None:
    """Some plan within narrowed starts, at whatever cost, the richest sets of options first; None if none is found."""
    first = tables.index[tables.network.money.first]
    starts = tuple(np.flatnonzero(masks[first].any(axis=0)).tolist())
    outer = Outer(options=None, starts=starts, earliest=0, rest=0, least=0)
    prepared = Prepared(tables=tables, narrowed={None: masks}, choices=(outer,))
    for options in sorted(option_sets(tables.network), key=len, reverse=True)[:MOST_TRIES]:
        board = _opened(prepared, options, outer, below=None)
        if board is not None:
            done = _Search(steps=len(masks) + SPARE_STEPS, random=Random(seed)).descend(board)
            if done is not None:
                return _solution(tables, done, options)
    return None


def _sets(prepared: Prepared, outer: Outer) -> list[tuple[str, ...]]:
    return option_sets(prepared.tables.network) if outer.options is None else [outer.options]


def _roomy(prepared: Prepared) -> list[tuple[tuple[str, ...], Outer]]:
    """Under each set of options, the cheapest first, the choice that starts earliest."""
    earliest: dict[Taken, Outer] = {}
    for outer in prepared.choices:
        if outer.options not in earliest or outer.starts[0] < earliest[outer.options].starts[0]:
            earliest[outer.options] = outer
    order = sorted(earliest.values(), key=lambda outer: outer.least)
    return [(options, outer) for outer in order for options in _sets(prepared, outer)]


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
        """The task to place: of a day or a hurry begun first, else the earliest start with all before it placed."""
        rest = [task for task in range(len(board.masks)) if task not in board.placed]
        before = {reach.after: True for reach in board.tables.reaches if reach.before not in board.placed}
        ready = [task for task in rest if task not in before] or rest
        begun = {
            task
            for group in board.tables.groups
            if any(member in board.placed for member in group.tasks)
            for task in group.tasks
        }
        begun |= {reach.after for reach in board.tables.reaches if reach.before in board.placed and reach.hurries}
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
