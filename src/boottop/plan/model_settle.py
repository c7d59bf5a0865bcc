"""Put every task of a finished plan as early (or as late) as the others allow, so that each start has a reason.

Cost, finish and weather slack stay what they are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boottop.plan.model_domains import Tables, start_masks
from boottop.plan.network import Placed, Solution

ENOUGH = 8
ROUNDS = 3
Bools = NDArray[np.bool_]


@dataclass(kw_only=True)
class _Settling:
    """A plan by number: mode, start and finish of every task."""

    tables: Tables
    options: tuple[str, ...]
    rows: list[int]
    starts: list[int]

    def finish(self, task: int) -> int:
        return int(self.tables.finish[task][self.rows[task], self.starts[task]])


def settled(tables: Tables, solution: Solution) -> Solution:
    """The same plan with every task moved as early as it can be, those marked late as late as they can be."""
    modes = [[mode.key for mode in task.modes] for task in tables.network.tasks]
    plan = _Settling(
        tables=tables,
        options=solution.options,
        rows=[keys.index(place.mode) for keys, place in zip(modes, solution.placed, strict=True)],
        starts=[place.start for place in solution.placed],
    )
    masks = start_masks(tables, solution.options)
    for _ in range(ROUNDS):
        before = list(plan.starts)
        order = sorted(range(len(modes)), key=lambda task: (plan.starts[task], task))
        for task in order:
            _move(plan, task, masks[task][plan.rows[task]])
        if before == plan.starts:
            break
    placed = tuple(
        Placed(key=place.key, mode=place.mode, start=plan.starts[task], finish=plan.finish(task))
        for task, place in enumerate(solution.placed)
    )
    return replace(solution, placed=placed)


def _move(plan: _Settling, task: int, open_slots: Bools) -> None:
    allowed = open_slots & _by_links(plan, task) & _by_days(plan, task) & _by_pools(plan, task)
    allowed &= _as_good(plan, task)
    slots = np.flatnonzero(allowed)
    if len(slots):
        plan.starts[task] = int(slots[-1] if plan.tables.network.tasks[task].late else slots[0])


def _by_links(plan: _Settling, task: int) -> Bools:
    slots = np.arange(plan.tables.network.count)
    allowed = np.ones(len(slots), np.bool_)
    for number in plan.tables.touching[task]:
        reach = plan.tables.reaches[number]
        if reach.after == task:
            row, start = plan.rows[reach.before], plan.starts[reach.before]
            allowed &= (slots >= reach.low[row, start]) & (slots <= reach.high[row, start])
        if reach.before == task:
            after = plan.starts[reach.after]
            allowed &= (reach.low[plan.rows[task]] <= after) & (reach.high[plan.rows[task]] >= after)
    return allowed


def _by_days(plan: _Settling, task: int) -> Bools:
    allowed = np.ones(plan.tables.network.count, np.bool_)
    for number in plan.tables.groups_of[task]:
        group = plan.tables.groups[number]
        for other, days in zip(group.tasks, group.days, strict=True):
            if other != task:
                mine = group.days[group.tasks.index(task)][plan.rows[task]]
                allowed &= mine == days[plan.rows[other], plan.starts[other]]
    for apart in plan.tables.aparts:
        for one, two in (apart.sides, apart.sides[::-1]):
            if task in one:
                allowed &= ~np.isin(apart.day, [apart.day[plan.starts[other]] for other in two])
    return allowed


def _by_pools(plan: _Settling, task: int) -> Bools:
    network = plan.tables.network
    slots = np.arange(network.count)
    ends = np.minimum(plan.tables.finish[task][plan.rows[task]], network.count)
    allowed = np.ones(network.count, np.bool_)
    for pool in network.resources:
        units = network.tasks[task].modes[plan.rows[task]].uses.get(pool.name, 0)
        if units:
            free = np.full(network.count, pool.capacity + sum(pool.extra.get(key, 0) for key in plan.options))
            for other in range(len(plan.starts)):
                if other != task:
                    held = network.tasks[other].modes[plan.rows[other]].uses.get(pool.name, 0)
                    free[plan.starts[other] : plan.finish(other)] -= held
            short = np.concatenate(([0], np.cumsum(free < units)))
            allowed &= short[ends] == short[slots]
    return allowed


def _as_good(plan: _Settling, task: int) -> Bools:
    """Starts that cost the same and leave no less weather slack than now; the last task keeps its finish."""
    network, now = plan.tables.network, plan.starts[task]
    ends = np.minimum(plan.tables.finish[task][plan.rows[task]], network.count)
    allowed = np.ones(network.count, np.bool_)
    slack = network.tasks[task].modes[plan.rows[task]].slack
    if slack is not None:
        allowed &= slack >= min(ENOUGH, int(slack[now]))
    if network.tasks[task].key == network.money.first:
        allowed &= network.money.by_start[: network.count] == network.money.by_start[now]
    if network.tasks[task].key == network.money.last:
        allowed &= ends == ends[now]
    return allowed
