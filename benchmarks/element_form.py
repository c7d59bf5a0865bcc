"""The plain reference: the same job with every table an element constraint, nothing narrowed, no first plan."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from time import perf_counter

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from boottop.plan.network import Apart, Link, Marks, Network, Resource, SameDay, Task

Ints = NDArray[np.int64]


@dataclass(kw_only=True)
class _Vars:
    task: Task
    start: cp_model.IntVar
    end: cp_model.IntVar
    holds: list[cp_model.IntVar]
    which: cp_model.IntVar
    """row * count + start: looks up a table by mode and start."""


def solve_by_elements(network: Network, *, time_limit_s: float) -> tuple[str, int | None, float]:
    """Status, best cost and seconds, model building included."""
    began_s = perf_counter()
    model = cp_model.CpModel()
    tasks = {task.key: _task(model, network, task) for task in network.tasks}
    for link in network.links:
        _link(model, network, link, tasks=tasks)
    for group in network.same_day:
        _same_day(model, network, group, tasks=tasks)
    for apart in network.apart:
        _apart(model, apart, tasks)
    options = {option.key: model.new_bool_var(option.key) for option in network.options}
    for variables in tasks.values():
        for holds, mode in zip(variables.holds, variables.task.modes, strict=True):
            for key in mode.needs:
                model.add_implication(holds, options[key])
            for key in mode.without:
                model.add_implication(holds, ~options[key])
    for pool in network.resources:
        _pool(model, pool, list(tasks.values()), options=options)
    cost = _cost(model, network, tasks, options=options)
    model.minimize((network.count + 2) * cost + tasks[network.money.last].end)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = time_limit_s
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return solver.status_name(status).lower(), solver.value(cost) if found else None, perf_counter() - began_s


def _looked_up(model: cp_model.CpModel, index: cp_model.LinearExprT, table: Ints) -> cp_model.IntVar:
    value = model.new_int_var(int(table.min()), int(table.max()), "")
    model.add_element(index, table.tolist(), value)
    return value


def _task(model: cp_model.CpModel, network: Network, task: Task) -> _Vars:
    count = network.count
    open_slots = [np.flatnonzero(mode.starts & (mode.finish <= count)) for mode in task.modes]
    every = np.unique(np.concatenate(open_slots)).tolist()
    start = model.new_int_var_from_domain(cp_model.Domain.from_values(every), "")
    end = model.new_int_var(0, count, "")
    holds = [model.new_bool_var("") for _ in task.modes]
    model.add_exactly_one(holds)
    for mine, literal in zip(open_slots, holds, strict=True):
        domain = cp_model.Domain.from_values(mine.tolist())
        model.add_linear_expression_in_domain(start, domain).only_enforce_if(literal)
    which = model.new_int_var(0, count * len(holds) - 1, "")
    model.add(which == start + cp_model.LinearExpr.weighted_sum(holds, [count * row for row in range(len(holds))]))
    lags = [np.unique(mode.finish[mine] - mine) for mode, mine in zip(task.modes, open_slots, strict=True)]
    if all(len(lag) <= 1 for lag in lags):
        model.add(end == start + cp_model.LinearExpr.weighted_sum(holds, [int(lag.sum()) for lag in lags]))
    else:
        finishes = np.concatenate([mode.finish for mode in task.modes]).astype(np.int64)
        model.add(end == _looked_up(model, which, finishes))
    return _Vars(task=task, start=start, end=end, holds=holds, which=which)


def _link(model: cp_model.CpModel, network: Network, link: Link, *, tasks: dict[str, _Vars]) -> None:
    before, after = tasks[link.before], tasks[link.after]
    for side in (0, 1):
        tables = [link.by_mode.get(mode.key, (link.earliest, link.latest))[side] for mode in before.task.modes]
        if all(table is None for table in tables):
            continue
        idle = np.full(network.count + 1, 0 if side == 0 else network.beyond, np.int32)
        full = [idle if table is None else table for table in tables]
        if link.by_mode or link.from_start:
            bound = _looked_up(model, before.which, _by_start(network, link, before.task, tables=full))
        else:
            bound = _looked_up(model, before.end, full[0].astype(np.int64))
        model.add(after.start >= bound if side == 0 else after.start <= bound)


def _by_start(network: Network, link: Link, task: Task, *, tables: list[Marks]) -> Ints:
    rows = []
    for mode, table in zip(task.modes, tables, strict=True):
        at = np.arange(network.count) if link.from_start else np.minimum(mode.finish, network.count)
        rows.append(table[at])
    return np.concatenate(rows).astype(np.int64)


def _same_day(model: cp_model.CpModel, network: Network, group: SameDay, *, tasks: dict[str, _Vars]) -> None:
    ends_on = np.concatenate((group.day[:1], group.day)).astype(np.int64)
    days = []
    for key in group.tasks:
        days.append(_looked_up(model, tasks[key].start, group.day))
        days.append(_looked_up(model, tasks[key].end, ends_on[: network.count + 1]))
    for one, two in pairwise(days):
        model.add(one == two)


def _apart(model: cp_model.CpModel, apart: Apart, tasks: dict[str, _Vars]) -> None:
    sides = [[_looked_up(model, tasks[key].start, apart.day) for key in keys] for keys in (apart.first, apart.second)]
    for one in sides[0]:
        for two in sides[1]:
            model.add(one != two)


def _pool(model: cp_model.CpModel, pool: Resource, tasks: list[_Vars], *, options: dict[str, cp_model.IntVar]) -> None:
    intervals, demands = [], []
    for variables in tasks:
        for mode, holds in zip(variables.task.modes, variables.holds, strict=True):
            units = mode.uses.get(pool.name, 0)
            if units:
                size = model.new_int_var(0, 10_000, "")
                intervals.append(model.new_optional_interval_var(variables.start, size, variables.end, holds, ""))
                demands.append(units)
    capacity = model.new_int_var(0, pool.capacity + sum(pool.extra.values()), "")
    keys = list(pool.extra)
    extra = cp_model.LinearExpr.weighted_sum([options[key] for key in keys], [pool.extra[key] for key in keys])
    model.add(capacity == pool.capacity + extra)
    model.add_cumulative(intervals, demands, capacity)


def _cost(
    model: cp_model.CpModel, network: Network, tasks: dict[str, _Vars], *, options: dict[str, cp_model.IntVar]
) -> cp_model.IntVar:
    money = network.money
    literals = [holds for variables in tasks.values() for holds in variables.holds]
    prices = [mode.cost_minor for variables in tasks.values() for mode in variables.task.modes]
    literals += list(options.values())
    prices += [option.cost_minor for option in network.options]
    ashore = _looked_up(model, tasks[money.first].start, money.by_start.astype(np.int64))
    until = _looked_up(model, tasks[money.last].end, money.by_finish.astype(np.int64))
    cost = model.new_int_var(-(10**9), 10**9, "")
    model.add(cost == cp_model.LinearExpr.weighted_sum(literals, prices) + ashore + until)
    return cost
