"""The re-check of a solution names every rule that is broken, and only those."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.plan.evaluate import network_violations, solution_cost
from boottop.plan.network import Network, Option, Placed, Solution, Task
from tests.plan.tiny import COUNT, apart, at, link, mode, network, same_day, solution, task

GOOD = (at("haul", 0, 1), at("one", 2, 4, way="tent"), at("two", 5, 7), at("end", 10, 11))


def _job() -> Network:
    one = (mode("tent", range(30), 2, uses={"crew": 1}, needs=("tent",)), mode("open", [2], 2, without=("tent",)))
    tasks = [
        task("haul", [0], 1),
        Task(key="one", modes=one),
        task("two", range(30), 2, uses={"crew": 1}),
        task("end", range(8, 40), 1),
    ]
    options = (Option(key="tent", cost_minor=7), Option(key="shed", cost_minor=1, excludes=("tent",)))
    links = [link("haul", "one"), link("one", "two", longest=20)]
    groups = (same_day("one", "two"), apart("two", "end"))
    return network(tasks, links, groups=groups, options=options, per_day=(0, 3))


def _plan(*changes: Placed, options: tuple[str, ...] = ("tent",), cost: int = 10) -> Solution:
    by_key = {place.key: place for place in GOOD} | {place.key: place for place in changes}
    return solution(*by_key.values(), options=options, cost=cost)


def test_a_good_plan_has_nothing_against_it_and_adds_up() -> None:
    assert network_violations(_job(), _plan()) == []
    assert solution_cost(_job(), _plan()) == 7 + 3


@pytest.mark.parametrize(
    ("plan", "message"),
    [
        (_plan(at("end", 7, 8)), "end: may not start at 7"),
        (_plan(at("one", 2, 5, way="tent")), "one: ends at 4, not 5"),
        (_plan(options=(), cost=3), "needs tent"),
        (_plan(at("one", 2, 4, way="open")), "cannot be done with tent"),
        (_plan(options=("tent", "shed"), cost=11), "shed and tent exclude"),
        (_plan(options=("tent", "yacht")), "yacht is not on offer"),
        (_plan(at("one", 0, 2, way="tent")), "one starts at 0, not before 1"),
        (_plan(at("two", 25, 27)), "two starts at 25, not after 24"),
        (_plan(at("two", 9, 11)), "spread over days"),
        (_plan(at("end", 9, 10)), "both on days"),
        (_plan(at("two", 3, 5)), "crew: 2 of 1 held in slot 3"),
        (_plan(cost=9), "cost given as 9, added up 10"),
        (_plan(at("one", 2, 4, way="roof")), "no mode 'roof'"),
        (solution(*GOOD[:3], cost=10), "tasks placed"),
    ],
)
def test_what_is_broken_is_named(plan: Solution, message: str) -> None:
    found = network_violations(_job(), plan)
    assert any(message in line for line in found), found


def test_links_by_mode_replace_both_sides() -> None:
    job = _job()
    never = np.full(COUNT + 1, COUNT + 1, np.int32)
    strict = replace(job.links[1], by_mode={"tent": (never, None)})
    found = network_violations(replace(job, links=(job.links[0], strict)), _plan())
    assert found == [f"two starts at 5, not before {COUNT + 1}: one -> two"]
