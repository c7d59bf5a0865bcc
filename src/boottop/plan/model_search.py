"""Run CP-SAT on a built model and read plans out of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil

from ortools.sat.python import cp_model

from boottop.base.errors import BoottopError
from boottop.plan.first import worth_of
from boottop.plan.model_parts import Built
from boottop.plan.network import Placed, Solution, SolverReport

Reader = Callable[[cp_model.LinearExprT], int]
_STATUS = {cp_model.OPTIMAL: "optimal", cp_model.FEASIBLE: "feasible", cp_model.INFEASIBLE: "infeasible"}


@dataclass(frozen=True, kw_only=True)
class Found:
    """What a search ended with; `least`: no plan has a lower worth."""

    status: str
    least: int | None
    branches: int


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Hands on every plan that beats the one before."""

    def __init__(self, built: Built, offer: Callable[[Solution], None], limit: int | None) -> None:
        super().__init__()
        self.built = built
        self.offer = offer
        self.limit = limit

    def on_solution_callback(self) -> None:
        solution = read(self.built, self.value)
        mine = worth_of(self.built.tables.network, solution)
        if self.limit is None or mine < self.limit:
            self.limit = mine
            self.offer(solution)


def solver_for(seconds: float, workers: int, seed: int) -> cp_model.CpSolver:
    """A solver with everything pinned that makes runs alike."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    return solver


def search(
    built: Built,
    *,
    seconds: float,
    workers: int,
    seed: int,
    limit: int | None,
    offer: Callable[[Solution], None],
) -> Found:
    """Minimise worth; every plan worth less than `limit` and than the one before goes to `offer`."""
    network = built.tables.network
    last = built.tasks[built.tables.index[network.money.last]]
    step = network.count + 2
    built.model.minimize(cp_model.LinearExpr.sum([step * built.cost_units, last.end]))
    solver = solver_for(seconds, workers, seed)
    ended = solver.solve(built.model, _Watcher(built, offer, limit))
    if ended == cp_model.MODEL_INVALID:
        raise BoottopError(f"the solver's model is not valid: {built.model.validate()}")
    status = _STATUS.get(ended, "unknown")
    bound = solver.best_objective_bound
    units = ceil((ceil(bound - 1e-6) - network.count) / step)
    least = (built.base + built.unit * max(units, 0)) * step if status in ("optimal", "feasible", "unknown") else None
    return Found(status=status, least=least, branches=solver.num_branches)


def read(built: Built, value: Reader) -> Solution:
    """The plan behind the values of the variables."""
    network = built.tables.network
    placed = []
    for task, task_vars in zip(network.tasks, built.tasks, strict=True):
        row = next(row for row, holds in task_vars.holds.items() if holds is None or value(holds))
        start = int(value(task_vars.start))
        placed.append(Placed(key=task.key, mode=task.modes[row].key, start=start, finish=int(value(task_vars.end))))
    options = tuple(key for key, option in built.options.items() if value(option))
    cost = built.base + sum(coefficient * int(value(expr)) for coefficient, expr in built.terms)
    report = SolverReport(first_s=None, proof_s=None, total_s=0.0, bound_minor=None, branches=0, variables=0)
    return Solution(status="feasible", placed=tuple(placed), options=options, cost_minor=cost, report=report)
