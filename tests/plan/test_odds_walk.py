"""The walk: every finished walk is a plan of the plan's own network, equal to the walk over plain lists."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.plan.evaluate import network_violations, solution_cost
from boottop.plan.model import solve
from boottop.plan.network import Money, Network
from boottop.plan.odds_names import POLICIES
from boottop.plan.odds_plain import PlainWalk
from boottop.plan.odds_walk import DONE, NEVER, scenarios, walk
from boottop.plan.odds_windows import long_windows
from boottop.plan.rules import network_for
from tests.plan import jobs
from tests.plan.odds_jobs import Case, case_of, job_under, only, random_sky, starts_of, tented

SEEDS = (1, 2, 3, 4)


@pytest.fixture(scope="module", params=SEEDS)
def case(request: pytest.FixtureRequest) -> Case:
    return case_of(request.param)


def test_every_finished_walk_keeps_every_rule_of_the_plan(case: Case) -> None:
    finished = 0
    for ready in case.readies:
        for solution in case.solutions(ready, starts_of(case)):
            priced = replace(solution, cost_minor=solution_cost(case.job.network, solution))
            assert network_violations(_for(case.job.network, ready.way.option.people), priced) == []
            finished += 1
    assert finished > 100


def _for(network: Network, people: int) -> Network:
    """The network of a crew of so many: all of them, and no more, stay clear while the yard moves the stands."""
    tasks = tuple(
        replace(task, modes=tuple(replace(mode, uses={"yard": 1, "crew": people}) for mode in task.modes))
        if task.key == "move_stands"
        else task
        for task in network.tasks
    )
    pools = tuple(replace(pool, capacity=people) if pool.name == "crew" else pool for pool in network.resources)
    return replace(network, tasks=tasks, resources=pools)


def test_walk_equals_plain_lists_number_by_number(case: Case) -> None:
    starts = starts_of(case, every=60)
    until = case.job.network.count
    for ready in case.readies:
        plain = PlainWalk(ready.drafted.with_pool(case.pool))
        found = case.placed(ready, starts)
        for row, start in enumerate(starts.tolist()):
            status, spans = plain.walk(start, until=start + until)
            assert status == found.status[row]
            if status == DONE:
                assert spans == list(zip(found.start[row].tolist(), found.finish[row].tolist(), strict=True))


def test_any_number_of_workers_gives_the_same(case: Case) -> None:
    ready, starts = case.readies[0], starts_of(case)
    program, cut = ready.drafted.with_pool(case.pool), scenarios(starts, slots=10 * 96)
    one, three = (walk(program, ready.loss, cut, workers=workers) for workers in (1, 3))
    for name in ("status", "haul", "launch", "could", "coated", "lost"):
        assert np.array_equal(getattr(one, name), getattr(three, name))


@pytest.mark.parametrize("seed", SEEDS[:2])
def test_no_policy_beats_the_proven_optimum(seed: int) -> None:
    case = case_of(seed, people=2)
    network = case.job.network
    marks = np.arange(network.count + 1, dtype=np.int64)
    earliest = solve(
        replace(
            network,
            tasks=tuple(
                replace(task, modes=tuple(replace(mode, cost_minor=0) for mode in task.modes)) for task in network.tasks
            ),
            options=tuple(replace(option, cost_minor=0) for option in network.options),
            money=Money(first="haul_out", last="launch", by_start=0 * marks, by_finish=100 * marks),
        ),
        time_limit_s=30.0,
    )
    assert earliest.status == "optimal"
    best = next(place.finish for place in earliest.placed if place.key == "launch")
    start = np.zeros(1, np.int32)
    marks_found = [int(case.placed(ready, start).finish[0, -1]) for ready in case.readies]
    assert min(mark for mark in marks_found if mark) >= best


def test_halves_of_the_crew_roll_both_sides_at_once() -> None:
    sky = jobs.Sky()
    case = case_of_sky(sky)
    (ready,) = only(case, policy="each_a_side", first="port", option=case.readies[0].way.option)
    keys, found = ready.drafted.keys, case.placed(ready, np.zeros(1, np.int32))
    port, starboard = (keys.index(f"coat/{side} side/1") for side in ("port", "starboard"))
    assert found.status[0] == DONE
    assert found.start[0, port] < found.finish[0, starboard]
    assert found.start[0, starboard] < found.finish[0, port]
    assert {ready.drafted.modes[keys[at]].uses["crew"] for at in (port, starboard)} == {1}


def case_of_sky(sky: jobs.Sky) -> Case:
    from boottop.plan.odds_ways import Option, draft_ways, ways_for

    job = job_under(sky, jobs.inputs())
    readies, pool = draft_ways({None: job}, jobs.hull(), ways_for([Option(people=2)], "either"))
    return Case(job=job, readies=readies, pool=pool)


def test_sides_asked_apart_are_coated_on_different_days() -> None:
    case = case_of(2, sides="side_a_day")
    assert {ready.way.policy for ready in case.readies} == {"side_a_day", "side_by_side", "leapfrog"}
    for ready in case.readies:
        found = case.placed(ready, starts_of(case))
        port, starboard = (ready.drafted.keys.index(f"coat/{side} side/1") for side in ("port", "starboard"))
        day = ready.drafted.program.day
        done = found.status == DONE
        assert np.all(day[found.start[done][:, port]] != day[found.start[done][:, starboard]])


def test_a_side_named_first_is_coated_first() -> None:
    for ready in case_of(3).readies:
        keys = ready.drafted.keys
        first, second = ready.way.first, {"port": "starboard", "starboard": "port"}[ready.way.first]
        assert keys.index(f"coat/{first} side/1") < keys.index(f"coat/{second} side/1")


def test_every_policy_is_walked_and_named() -> None:
    assert {ready.way.policy for ready in case_of(1).readies} == set(POLICIES)


def test_waiting_for_a_day_that_takes_both_sides_has_an_end() -> None:
    """Never later than waiting for ever, and a patience of no days is no better than a day of it is worse."""
    case = case_of(4, waits=(0, 2))
    for option in {ready.way.option for ready in case.readies}:
        from boottop.plan.odds_ways import walk_way

        together, patient = only(case, option=option, policy="together", first="port")[0:3:2]
        starts = starts_of(case)
        ever = walk_way(together, case.pool, starts, slots=14 * 96)
        some = walk_way(patient, case.pool, starts, slots=14 * 96)
        assert patient.way.wait_days == 2
        kept = (ever.status == DONE) & (ever.coated - ever.could < 96)
        assert np.array_equal(ever.launch[kept], some.launch[kept])
        assert (some.status == DONE).sum() >= (ever.status == DONE).sum()


def test_no_start_means_never() -> None:
    sky = jobs.Sky()
    for day in range(jobs.DAYS):
        sky.rains(day)
    case = case_of_sky(sky)
    for ready in case.readies:
        assert set(case.placed(ready, starts_of(case)).status.tolist()) == {NEVER}


@pytest.mark.parametrize("seed", SEEDS)
def test_windows_for_many_options_give_the_network_of_the_plan(seed: int) -> None:
    inputs, boat, sky = tented(jobs.inputs(people=3)), jobs.hull(), random_sky(seed)
    windows = sky.all_windows(inputs, boat)
    plan = network_for(inputs, boat, windows=windows, climate=sky.climate(boat)).network
    odds = network_for(inputs, boat, windows=long_windows(windows), climate=sky.climate(boat)).network
    for one, other in zip(plan.tasks, odds.tasks, strict=True):
        for mode, again in zip(one.modes, other.modes, strict=True):
            assert (one.key, mode.key) == (other.key, again.key)
            assert np.array_equal(mode.starts, again.starts)
            assert np.array_equal(mode.finish, again.finish)
    for link, same in zip(plan.links, odds.links, strict=True):
        for before, after in ((link.earliest, same.earliest), (link.latest, same.latest)):
            assert (before is None) == (after is None)
            assert before is None or after is None or np.array_equal(before, after)
