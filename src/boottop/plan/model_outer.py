"""The outer choices of a job, what is hired and when the first task starts, each with a bound no plan can beat.

The bound walks the links forward and forgets the pools, so it is safe; once a plan is known, choices that cannot
match it are dropped before the solver sees them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from boottop.plan.model_domains import Masks, Reach, Tables, drop_dominated, propagate, reached, start_masks, tabulate
from boottop.plan.network import Network, Task

MOST_OPTION_SETS = 12
MOST_START_GROUPS = 48
Taken = tuple[str, ...] | None


@dataclass(frozen=True, kw_only=True)
class Outer:
    """One outer choice: an option set (None: any) and some starts of `money.first`.

    No plan with it is worth less than `least`, nor less than `rest` when the worth of the finish is left out. Worth
    is cost times (count + 2) plus the finish of `money.last`: the lower, the better. `earliest`: the first mark at
    which `money.last` could end.
    """

    options: Taken
    starts: tuple[int, ...]
    earliest: int
    rest: int
    least: int


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """A job narrowed under every set of options; `choices` the most promising first. No choices: no plan exists."""

    tables: Tables
    narrowed: dict[Taken, Masks]
    choices: tuple[Outer, ...]


def prepare(network: Network) -> Prepared:
    """Narrow the job under each set of options and bound every outer choice."""
    tables = tabulate(network)
    narrowed: dict[Taken, Masks] = {}
    sets: list[Taken] = [*option_sets(network)]
    for options in sets if len(sets) <= MOST_OPTION_SETS else [None]:
        masks = start_masks(tables, options)
        drop_dominated(tables, masks)
        if propagate(tables, masks):
            narrowed[options] = masks
    order = forward_order(tables)
    choices = [
        outer for options, masks in narrowed.items() for outer in _bounded(tables, masks, options=options, order=order)
    ]
    choices.sort(key=lambda outer: (outer.least, -outer.starts[0], outer.options or ()))
    return Prepared(tables=tables, narrowed=narrowed, choices=tuple(choices))


def option_sets(network: Network) -> list[tuple[str, ...]]:
    """Every set of options that may be taken together, the cheapest first; cut off well beyond the most bounded."""
    clash = {frozenset((option.key, other)) for option in network.options for other in option.excludes}
    price = {option.key: option.cost_minor for option in network.options}
    sets: list[tuple[str, ...]] = []
    for size in range(len(price) + 1):
        for keys in combinations(price, size):
            if not any(frozenset(pair) in clash for pair in combinations(keys, 2)):
                sets.append(keys)
        if len(sets) > 4 * MOST_OPTION_SETS:
            break
    return sorted(sets, key=lambda keys: (sum(price[key] for key in keys), keys))


def worth(network: Network, cost_minor: int, finish: int) -> int:
    """Money first, then the finish, in one whole number."""
    return cost_minor * (network.count + 2) + finish


def _bounded(tables: Tables, masks: Masks, *, options: Taken, order: Sequence[Reach]) -> list[Outer]:
    network = tables.network
    taken = [option.cost_minor for option in network.options if options is not None and option.key in options]
    cheapest = [min(option.cost_minor, 0) for option in network.options]
    fixed = _least_of_modes(network.tasks, masks) + sum(cheapest if options is None else taken)
    starts = np.flatnonzero(masks[tables.index[network.money.first]].any(axis=0))
    outers = []
    for group in np.array_split(starts, min(len(starts), MOST_START_GROUPS)):
        ends = _ends_after(tables, masks, starts=group, order=order)
        if len(ends):
            rest = worth(network, fixed + int(network.money.by_start[group].min()), 0)
            last = int((network.money.by_finish[ends].astype(np.int64) * (network.count + 2) + ends).min())
            outers.append(
                Outer(
                    options=options,
                    starts=tuple(group.tolist()),
                    earliest=int(ends[0]),
                    rest=rest,
                    least=rest + last,
                )
            )
    return outers


def _least_of_modes(tasks: Sequence[Task], masks: Masks) -> int:
    return sum(
        min(mode.cost_minor for row, mode in enumerate(task.modes) if masks[number][row].any())
        for number, task in enumerate(tasks)
    )


def _ends_after(
    tables: Tables, masks: Masks, *, starts: NDArray[np.int64], order: Sequence[Reach]
) -> NDArray[np.int32]:
    """Marks at which `money.last` can end when `money.first` starts at one of `starts`: one pass over the links."""
    first, last = tables.index[tables.network.money.first], tables.index[tables.network.money.last]
    now = list(masks)
    now[first] = np.zeros_like(masks[first])
    now[first][:, starts] = masks[first][:, starts]
    for reach in order:
        if now[reach.before] is not masks[reach.before]:
            now[reach.after] = now[reach.after] & reached(reach, now)
    return np.unique(tables.finish[last][now[last]])


def forward_order(tables: Tables) -> list[Reach]:
    """Links in an order in which a task's own start is settled before it decides another's; loops are left out."""
    total = len(tables.network.tasks)
    incoming = [sum(1 for reach in tables.reaches if reach.after == task) for task in range(total)]
    ready = [task for task in range(total) if incoming[task] == 0]
    order: list[Reach] = []
    while ready:
        task = ready.pop()
        for reach in tables.reaches:
            if reach.before == task:
                order.append(reach)
                incoming[reach.after] -= 1
                if incoming[reach.after] == 0:
                    ready.append(reach.after)
    return order


def still_open(prepared: Prepared, limit: int | None) -> tuple[list[Outer], Masks] | None:
    """Choices that may still reach a worth of `limit`, and the starts left under any of them; None when none may."""
    tables = prepared.tables
    first = tables.index[tables.network.money.first]
    kept: list[Outer] = []
    union: Masks = []
    for options, narrowed in prepared.narrowed.items():
        mine = [c for c in prepared.choices if c.options == options and (limit is None or c.least <= limit)]
        if not mine:
            continue
        masks = [mask.copy() for mask in narrowed]
        masks[first] &= np.isin(np.arange(tables.network.count), [start for c in mine for start in c.starts])
        if limit is not None:
            keep_worth(tables, masks, limit - min(choice.rest for choice in mine))
        if propagate(tables, masks):
            kept += mine
            union = [a | b for a, b in zip(union, masks, strict=True)] if union else masks
    return (kept, union) if kept else None


def keep_worth(tables: Tables, masks: Masks, left: int) -> None:
    """Drop the ends of `money.last` whose own worth is above `left`."""
    network = tables.network
    last = tables.index[network.money.last]
    price = network.money.by_finish.astype(np.int64) * (network.count + 2) + np.arange(network.count + 1)
    masks[last] &= price[np.minimum(tables.finish[last], network.count)] <= left
