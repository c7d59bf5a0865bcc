"""Rain on the last coat of all: sanded with the copper where that is laid bare, else a task before the launch."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from boottop.coating.sheet import System
from boottop.plan.checker_past import past_faults
from boottop.plan.inputs import PlanInput
from boottop.plan.make import make_plan
from boottop.plan.plan import Plan, PlannedTask
from boottop.plan.progress import Deed, Progress
from tests.plan import jobs
from tests.plan.carried_out import carried_out

BOAT = jobs.hull()
SPOTS = "abrade/port side/again"
LAST = ("coat", "port side", 4)


def job(*, activation: bool) -> PlanInput:
    """The small job, its copper laid bare before the launch or not."""
    plain = System(sheet=jobs.sheet(activation=activation), role="antifouling", coats=4, loss_fraction=0.1)
    return replace(jobs.inputs(), systems=(plain,))


def made(job: PlanInput, progress: Progress | None = None) -> Plan:
    sky = jobs.Sky()
    windows, climate = sky.all_windows(job, BOAT), sky.climate(BOAT)
    return make_plan(job, BOAT, windows=windows, climate=climate, time_limit_s=20.0, progress=progress)


def task_of(plan: Plan, key: str) -> PlannedTask:
    return next(task for task in plan.tasks if task.key == key)


def rained(plan: Plan, *, later: timedelta = timedelta(minutes=5), sanded: bool = False) -> Progress:
    """The last coats of both sides are on, and rain fell on that of the port side."""
    begun = carried_out(plan, max(task_of(plan, f"coat/{side} side/4").end for side in ("port", "starboard")))
    at = begun.at + later
    deeds = [replace(deed, rained=deed.place == LAST) for deed in begun.deeds]
    if sanded:
        deeds.append(Deed(kind="abrade", zone="port side", end=at - timedelta(hours=1)))
    return replace(begun, at=at, deeds=tuple(deeds))


@pytest.fixture(scope="module")
def plain() -> Plan:
    return made(job(activation=False))


def test_without_bare_copper_the_spots_are_sanded_once_hard_and_before_the_launch(plain: Plan) -> None:
    again = made(job(activation=False), rained(plain))
    sand, coat, launch = (task_of(again, key) for key in (SPOTS, "coat/port side/4", "launch"))
    assert coat.end + timedelta(hours=48) <= sand.start < sand.end <= launch.start
    assert "rain fell on coat 4, port side before it was rain-safe" in sand.because
    said = next(finding for finding in again.findings if finding.startswith("port side: rain fell"))
    assert "sanded out before the launch" in said
    assert "strike that coat from the log" in said
    assert not [task for task in again.tasks if task.zone == "starboard side" and task.key.endswith("/again")]


def test_what_was_sanded_is_a_fact_and_no_more_is_said(plain: Plan) -> None:
    done = made(job(activation=False), rained(plain, later=timedelta(hours=60), sanded=True))
    assert task_of(done, SPOTS).state == "done"
    assert not [finding for finding in done.findings if "rain fell" in finding]


def test_with_bare_copper_the_spots_go_with_it() -> None:
    bared = made(job(activation=True))
    again = made(job(activation=True), rained(bared))
    assert not [task for task in again.tasks if task.key == SPOTS]
    assert any("its spots are sanded out when the copper is laid bare" in finding for finding in again.findings)
    assert (again.launch, again.cost_minor) == (bared.launch, bared.cost_minor)


def test_the_checker_refuses_a_launch_with_spots(plain: Plan) -> None:
    progress = rained(plain)
    assert [fault for fault in past_faults(plain, progress) if "never sanded after" in fault]
    again = made(job(activation=False), progress)
    assert not [*past_faults(again, progress)]
