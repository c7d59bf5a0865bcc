"""Among plans of equal cost and finish, the one the weather is least likely to upset.

Slack counts up to `ENOUGH` slots: beyond that a forecast says little. The smallest slack is made as large as it can
be, then the sum.
"""

from __future__ import annotations

import numpy as np
from ortools.sat.python import cp_model

from boottop.plan.first import worth_of
from boottop.plan.model_build import add_hint, build
from boottop.plan.model_outer import Prepared, still_open
from boottop.plan.model_parts import Built
from boottop.plan.model_search import read, solver_for
from boottop.plan.model_settle import ENOUGH, settled
from boottop.plan.network import Network, Placed, Solution


def with_slack(prepared: Prepared, best: Solution, seconds: float, *, workers: int, seed: int) -> Solution:
    """A plan of the same cost and finish with as much weather slack as the seconds allow."""
    network = prepared.tables.network
    finish = next(place.finish for place in best.placed if place.key == network.money.last)
    cost = best.cost_minor or 0
    if any(mode.slack is not None for task in network.tasks for mode in task.modes):
        left = still_open(prepared, worth_of(network, best))
        if left is not None:
            built = build(prepared.tables, left[1], left[0])
            solver = solver_for(seconds, workers, seed)
            best = _most_slack(built, best, fixed=(cost, finish), solver=solver)
    return settled(prepared.tables, best)


def _most_slack(built: Built, best: Solution, *, fixed: tuple[int, int], solver: cp_model.CpSolver) -> Solution:
    network = built.tables.network
    built.model.add(built.tasks[built.tables.index[network.money.last]].end == fixed[1])
    built.model.add(built.cost_units == (fixed[0] - built.base) // built.unit)
    least = [built.model.new_bool_var("") for _ in range(ENOUGH)]
    levels = [_levels(built, number, least) for number in range(len(built.tasks))]
    number = sum(len(mine) for mine in levels)
    built.model.maximize((number + 1) * sum(least) + sum(literal for mine in levels for literal in mine))
    add_hint(built, best.placed, best.options)
    if solver.solve(built.model) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        found = read(built, solver.value)
        if _score(network, found.placed) > _score(network, best.placed):
            return found
    return best


def _levels(built: Built, number: int, least: list[cp_model.IntVar]) -> list[cp_model.IntVar]:
    """One literal a level of slack: it holds only for starts with that much; `least` holds only where all do."""
    task, modes = built.tasks[number], built.tables.network.tasks[number].modes
    if all(modes[row].slack is None for row in task.rows):
        return []
    literals = []
    for level in range(1, ENOUGH + 1):
        literal = built.model.new_bool_var("")
        for row in task.rows:
            slack = modes[row].slack
            if slack is None:
                continue
            enough = np.flatnonzero(built.masks[number][row] & (slack >= level)).tolist()
            holds = task.holds[row]
            when = [literal] if holds is None else [literal, holds]
            domain = cp_model.Domain.from_values(enough)
            built.model.add_linear_expression_in_domain(task.start, domain).only_enforce_if(when)
        built.model.add_implication(least[level - 1], literal)
        literals.append(literal)
    return literals


def _score(network: Network, placed: tuple[Placed, ...]) -> tuple[int, int]:
    """Smallest slack and sum of slack, each counted up to `ENOUGH`."""
    where = {place.key: place for place in placed}
    slacks = [
        max(0, min(ENOUGH, int(mode.slack[where[task.key].start])))
        for task in network.tasks
        for mode in task.modes
        if mode.slack is not None and mode.key == where[task.key].mode
    ]
    return (min(slacks), sum(slacks)) if slacks else (0, 0)
