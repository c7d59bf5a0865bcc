"""The engine and an exact second opinion give the same cost and the same finish on 200 random small jobs."""

from __future__ import annotations

import pytest

from boottop.plan.model import solve
from boottop.plan.network import Solution
from tests.plan.oracle import best_plan
from tests.plan.small_jobs import as_network, random_job

EACH = 20


def _worth(solution: Solution) -> tuple[int, int] | None:
    if solution.cost_minor is None:
        return None
    return solution.cost_minor, next(place.finish for place in solution.placed if place.key == "launch")


@pytest.mark.parametrize("chunk", range(10))
def test_engine_equals_oracle(chunk: int) -> None:
    expected, found, statuses = {}, {}, set()
    for seed in range(chunk * EACH, (chunk + 1) * EACH):
        job = random_job(seed)
        expected[seed] = best_plan(job)
        solution = solve(as_network(job), time_limit_s=30.0, secondary=False)
        found[seed] = _worth(solution)
        statuses.add(solution.status)
    assert found == expected
    assert statuses <= {"optimal", "infeasible"}
    assert len(set(expected.values())) >= EACH // 3, "jobs that all come out alike compare nothing"
