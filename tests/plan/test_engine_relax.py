"""When no plan exists: which rules clash, and what would have to give."""

from __future__ import annotations

from dataclasses import replace

from boottop.plan.evaluate import network_violations
from boottop.plan.network import Explanation, Network, Solution, Task, Way
from boottop.plan.relax import explain
from boottop.plan.relax_drop import dropped
from tests.plan.tiny import apart, link, mode, network, same_day, solution, task

ANY = range(40)
CREW = {"crew": 1}


def _explain(job: Network) -> Explanation:
    return explain(job, time_limit_s=10.0)


def _single(found: Explanation) -> set[tuple[str, ...]]:
    return {way.groups for way in found.ways}


def _coats(*starts: range | list[int]) -> list[Task]:
    coats = [task(f"coat{n}", some, 3, uses=CREW) for n, some in enumerate(starts)]
    return [task("haul", [0], 1), *(replace(coat, group="weather") for coat in coats), task("end", ANY, 1)]


def test_a_job_with_a_plan_needs_no_explanation() -> None:
    found = _explain(network([task("haul", [0], 1), task("end", ANY, 1)], [link("haul", "end")]))
    assert found.feasible
    assert (found.core, found.ways, found.empty) == ((), (), ())


def test_a_task_without_a_single_start_is_named_before_solving() -> None:
    ways = (mode("two hands", [], 2), mode("three hands", ANY, 2, uses={"crew": 3}))
    job = network([task("haul", [0], 1), Task(key="coat", modes=ways), task("end", ANY, 1)], [], crew={"": 2})
    found = _explain(job)
    assert found.empty == (
        "no admissible start for task coat in mode two hands; "
        "task coat in mode three hands needs 3 of crew, there are 2 at most",
    )
    assert ("pool: crew",) in _single(found)
    assert next(way for way in found.ways if way.groups == ("pool: crew",)).extra == {"crew": 1}


def test_one_day_against_the_weather() -> None:
    tasks = _coats([4, 5], [12, 13])
    links = [link("haul", "coat0"), link("coat0", "coat1"), link("coat1", "end")]
    found = _explain(network(tasks, links, groups=(same_day("coat0", "coat1"),)))
    assert set(found.core) == {"one day", "weather", "known time"}
    assert found.minimal
    assert found.ways[0].groups == ("one day",)
    assert found.rules["one day"] == ("in one day",)


def test_the_plan_of_a_way_shows_how_near_it_came() -> None:
    tasks = _coats([4, 5], [12, 13])
    links = [link("haul", "coat0"), link("coat0", "coat1"), link("coat1", "end")]
    found = _explain(network(tasks, links, groups=(same_day("coat0", "coat1"),)))
    way = next(way for way in found.ways if way.groups == ("weather",))
    assert len(way.out_of_line) == 1
    assert {place.key for place in way.placed} == {"haul", "coat0", "coat1", "end"}


def test_too_few_hands_on_the_only_day() -> None:
    tasks = _coats([2], [3])
    found = _explain(network(tasks, [link("haul", "coat0"), link("coat0", "end"), link("coat1", "end")]))
    assert "pool: crew" in found.core
    way = next(way for way in found.ways if way.groups == ("pool: crew",))
    assert way.extra == {"crew": 1}
    assert way.out_of_line == ()


def test_work_that_does_not_fit_into_the_known_time_may_be_put_off() -> None:
    tasks = [task("haul", [30], 1), task("cure", ANY, 8), task("end", ANY, 4)]
    found = _explain(network(tasks, [link("haul", "cure"), link("cure", "end")]))
    way = next(way for way in found.ways if way.groups == ("known time",))
    assert way.out_of_line == ("end",)
    assert way.placed[-1].start == 41


def test_two_sides_kept_apart_on_the_only_fair_day() -> None:
    tasks = _coats([2], [6])
    links = [link("coat0", "end"), link("coat1", "end")]
    found = _explain(network(tasks, links, groups=(apart("coat0", "coat1"),)))
    assert found.ways[0].groups == ("apart",)


def test_two_clashes_need_a_way_that_breaks_both() -> None:
    tasks = _coats([4], [14])
    tasks.insert(3, replace(task("gear", [22], 3), group="gear weather"))
    links = [link("coat0", "coat1"), link("coat1", "gear", longest=2, group="soon"), link("gear", "end")]
    found = _explain(network(tasks, links, groups=(same_day("coat0", "coat1"),)))
    assert found.ways
    assert all(len(way.groups) >= 2 or way.groups in {("weather",), ("known time",)} for way in found.ways)


def test_waiting_is_blamed_only_when_asked() -> None:
    tasks = [task("haul", [0], 1), task("end", [5], 1)]
    job = network(tasks, [link("haul", "end", 8, group="cure")])
    assert "cure" not in _explain(job).core
    assert "cure" in explain(job, time_limit_s=10.0, weights={"cure": 1}).core


def test_firm_groups_are_never_offered() -> None:
    tasks = _coats([4, 5], [12, 13])
    links = [link("haul", "coat0"), link("coat0", "coat1"), link("coat1", "end")]
    job = network(tasks, links, groups=(same_day("coat0", "coat1"),))
    found = explain(job, time_limit_s=10.0, firm=("one day",))
    assert found.ways
    assert all("one day" not in way.groups for way in found.ways)


def test_without_time_nothing_is_claimed() -> None:
    tasks = _coats([4, 5], [12, 13])
    found = explain(network(tasks, [link("coat0", "coat1")], groups=(same_day("coat0", "coat1"),)), time_limit_s=0.0)
    assert not found.feasible
    assert not found.minimal
    assert not found.complete


def _kept(job: Network, way: Way) -> Solution:
    return solution(*way.placed, options=way.options)


def test_a_way_breaks_no_rule_but_those_given_up() -> None:
    tasks = _coats([4, 5], [12, 13])
    links = [link("haul", "coat0"), link("coat0", "coat1"), link("coat1", "end")]
    job = network(tasks, links, groups=(same_day("coat0", "coat1"),))
    way = _explain(job).ways[0]
    assert network_violations(dropped(job, way.groups), _kept(job, way)) == []
