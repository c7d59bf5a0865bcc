"""What the engine promises, on jobs small enough to check by eye."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.base.errors import BoottopError
from boottop.plan.first import first_plan
from boottop.plan.model import checked, solve
from boottop.plan.model_build import build
from boottop.plan.model_domains import start_masks, tabulate
from boottop.plan.network import Network, Option, Solution, Task
from tests.plan.tiny import COUNT, apart, at, link, mode, network, same_day, solution, task

ANY = range(COUNT)


def _starts(found: Solution) -> dict[str, int]:
    return {place.key: place.start for place in found.placed}


def _solve(job: Network) -> Solution:
    return solve(job, time_limit_s=20.0)


def test_money_comes_before_an_early_finish() -> None:
    dear, cheap = mode("dear", [5], 2, cost_minor=9), mode("cheap", [25], 2)
    found = _solve(network([task("haul", [0], 1), Task(key="end", modes=(dear, cheap))], [link("haul", "end")]))
    assert (found.status, found.cost_minor, _starts(found)["end"]) == ("optimal", 0, 25)


def test_at_equal_cost_the_earliest_finish_wins() -> None:
    found = _solve(network([task("haul", [0, 12], 1), task("end", [7, 9, 21], 2)], [link("haul", "end", 3)]))
    assert (found.cost_minor, _starts(found)["end"]) == (0, 7)


def test_a_later_finish_may_allow_an_earlier_start() -> None:
    early_is_worse = link("coat", "end")
    earliest = np.arange(COUNT + 1, dtype=np.int32)
    earliest[4] = 30
    rule = replace(early_is_worse, earliest=earliest)
    found = _solve(network([task("coat", [2, 6], 2), task("end", ANY, 1)], [rule]))
    assert _starts(found) == {"coat": 6, "end": 8}


def test_at_equal_cost_and_finish_the_plan_with_most_weather_slack_wins() -> None:
    slack = np.zeros(COUNT, np.int32)
    slack[[3, 5, 8]] = [1, 6, 2]
    tasks = [task("haul", [0], 1), task("coat", [3, 5, 8], 2, slack=slack), task("end", [20], 1)]
    found = _solve(network(tasks, [link("haul", "coat"), link("coat", "end")]))
    assert _starts(found)["coat"] == 5


def test_the_smallest_slack_counts_before_the_sum() -> None:
    one, two = np.zeros(COUNT, np.int32), np.zeros(COUNT, np.int32)
    one[[3, 12]], two[[6, 16]] = [8, 3], [0, 3]
    tasks = [
        task("haul", [0], 1),
        task("one", [3, 12], 2, slack=one),
        task("two", [6, 16], 2, slack=two),
        task("end", [30], 1),
    ]
    links = [link("haul", "one"), link("one", "two", longest=3), link("two", "end")]
    assert _starts(_solve(network(tasks, links)))["one"] == 12


def test_tasks_with_a_choice_settle_early_and_those_marked_late_settle_late() -> None:
    sand = replace(task("sand", ANY, 2), late=True)
    tasks = [task("haul", [0], 1), task("wash", ANY, 3), sand, task("end", [30], 1)]
    found = _solve(network(tasks, [link("haul", "wash"), link("wash", "sand"), link("sand", "end")]))
    assert (_starts(found)["wash"], _starts(found)["sand"]) == (1, 28)


def test_one_day_holds_across_tasks_and_a_task_that_ends_at_midnight() -> None:
    tasks = [task("haul", [0], 1), task("one", [7, 14], 3), task("two", ANY, 3), task("end", ANY, 1)]
    links = [link("haul", "one"), link("one", "two"), link("two", "end")]
    found = _solve(network(tasks, links, groups=(same_day("one", "two"),), crew={"": 9}))
    assert (_starts(found)["one"], _starts(found)["two"]) == (14, 17)


def test_tasks_kept_apart_start_on_different_days() -> None:
    tasks = [task("haul", [0], 1), task("one", [3], 2), task("two", ANY, 2), task("end", ANY, 1)]
    links = [link("haul", "one"), link("haul", "two"), link("two", "end")]
    found = _solve(network(tasks, links, groups=(apart("one", "two"),)))
    assert _starts(found)["two"] == 10


@pytest.mark.parametrize(("price", "taken", "end"), [(5, ("helper",), 5), (50, (), 9)])
def test_an_option_is_taken_only_when_it_pays(price: int, taken: tuple[str, ...], end: int) -> None:
    uses = {"crew": 1}
    tasks = [task("haul", [0], 1), task("one", ANY, 4, uses=uses), task("two", ANY, 4, uses=uses)]
    tasks.append(task("end", [5, 9], 1))
    links = [link("haul", "one"), link("haul", "two"), link("one", "end"), link("two", "end")]
    job = network(tasks, links, crew={"": 1, "helper": 1}, options=(Option(key="helper", cost_minor=price),))
    late = replace(job, money=replace(job.money, by_finish=np.arange(COUNT + 1, dtype=np.int64) * 4))
    found = _solve(late)
    assert (found.options, _starts(found)["end"]) == (taken, end)


def test_options_that_exclude_each_other_are_not_taken_together() -> None:
    ways = (mode("a", [2], 1, needs=("a",)), mode("slow", [20], 1))
    other = (mode("b", [2], 1, needs=("b",)), mode("slow", [20], 1))
    tasks = [task("haul", [0], 1), Task(key="x", modes=ways), Task(key="y", modes=other), task("end", ANY, 1)]
    options = (Option(key="a", cost_minor=0, excludes=("b",)), Option(key="b", cost_minor=0))
    found = _solve(network(tasks, [link("x", "end"), link("y", "end")], options=options, crew={"": 9}))
    assert set(found.options) < {"a", "b"}
    assert _starts(found)["end"] == 21


def test_links_may_depend_on_the_mode_and_count_from_the_start() -> None:
    marks = np.arange(COUNT + 1, dtype=np.int32)
    ways = (mode("open", [1], 4, cost_minor=1), mode("tent", [1], 4))
    rule = replace(
        link("coat", "end"), by_mode={"open": (marks + 1, None), "tent": (marks + 20, None)}, from_start=True
    )
    job = network([Task(key="coat", modes=ways), task("end", ANY, 1)], [rule])
    dear = replace(job, money=replace(job.money, by_finish=np.arange(COUNT + 1, dtype=np.int64)))
    found = _solve(dear)
    assert (found.placed[0].mode, _starts(found)["end"]) == ("open", 2)


def test_a_task_that_stops_overnight_ends_where_its_table_says() -> None:
    finish = np.array([min(slot + 3 + 5 * (slot % 10 > 4), COUNT + 1) for slot in range(COUNT)], np.int32)
    strip = Task(key="strip", modes=(replace(mode("only", range(8), 1), finish=finish),))
    found = _solve(
        network([task("haul", [5], 1), strip, task("end", ANY, 1)], [link("haul", "strip"), link("strip", "end")])
    )
    assert (_starts(found)["strip"], _starts(found)["end"]) == (6, 14)


def test_no_plan_is_told_as_proven() -> None:
    found = _solve(network([task("haul", [10], 1), task("end", [5], 1)], [link("haul", "end")]))
    assert (found.status, found.placed, found.cost_minor) == ("infeasible", (), None)
    assert found.report.proof_s is not None


def test_without_time_the_first_plan_stands_with_an_honest_bound() -> None:
    uses = {"crew": 1}
    tasks = [task("haul", [0, 1], 1), *(task(f"t{n}", ANY, 3, uses=uses) for n in range(4)), task("end", ANY, 1)]
    links = [line for n in range(4) for line in (link("haul", f"t{n}"), link(f"t{n}", "end"))]
    found = solve(network(tasks, links, per_day=(-3, 3)), time_limit_s=0.0)
    assert found.status == "feasible"
    assert found.report.proof_s is None
    assert found.report.bound_minor is not None
    assert found.cost_minor is not None
    assert found.report.bound_minor <= found.cost_minor


def test_every_plan_told_beats_the_one_before() -> None:
    told: list[Solution] = []
    uses = {"crew": 1}
    tasks = [task("haul", ANY, 1), *(task(f"t{n}", ANY, 3, uses=uses) for n in range(5)), task("end", ANY, 1)]
    links = [line for n in range(5) for line in (link("haul", f"t{n}"), link(f"t{n}", "end"))]
    found = solve(network(tasks, links, per_day=(-5, 7)), time_limit_s=20.0, on_better=told.append)
    worths = [(plan.cost_minor or 0, plan.placed[-1].finish) for plan in told]
    assert worths == sorted(worths, reverse=True)
    assert len(set(worths)) == len(worths)
    assert worths[-1] == (found.cost_minor, found.placed[-1].finish)
    assert found.report.first_s is not None
    assert found.report.first_s <= found.report.total_s


def test_the_first_plan_is_the_same_for_the_same_job() -> None:
    uses = {"crew": 1}
    job = network([task("haul", ANY, 1), task("one", ANY, 2, uses=uses), task("two", ANY, 2, uses=uses)], [])
    assert first_plan(job, seed=1) == first_plan(job, seed=1) is not None


def test_a_constant_lag_costs_no_literal() -> None:
    job = network(
        [task("haul", [0, 3], 1), task("one", ANY, 2), task("end", ANY, 1)],
        [link("haul", "one", 4), link("one", "end")],
    )
    tables = tabulate(job)
    assert len(build(tables, start_masks(tables, None), []).model.proto.variables) == len(job.tasks)


def test_a_plan_that_breaks_its_rules_is_our_own_fault() -> None:
    job = network([task("haul", [0], 1), task("end", ANY, 1)], [link("haul", "end", 5)])
    with pytest.raises(BoottopError, match="end starts at 3, not before 6"):
        checked(job, solution(at("haul", 0, 1), at("end", 3, 4)))
