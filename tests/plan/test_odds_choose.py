"""The choice over an ensemble: confidence limits, the cheapest that keeps the risk, differences on the same members."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.plan.choose_pick import choose, difference, rate, upper_limit
from boottop.plan.choose_walk import Candidate, Results, Table, candidates, results
from boottop.plan.evaluate import solution_cost
from boottop.plan.network import Placed, Solution, SolverReport
from boottop.plan.odds_order import order_of
from boottop.plan.odds_program import Choice, Drafted, Pool, draft_program
from boottop.plan.odds_walk import DONE, Placements, scenarios, walk_placed
from boottop.plan.rules import network_for
from boottop.plan.rules_shared import Shared
from tests.plan import jobs
from tests.plan.odds_jobs import job_under, random_sky

BASE = Candidate(haul=36, helper=False, tent=False, first="port", policy="side_a_day")
TENT = replace(BASE, tent=True)
LATER = replace(BASE, haul=132)


def table_of(*columns: tuple[list[int], list[bool]]) -> Results:
    """Cost and lateness by candidate."""
    cost = np.array([cost for cost, _ in columns], dtype=np.int64).T
    late = np.array([late for _, late in columns]).T
    return Results(cost_minor=cost, launch_day=np.where(late, 0, 9), late=late)


@pytest.mark.parametrize("members", [10, 50, 200])
def test_upper_limit_without_a_late_member_has_a_closed_form(members: int) -> None:
    """0 of n: (1 - p)^n = 0.025, so p = 1 - 0.025^(1/n)."""
    assert upper_limit(0, members) == pytest.approx(1.0 - 0.025 ** (1.0 / members), rel=1e-12)


def test_upper_limit_solves_its_binomial_equation() -> None:
    limit = upper_limit(2, 50)
    tail = sum(float(n) * limit**k * (1.0 - limit) ** (50 - k) for k, n in ((0, 1), (1, 50), (2, 1225)))
    assert tail == pytest.approx(0.025, rel=1e-9)
    assert upper_limit(5, 5) == 1.0


def test_the_cheapest_that_keeps_the_risk_is_picked_and_the_doubt_is_said() -> None:
    members = 20
    cheap = ([100] * members, [True] * 4 + [False] * 16)
    tent = ([150] * members, [True] + [False] * 19)
    dear = ([400] * members, [False] * members)
    chosen = choose((BASE, TENT, LATER), table_of(cheap, tent, dear), risk=0.05)
    assert chosen.pick is not None
    assert chosen.pick.candidate == TENT
    assert chosen.sure is None
    assert chosen.safest.candidate == LATER
    assert [round(step.points) for step in chosen.frontier] == [0, 15, 5]
    assert [step.cost_minor for step in chosen.frontier] == [0.0, 50.0, 250.0]


def test_no_choice_keeps_the_risk() -> None:
    chosen = choose((BASE, TENT), table_of(([1, 1], [True, True]), ([2, 2], [True, False])), risk=0.1)
    assert chosen.pick is None
    assert chosen.safest.candidate == TENT


def test_differences_are_taken_member_by_member() -> None:
    """What varies between members but not between choices drops out."""
    spread = np.array([0, 1000, 2000, 3000])
    found = table_of(
        (spread.tolist(), [True, False, False, True]), ((spread + 31).tolist(), [False, False, True, False])
    )
    base, other = (rate((BASE, TENT), found, index) for index in range(2))
    step = difference(found, base, other)
    assert (step.cost_minor, step.error_minor) == (31.0, 0.0)
    assert (step.sooner, step.later) == (2, 1)
    assert step.points == 25.0
    assert base.cost_sd_minor > 1000


def test_one_change_at_a_time_is_set_against_the_pick() -> None:
    both = replace(TENT, haul=132)
    columns = [([100 + index] * 4, [False] * 4) for index in range(4)]
    chosen = choose((BASE, TENT, LATER, both), table_of(*columns), risk=0.1)
    assert {step.other.candidate for step in chosen.against} == {TENT, LATER}


def test_the_best_policy_stands_for_a_choice() -> None:
    other = replace(BASE, policy="together")
    chosen = choose((BASE, other), table_of(([5, 5], [True, False]), ([9, 9], [False, False])), risk=0.5)
    assert [one.candidate for one in chosen.table] == [other]


def test_costs_are_those_of_the_plan() -> None:
    """Cost of a walked choice equals the plan's own sum over the same tasks."""
    inputs = jobs.with_tent(jobs.inputs(), jobs.local(2), jobs.local(9))
    job = job_under(random_sky(3), inputs)
    hauls = tuple(np.flatnonzero(job.network.tasks[0].modes[0].starts)[:3].tolist())
    asked = candidates(inputs, hauls, tent=True)
    cost, day = Table(jobs.hull(), asked).row(job)
    checked = 0
    for index, one in enumerate(asked):
        options = ("tent",) if one.tent else ()
        pool = Pool(count=job.network.count)
        order = order_of(job, jobs.hull(), policy=one.policy, first=one.first)
        drafted = draft_program(job, order, Choice(people=2, options=options), pool=pool)
        case = scenarios(np.array([one.haul], np.int32), slots=job.network.count)
        found = walk_placed(drafted.with_pool(pool.rows()), case)
        if found.status[0] != DONE or found.start[0, 0] != one.haul:
            assert day[index] == 0
            continue
        solution = _solution(drafted, found, options)
        assert cost[index] == solution_cost(job.network, solution)
        checked += 1
    assert checked > 10


def _solution(drafted: Drafted, found: Placements, options: tuple[str, ...]) -> Solution:
    placed = tuple(
        Placed(key=key, mode=drafted.modes[key].key, start=int(found.start[0, at]), finish=int(found.finish[0, at]))
        for at, key in enumerate(drafted.keys)
    )
    report = SolverReport(first_s=None, proof_s=None, total_s=0.0, bound_minor=None, branches=0, variables=0)
    return Solution(status="feasible", placed=placed, options=options, cost_minor=None, report=report)


def test_late_is_after_the_deadline_or_not_at_all() -> None:
    rows = [(np.array([1, 2, 3]), np.array([100, 101, 0]))]
    assert results(rows, deadline=100).late.tolist() == [[False, True, True]]


def test_a_job_without_tent_or_helper_offers_none() -> None:
    asked = candidates(jobs.inputs(), (36,), tent=False)
    assert not any(one.tent or one.helper for one in asked)


def test_members_that_share_arrays_get_what_they_would_have_alone() -> None:
    """Every array of every task and link, member by member."""
    inputs, shared = jobs.with_tent(jobs.inputs(), jobs.local(2), jobs.local(9)), Shared()
    for seed in (1, 2, 1):
        sky, boat = random_sky(seed), jobs.hull()
        windows, climate = sky.all_windows(inputs, boat), sky.climate(boat)
        together, alone = (
            network_for(inputs, boat, windows=windows, climate=climate, shared=one).network for one in (shared, None)
        )
        for mine, other in zip(together.tasks, alone.tasks, strict=True):
            assert [mode.key for mode in mine.modes] == [mode.key for mode in other.modes]
            for one, same in zip(mine.modes, other.modes, strict=True):
                assert np.array_equal(one.starts, same.starts)
                assert np.array_equal(one.finish, same.finish)
        for link, twin in zip(together.links, alone.links, strict=True):
            assert (link.before, link.after, link.rule) == (twin.before, twin.after, twin.rule)
            for edge in ("earliest", "latest"):
                assert np.array_equal(getattr(link, edge), getattr(twin, edge))
    assert len(shared.made) > 10
