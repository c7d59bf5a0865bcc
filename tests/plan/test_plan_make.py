"""From job to plan: lines in order, a bill that adds up, what a person must be told."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from boottop.plan.inputs import ExtraJob, Hire, PlanInput
from boottop.plan.make import make_plan
from boottop.plan.plan import Plan
from boottop.plan.tasks import TASK_KINDS
from tests.plan import jobs


def made(job: PlanInput, sky: jobs.Sky | None = None, told: list[Plan] | None = None) -> Plan:
    boat, sky = jobs.hull(), sky or jobs.Sky()
    return make_plan(
        job,
        boat,
        windows=sky.all_windows(job, boat),
        climate=sky.climate(boat),
        time_limit_s=20.0,
        on_first=None if told is None else told.append,
    )


@pytest.fixture(scope="module")
def rich() -> Plan:
    job = jobs.with_wishes(
        jobs.inputs(), strip=True, dry_h=12.0, wanted_launch=jobs.FIRST_DAY + timedelta(days=7), late_day_minor=5_000
    )
    job = jobs.with_crew(job, people=3, hour_cost_minor=1_900)
    extra = (ExtraJob(name="anodes", duration_h=1.5, after=("coat",)),)
    return made(replace(job, extra_jobs=extra, hire=Hire(helper_people=1, helper_cost_minor=8_000)))


def test_lines_are_in_order_and_of_known_kinds(rich: Plan) -> None:
    assert rich.status == "optimal"
    starts = [task.start for task in rich.tasks]
    assert starts == sorted(starts)
    assert len({task.key for task in rich.tasks}) == len(rich.tasks)
    assert {task.kind for task in rich.tasks} == set(TASK_KINDS) - {"barrier_coat", "primer_coat"}
    assert all(task.start < task.end and task.because for task in rich.tasks)
    assert rich.tasks[0].kind == "haul_out"
    assert rich.tasks[-1].kind == "launch"
    assert (rich.haul_out, rich.launch) == (rich.tasks[0].start, rich.tasks[-1].start)


def test_the_bill_adds_up(rich: Plan) -> None:
    assert rich.cost_minor == sum(line.amount_minor for line in rich.cost_lines)
    words = [line.what for line in rich.cost_lines]
    assert words[0] == "Lift out and lift in"
    assert any(what.endswith(" later than wanted") for what in words)
    assert any(what.startswith("Labour of the crew, ") for what in words)


def test_labour_at_no_wage_is_shown_as_such() -> None:
    assert [line.amount_minor for line in made(jobs.inputs()).cost_lines if line.what.startswith("Labour")] == [0]


def test_drying_is_a_line_of_its_own_and_nobodys_work(rich: Plan) -> None:
    by_key = {task.key: task for task in rich.tasks}
    dry = by_key["dry/port side"]
    assert dry.people == 0
    assert dry.start == by_key["strip/port side"].end
    assert dry.end - dry.start == timedelta(hours=12)
    assert by_key["abrade/port side"].start >= dry.end


def test_what_the_yard_must_be_asked_and_when(rich: Plan) -> None:
    move = next(task for task in rich.tasks if task.kind == "move_stands")
    asked = [finding for finding in rich.findings if finding.startswith("Ask the yard by ")]
    assert len(asked) == 1
    assert f"{(move.start - timedelta(hours=24)).astimezone(jobs.PLACE):%H:%M}" in asked[0]
    assert any("covered while the rest of the laminate dried" in finding for finding in rich.findings)


def test_the_first_plan_is_told_once_and_costs_no_less() -> None:
    told: list[Plan] = []
    best = made(jobs.with_wishes(jobs.inputs(), sides="side_a_day"), told=told)
    assert len(told) == 1
    assert told[0].cost_minor is not None
    assert best.cost_minor is not None
    assert told[0].cost_minor >= best.cost_minor
    assert told[0].launch is not None


def test_the_tent_is_taken_when_it_pays_and_said_to_be_over_the_work() -> None:
    sky = jobs.Sky()
    for day in range(jobs.DAYS):
        sky.rains(day, "13:00", "18:00")
    plan = made(jobs.with_tent(jobs.inputs(), jobs.local(1), jobs.local(9), cost_minor=30_000), sky)
    assert plan.options == ("tent",)
    assert [line.amount_minor for line in plan.cost_lines if line.what == "Tent"] == [30_000]
    for task in plan.tasks:
        assert task.under_tent == (jobs.local(1) <= task.start < jobs.local(9))


def test_a_tent_that_does_not_pay_is_left() -> None:
    plan = made(jobs.with_tent(jobs.inputs(), jobs.local(1), jobs.local(9)))
    assert plan.options == ()
    assert not any(task.under_tent for task in plan.tasks)


def test_dew_on_a_film_not_yet_rain_safe_is_a_finding() -> None:
    sky, job, boat = jobs.Sky(rain_safe_h=20.0), jobs.inputs(), jobs.hull()
    windows = {}
    for key, one in sky.all_windows(job, boat).items():
        dewy = one.dewy.copy()
        dewy[jobs.slots(2, "03:00", "04:00")] = True
        windows[key] = replace(one, dewy=dewy)
    plan = make_plan(job, boat, windows=windows, climate=sky.climate(boat), time_limit_s=20.0)
    coated = {task.start.astimezone(jobs.PLACE).date() for task in plan.tasks if task.kind == "coat"}
    dew = [finding for finding in plan.findings if finding.startswith("Dew forms on coat ")]
    assert bool(dew) == (jobs.FIRST_DAY + timedelta(days=1) in coated)
    assert all("Wed 3 Jun 03:00, before it is rain-safe" in finding for finding in dew)
