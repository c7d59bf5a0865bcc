"""A plan carried out part of the way and made anew: the same plan; with worse weather a later one, and it says why."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from boottop.plan.make import make_plan
from boottop.plan.plan import Plan
from boottop.plan.progress import Progress
from tests.plan import jobs
from tests.plan.carried_out import carried_out

JOB = jobs.with_crew(jobs.with_wishes(jobs.inputs(), strip=True, dry_h=6.0), hour_cost_minor=1_900)
BOAT = jobs.hull()
SKIES = {
    "fair": jobs.Sky(),
    "showers": jobs.Sky().rains(1, "12:00", "16:00").rains(3, "08:00", "11:00").rains(6),
    "slow film": jobs.Sky(tacky_h=1.5, overcoat_h=3.0, stands_h=60.0),
}
WET_DAYS = 2


def planned(sky: jobs.Sky, progress: Progress | None = None) -> Plan:
    """The small job under a sky."""
    windows, climate = sky.all_windows(JOB, BOAT), sky.climate(BOAT)
    return make_plan(JOB, BOAT, windows=windows, climate=climate, time_limit_s=20.0, progress=progress)


@cache
def whole(sky: str) -> Plan:
    """The plan made before the work began, proven best."""
    plan = planned(SKIES[sky])
    assert plan.status == "optimal"
    return plan


def moment(plan: Plan, share: float) -> datetime:
    """A quarter of an hour between the haul-out and the launch."""
    assert plan.haul_out is not None
    assert plan.launch is not None
    quarters = int((plan.launch - plan.haul_out) / timedelta(minutes=15))
    return plan.haul_out + timedelta(minutes=15) * round(share * (quarters - 1))


@given(sky=st.sampled_from(sorted(SKIES)), share=st.floats(0.0, 1.0), behind=st.integers(0, 14))
@example(sky="showers", share=0.0, behind=0)
@example(sky="showers", share=1.0, behind=14)
@settings(max_examples=24, deadline=None, derandomize=True)
def test_the_plan_is_consistent_with_itself(sky: str, share: float, behind: int) -> None:
    """Whatever part was carried out, at whatever minute it is asked for: cost and launch stay what they were."""
    plan = whole(sky)
    at = moment(plan, share)
    again = planned(SKIES[sky], carried_out(plan, at + timedelta(minutes=behind)))
    assert again.status == "optimal"
    assert (again.launch, again.cost_minor, again.haul_out) == (plan.launch, plan.cost_minor, plan.haul_out)


@given(share=st.floats(0.0, 0.9))
@settings(max_examples=10, deadline=None, derandomize=True)
def test_rain_from_now_on_moves_the_launch_later_never_sooner_and_each_start_has_its_reason(share: float) -> None:
    """Two days of rain that the first plan did not know."""
    plan = whole("fair")
    at = moment(plan, share)
    day = (at.astimezone(jobs.PLACE).date() - jobs.FIRST_DAY).days
    assume(day + WET_DAYS < jobs.DAYS)
    wet = jobs.Sky()
    for more in range(1, WET_DAYS + 1):
        wet = wet.rains(day + more)
    again = planned(wet, carried_out(plan, at))
    assert again.launch is not None
    assert plan.launch is not None
    assert again.launch >= plan.launch
    assert (again.cost_minor or 0) >= (plan.cost_minor or 0)
    to_come = [task for task in again.tasks if task.state == "to do" and task.kind != "dry"]
    assert all(task.because and task.start >= at for task in to_come)
