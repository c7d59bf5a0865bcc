"""What a plan made anew does with what was done: pinned, gone back on where it must, and told."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from boottop.job.step_film import TOUCH_HOLDS_S
from boottop.plan.inputs import ExtraJob, Hire, PlanInput
from boottop.plan.make import make_plan
from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.progress import TOUCH_HOLDS, Deed, Progress
from tests.plan import jobs
from tests.plan.carried_out import carried_out

BOAT = jobs.hull()
PORT_2 = ("coat", "port side", 2)
QUARTER = timedelta(minutes=15)


def made(sky: jobs.Sky, progress: Progress | None = None, *, job: PlanInput | None = None) -> Plan:
    """The small job under a sky."""
    job = job or jobs.inputs()
    windows, climate = sky.all_windows(job, BOAT), sky.climate(BOAT)
    return make_plan(job, BOAT, windows=windows, climate=climate, time_limit_s=20.0, progress=progress)


@pytest.fixture(scope="module")
def first() -> Plan:
    return made(jobs.Sky())


def task_of(plan: Plan, key: str) -> PlannedTask:
    """The task of a key."""
    return next(task for task in plan.tasks if task.key == key)


def after_port_2(plan: Plan, by: timedelta = timedelta(minutes=5)) -> Progress:
    """Coat 2 of the port side is on; what else was in hand is done by then."""
    at = task_of(plan, "coat/port side/2").end
    begun = carried_out(plan, at + timedelta(minutes=5))
    deeds = tuple(replace(deed, end=deed.end or at) for deed in begun.deeds)
    return replace(begun, at=at + by, deeds=deeds)


def told(progress: Progress, **fields: object) -> Progress:
    """More is known of coat 2 of the port side."""
    deeds = tuple(
        replace(deed, **fields) if deed.place == PORT_2 else deed  # type: ignore[arg-type]  # fields by name
        for deed in progress.deeds
    )
    return replace(progress, deeds=deeds)


def test_what_was_done_stands_at_its_own_time_and_the_rest_lies_ahead(first: Plan) -> None:
    progress = after_port_2(first)
    again = made(jobs.Sky(), progress)
    done = [task for task in again.tasks if task.state == "done"]
    assert {(task.kind, task.zone, task.coat) for task in done} == {deed.place for deed in progress.deeds}
    assert all(task.start >= progress.at for task in again.tasks if task.state == "to do")
    assert (again.cost_minor, again.launch) == (first.cost_minor, first.launch)
    assert all(hours.start >= progress.at for hours in again.unused)


def test_times_are_those_of_the_log_to_the_minute(first: Plan) -> None:
    progress = after_port_2(first)
    ended = task_of(first, "coat/port side/2").end + timedelta(minutes=3)
    again = made(jobs.Sky(), told(progress, end=ended))
    assert task_of(again, "coat/port side/2").end == ended
    assert task_of(again, "coat/port side/3").start >= ended + timedelta(minutes=45)


def test_a_missed_window_is_cured_sanded_and_wiped_and_says_why(first: Plan) -> None:
    again = made(jobs.Sky(), after_port_2(first, by=timedelta(hours=20)))
    sand, wipe = task_of(again, "abrade/port side/again"), task_of(again, "wipe/port side/again")
    coat = task_of(again, "coat/port side/3")
    assert sand.start >= task_of(again, "coat/port side/2").end + timedelta(hours=48)
    assert sand.end <= wipe.start < wipe.end <= coat.start <= wipe.end + timedelta(hours=6)
    assert "the longest overcoat time of coat 2, port side ended" in sand.because
    assert any("cured, sanded and wiped" in finding for finding in again.findings)
    assert again.launch is not None
    assert first.launch is not None
    assert again.launch > first.launch


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"touch": "past tacky"}, "coat 2, port side is past tacky to the touch"),
        ({"rained": True}, "rain fell on coat 2, port side before it was rain-safe"),
    ],
)
def test_a_spoilt_film_goes_the_same_way_back(first: Plan, fields: dict[str, object], says: str) -> None:
    progress = after_port_2(first)
    again = made(jobs.Sky(), told(progress, **fields, touched=progress.at))
    assert says in task_of(again, "abrade/port side/again").because
    assert not [task for task in again.tasks if task.key == "abrade/starboard side/again"]


def test_rain_that_leaves_no_hour_for_the_next_coat_sends_it_the_way_back(first: Plan) -> None:
    progress = after_port_2(first)
    local = progress.at.astimezone(jobs.PLACE)
    wet = jobs.Sky().rains((local.date() - jobs.FIRST_DAY).days, f"{(local + timedelta(minutes=30)):%H}:30")
    again = made(wet, progress)
    assert "the next coat cannot follow before the last is too hard to bond" in \
        task_of(again, "abrade/port side/again").because  # fmt: skip
    assert any("Rain is forecast at" in finding and "coat 2, port side" in finding for finding in again.findings)


def test_a_long_window_gives_the_rest_another_day_without_sanding(first: Plan) -> None:
    again = made(jobs.Sky(overcoat_h=30.0), after_port_2(first, by=timedelta(hours=20)))
    assert not [task for task in again.tasks if task.key.endswith("/again")]
    days = {task_of(again, f"coat/port side/{coat}").start.date() for coat in (3, 4)}
    assert days == {task_of(again, "coat/port side/2").start.date() + timedelta(days=1)}
    assert any("the day of coat 2, port side is over" in finding for finding in again.findings)


def test_sanded_already_goes_on_with_wiping(first: Plan) -> None:
    progress = after_port_2(first, by=timedelta(hours=69))
    sanded = Deed(kind="abrade", zone="port side", end=progress.at - timedelta(hours=4))
    again = made(jobs.Sky(), replace(progress, deeds=(*progress.deeds, sanded)))
    assert task_of(again, "abrade/port side/again").state == "done"
    wiped = Deed(kind="wipe", zone="port side", end=progress.at - timedelta(hours=1))
    further = made(jobs.Sky(), replace(progress, deeds=(*progress.deeds, sanded, wiped)))
    assert task_of(further, "wipe/port side/again").state == "done"
    assert task_of(further, "coat/port side/3").start <= wiped.latest + timedelta(hours=6)


def test_tacky_opens_at_once_and_wet_waits_ten_minutes(first: Plan) -> None:
    assert timedelta(seconds=TOUCH_HOLDS_S) == TOUCH_HOLDS
    progress = after_port_2(first, by=timedelta(minutes=10))
    tacky = made(jobs.Sky(tacky_h=2.0), told(progress, touch="tacky", touched=progress.at))
    assert task_of(tacky, "coat/port side/3").start - progress.at < QUARTER
    assert "was tacky to the touch" in task_of(tacky, "coat/port side/3").because
    late = after_port_2(first, by=timedelta(minutes=50))
    wet = made(jobs.Sky(), told(late, touch="wet", touched=late.at))
    assert late.at + TOUCH_HOLDS <= task_of(wet, "coat/port side/3").start


def test_what_later_work_shows_to_be_done_is_taken_as_done_and_said(first: Plan) -> None:
    progress = after_port_2(first)
    only = tuple(deed for deed in progress.deeds if deed.kind == "coat" and deed.zone == "port side" and deed.coat == 2)
    again = made(jobs.Sky(), replace(progress, deeds=only))
    assert {task.state for task in again.tasks if task.zone == "port side" and task.end <= progress.at} == {
        "done", "taken as done"
    }  # fmt: skip
    assert any(finding.startswith("Not written down, taken as done") for finding in again.findings)
    assert task_of(again, "coat/starboard side/1").state == "to do"


def test_a_wiping_holds_six_hours(first: Plan) -> None:
    wipe = task_of(first, "wipe/port side")
    begun = carried_out(first, wipe.end)
    assert task_of(made(jobs.Sky(), begun), "wipe/port side").state == "done"
    late = made(jobs.Sky(), replace(begun, at=wipe.end + timedelta(hours=6, minutes=15)))
    assert task_of(late, "wipe/port side").state == "to do"


def test_dull_copper_is_laid_bare_again(first: Plan) -> None:
    assert first.launch is not None
    begun = carried_out(first, first.launch - QUARTER)
    done = replace(begun, deeds=tuple(replace(deed, end=deed.end or begun.at) for deed in begun.deeds))
    again = made(jobs.Sky(), replace(done, at=first.launch + timedelta(days=2, hours=6)))
    assert task_of(again, "activate/port side").state == "to do"
    assert any("laid bare once more" in finding for finding in again.findings)


def test_own_jobs_wait_for_their_entry(first: Plan) -> None:
    job = replace(jobs.inputs(), extra_jobs=(ExtraJob(name="anodes", duration_h=1.0),))
    plan = made(jobs.Sky(), job=job)
    at = task_of(plan, "extra/anodes").end + timedelta(hours=1)
    begun = carried_out(plan, at)
    silent = replace(begun, deeds=tuple(deed for deed in begun.deeds if deed.kind != "extra"))
    assert task_of(made(jobs.Sky(), begun, job=job), "extra/anodes").state == "done"
    again = made(jobs.Sky(), silent, job=job)
    assert task_of(again, "extra/anodes").state == "to do"
    said = next(finding for finding in again.findings if finding.startswith("anodes: not written down as done"))
    assert "as other work" in said


def test_more_hands_in_the_log_than_the_crew_has_do_not_stop_the_plan(first: Plan) -> None:
    start = task_of(first, "coat/port side/2").start
    begun = carried_out(first, start + QUARTER)
    many = replace(begun, deeds=tuple(replace(deed, people=9) if deed.end is None else deed for deed in begun.deeds))
    again = made(jobs.Sky(), many)
    assert again.status == "optimal"
    assert task_of(again, "coat/port side/2").state == "in hand"


def tented(first_day: int) -> PlanInput:
    """The job with a tent on offer over the rainy days."""
    return jobs.with_tent(jobs.inputs(), jobs.local(first_day, "06:00"), jobs.local(9, "20:00"), cost_minor=100)


def test_a_tent_that_is_up_stays_and_one_that_was_not_hired_is_gone() -> None:
    sky = jobs.Sky()
    for day in range(1, 9):
        sky = sky.rains(day)
    job = tented(1)
    plan = made(sky, job=job)
    assert plan.options == ("tent",)
    begun = carried_out(plan, jobs.local(2, "08:00"))
    assert made(sky, begun, job=job).options == ("tent",)
    assert "tent" not in made(sky, replace(begun, hired=()), job=job).options


def test_a_helper_paid_for_stays_in_the_bill(first: Plan) -> None:
    job = replace(jobs.inputs(), hire=Hire(helper_people=1, helper_cost_minor=8_000))
    begun = replace(after_port_2(first), hired=("helper",))
    assert any(line.what == "Helper" for line in made(jobs.Sky(), begun, job=job).cost_lines)


def test_nothing_done_yet_only_moves_the_first_day(first: Plan) -> None:
    at: datetime = jobs.local(2, "10:00")
    again = made(jobs.Sky(), Progress(at=at))
    assert again.haul_out is not None
    assert again.haul_out >= at
    assert {task.state for task in again.tasks} == {"to do"}
