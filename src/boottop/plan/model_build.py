"""The CP-SAT model of a narrowed job: its parts put together, the bill, and the hint of a plan already known."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from ortools.sat.python import cp_model

from boottop.plan.model_domains import Masks, Tables
from boottop.plan.model_outer import Outer
from boottop.plan.model_parts import (
    Built,
    Side,
    add_apart,
    add_bound,
    add_days,
    add_link,
    add_options,
    add_resource,
    add_task,
)
from boottop.plan.model_pieces import Ints, idle_above
from boottop.plan.network import Placed


def build(tables: Tables, masks: Masks, outers: Sequence[Outer]) -> Built:
    """The whole model: variables, lengths, links, days, pools, money, and the bound of the outer choices."""
    built = Built(tables=tables, masks=masks, model=cp_model.CpModel())
    for number in range(len(masks)):
        add_task(built, number)
    add_options(built)
    for reach in tables.reaches:
        add_link(built, reach)
    add_days(built)
    add_apart(built)
    for resource in tables.network.resources:
        add_resource(built, resource)
    _add_money(built)
    _add_outer(built, outers)
    return built


def _add_money(built: Built) -> None:
    network = built.tables.network
    for task, task_vars in zip(network.tasks, built.tasks, strict=True):
        cheapest = min(task.modes[row].cost_minor for row in task_vars.rows)
        built.base += cheapest
        for row, holds in task_vars.holds.items():
            if holds is not None and task.modes[row].cost_minor > cheapest:
                built.terms.append((task.modes[row].cost_minor - cheapest, holds))
    built.terms += [(option.cost_minor, built.options[option.key]) for option in network.options if option.cost_minor]
    first, last = built.tables.index[network.money.first], built.tables.index[network.money.last]
    _add_price(built, first, False, price=network.money.by_start)
    _add_price(built, last, True, price=network.money.by_finish)


def _add_price(built: Built, number: int, by_end: bool, *, price: Ints) -> None:
    task = built.tasks[number]
    times = task.ends if by_end else task.starts
    prices = price[times].astype(np.int64)
    least = int(prices.min())
    slope = int(prices[-1] - prices[0]) // max(1, int(times[-1] - times[0]))
    if bool((prices == prices[0] + slope * (times - times[0])).all()):
        built.base += int(prices[0]) - slope * int(times[0])
        if slope:
            built.terms.append((slope, task.end if by_end else task.start))
        return
    built.base += least
    edges = np.flatnonzero(np.diff(prices)) + 1
    literals = []
    for run in np.split(np.arange(len(times)), edges):
        literal = built.literal(number, by_end, piece=(int(times[run[0]]), int(times[run[-1]])))
        literals.append(literal)
        if prices[run[0]] > least:
            built.terms.append((int(prices[run[0]]) - least, literal))
    built.model.add_exactly_one(literals)


def _add_outer(built: Built, outers: Sequence[Outer]) -> None:
    """What narrowing knows: no end of `money.last` before the earliest one reachable from a start of `money.first`."""
    network = built.tables.network
    first, last = built.tables.index[network.money.first], built.tables.index[network.money.last]
    earliest: dict[int, int] = {}
    for outer in outers:
        for start in outer.starts:
            earliest[start] = min(outer.earliest, earliest.get(start, outer.earliest))
    times = built.tasks[first].starts
    if first == last or not set(times.tolist()) <= set(earliest):
        return
    bound = np.array([earliest[start] for start in times.tolist()], np.int64)
    if not idle_above(bound, built.tasks[last].ends):
        side = Side(task=first, by_end=False, row=None, times=times, bound=bound)
        add_bound(built, [side], above=True, target=(built.tasks[last].end, built.tasks[last].ends))


def add_hint(built: Built, placed: Sequence[Placed], options: Sequence[str]) -> None:
    """Tell the solver a plan, down to the literals of the pieces."""
    where = {place.key: place for place in placed}
    tasks = built.tables.network.tasks
    at = [where[task.key] for task in tasks]
    rows = [next(r for r, m in enumerate(t.modes) if m.key == p.mode) for t, p in zip(tasks, at, strict=True)]
    for place, row, task in zip(at, rows, built.tasks, strict=True):
        built.model.add_hint(task.start, place.start)
        if task.length is None and isinstance(task.end, cp_model.IntVar):
            built.model.add_hint(task.end, place.finish)
        for number, holds in task.holds.items():
            if holds is not None:
                built.model.add_hint(holds, number == row)
    for key, option in built.options.items():
        built.model.add_hint(option, key in options)
    for mark in built.marks:
        time = at[mark.task].finish if mark.by_end else at[mark.task].start
        inside = mark.opens <= time <= mark.closes
        built.model.add_hint(mark.literal, inside and mark.row in (None, rows[mark.task]))
