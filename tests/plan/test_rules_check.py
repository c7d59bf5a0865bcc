"""Everything wrong with a job is told at once, with what would be right."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from boottop.base.errors import InputError
from boottop.plan.inputs import ExtraJob
from boottop.plan.rules import network_for
from boottop.plan.rules_check import check_job
from tests.plan import jobs


def test_a_sound_job_passes() -> None:
    job = replace(jobs.inputs(), extra_jobs=(ExtraJob(name="anodes", duration_h=1.0, after=("coat",)),))
    check_job(job, jobs.hull())
    assert job.extra_jobs[0].name == "anodes"


def test_all_problems_at_once() -> None:
    job = jobs.with_wishes(jobs.inputs(), strip=True)
    rates = {key: value for key, value in job.crew.rates_m2_h.items() if key not in ("strip", "activate")}
    job = jobs.with_crew(job, rates_m2_h={**rates, "wipe": 0.0})
    job = jobs.with_yard(job, lift_slots=(jobs.local(1, "09:00") + timedelta(minutes=5),))
    job = replace(
        job,
        systems=(jobs.system(zones=("port sid",)),),
        extra_jobs=(ExtraJob(name="anodes", duration_h=1.0, people=3, after=("coats",), before=("haul_out",)),),
    )
    with pytest.raises(InputError, match="rate of work 'strip'") as raised:
        check_job(job, jobs.hull())
    told = "\n".join(str(problem) for problem in raised.value.problems)
    for words in (
        "zones of invented copper epoxy: found 'port sid'",
        "Did you mean 'port side'?",
        "rate of work 'activate'",
        "found 0 m2/h; allowed: more than 0 m2/h",
        "a full quarter of an hour",
        "extra job 'anodes', people: found 3; allowed: at most 2",
        "extra job 'anodes', after: found 'coats'",
        "Did you mean 'coat'?",
        "extra job 'anodes', before: found 'haul_out'",
    ):
        assert words in told
    assert len(raised.value.problems) == 8


def test_a_job_without_a_zone_to_coat_is_refused() -> None:
    job = replace(jobs.inputs(), systems=())
    with pytest.raises(InputError, match="no zone of the hull that any of them covers"):
        check_job(job, jobs.hull())


def test_fixed_hours_stand_in_for_a_rate() -> None:
    job = jobs.inputs()
    rates = {key: value for key, value in job.crew.rates_m2_h.items() if key != "mask"}
    with pytest.raises(InputError, match="rate of work 'mask'"):
        check_job(jobs.with_crew(job, rates_m2_h=rates), jobs.hull())
    fixed = jobs.with_crew(job, rates_m2_h=rates, fixed_h={"mask": 1.0})
    check_job(fixed, jobs.hull())
    assert fixed.crew.fixed_h == {"mask": 1.0}


def test_work_that_waits_for_itself_is_told_with_its_circle() -> None:
    extra = (
        ExtraJob(name="bearing", duration_h=1.0, after=("move_stands",), before=("strut",)),
        ExtraJob(name="strut", duration_h=1.0, before=("coat",)),
    )
    job, boat, sky = replace(jobs.inputs(), extra_jobs=extra), jobs.hull(), jobs.Sky()
    with pytest.raises(InputError, match=r"work that waits for itself: .*bearing") as raised:
        network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))
    assert "moving the stands" in str(raised.value)
