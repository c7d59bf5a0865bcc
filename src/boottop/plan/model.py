"""Solve a job: narrow it, show a first plan at once, improve it to proof, then give it weather slack.

The clock read here is a stop-watch (how long the work took, when to stop), never the time of day.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from time import perf_counter

from boottop.base.errors import BoottopError
from boottop.plan.evaluate import network_violations
from boottop.plan.first import first_plans, worth_of
from boottop.plan.model_outer import Prepared, prepare, still_open
from boottop.plan.network import Network, Solution, SolverReport

OnBetter = Callable[[Solution], None]
SLACK_SHARE_S = 1.0


@dataclass(kw_only=True)
class _Run:
    """One call of `solve`: its stop-watch, the best plan so far, and what the report needs."""

    network: Network
    time_limit_s: float
    on_better: OnBetter | None
    began_s: float = field(default_factory=perf_counter)
    best: Solution | None = None
    first_s: float | None = None
    branches: int = 0
    variables: int = 0

    def spent_s(self) -> float:
        return perf_counter() - self.began_s

    def left_s(self) -> float:
        return max(0.0, self.time_limit_s - self.spent_s())

    def best_worth(self) -> int | None:
        return None if self.best is None else worth_of(self.network, self.best)

    def offer(self, solution: Solution) -> None:
        """Check a plan, keep it and tell the caller."""
        checked(self.network, solution)
        self.first_s = self.first_s if self.first_s is not None else self.spent_s()
        self.best = replace(solution, status="feasible", report=self.report(None, None))
        if self.on_better is not None:
            self.on_better(self.best)

    def report(self, proof_s: float | None, bound_minor: int | None) -> SolverReport:
        return SolverReport(
            first_s=self.first_s,
            proof_s=proof_s,
            total_s=self.spent_s(),
            bound_minor=bound_minor,
            branches=self.branches,
            variables=self.variables,
        )


def checked(network: Network, solution: Solution) -> Solution:
    """The solution itself, or an error of ours when it breaks the rules it was to keep."""
    broken = network_violations(network, solution)
    if broken:
        raise BoottopError("the solver's plan breaks its own rules: " + "; ".join(broken[:5]))
    return solution


def solve(
    network: Network,
    *,
    time_limit_s: float,
    on_better: OnBetter | None = None,
    workers: int = 2,
    seed: int = 1,
    secondary: bool = True,
) -> Solution:
    """The cheapest plan, then the earliest, then the one with most weather slack; proven unless time runs out.

    `on_better` is told every plan that beats the one before, the first one at once. `secondary` false leaves the
    weather slack out. Plans of equal cost and finish may differ from run to run with more than one worker.
    """
    run = _Run(network=network, time_limit_s=time_limit_s, on_better=on_better)
    prepared = prepare(network)
    if not prepared.choices:
        return _none("infeasible", run)
    for plan in first_plans(prepared, seed=seed):
        run.offer(plan)
    status, bound = _improve(run, prepared, workers=workers, seed=seed)
    if run.best is None:
        return _none(status, run)
    proof_s = run.spent_s() if status == "optimal" else None
    best = run.best
    if status == "optimal" and secondary and run.left_s() > 0.0:
        from boottop.plan.model_slack import with_slack

        best = with_slack(prepared, best, min(SLACK_SHARE_S, run.left_s()), workers=workers, seed=seed)
        checked(network, best)
    return replace(best, status=status, report=run.report(proof_s, bound))


def _none(status: str, run: _Run) -> Solution:
    proof_s = run.spent_s() if status == "infeasible" else None
    return Solution(status=status, placed=(), options=(), cost_minor=None, report=run.report(proof_s, None))


def _improve(run: _Run, prepared: Prepared, *, workers: int, seed: int) -> tuple[str, int | None]:
    """Take the best plan to proof; the status and the bound on cost."""
    limit = run.best_worth()
    left = still_open(prepared, limit)
    floor = prepared.choices[0].least
    if left is None or limit == floor:
        return ("infeasible", None) if run.best is None else ("optimal", run.best.cost_minor)
    if run.left_s() <= 0.0:
        return ("unknown" if run.best is None else "feasible"), _cost_floor(run.network, floor)
    from boottop.plan.model_build import add_hint, build
    from boottop.plan.model_search import search

    built = build(prepared.tables, left[1], left[0])
    if run.best is not None:
        add_hint(built, run.best.placed, run.best.options)
    run.variables = len(built.model.proto.variables)
    found = search(built, seconds=run.left_s(), workers=workers, seed=seed, limit=limit, offer=run.offer)
    run.branches = found.branches
    if found.status == "optimal" and run.best is not None:
        return "optimal", run.best.cost_minor
    if found.status == "infeasible" and run.best is not None:
        raise BoottopError("the solver denies a plan that was checked: the model and the rules disagree")
    bound = None if found.least is None else max(found.least, floor)
    return found.status if run.best is None else "feasible", None if bound is None else _cost_floor(run.network, bound)


def _cost_floor(network: Network, least_worth: int) -> int:
    """The least cost a plan of at least this worth can have."""
    return -((network.count - least_worth) // (network.count + 2))
