"""When there is no plan: why, which day came nearest, and what would make one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from boottop.coating.sheet import Limits
from boottop.plan.inputs import PlanInput
from boottop.plan.make import make_plan
from boottop.plan.plan import Plan
from boottop.plan.rules import network_for
from boottop.plan.ways_out_changes import changes_for, pairs_of, roofed_over
from boottop.plan.ways_out_horizon import earliest_starts, horizon_says
from boottop.windows.windows import Rule
from tests.plan import jobs


def none(job: PlanInput, sky: jobs.Sky) -> Plan:
    boat = jobs.hull()
    windows = {key: one for key, one in sky.all_windows(job, boat).items() if not key.under_tent}
    plan = make_plan(job, boat, windows=windows, climate=sky.climate(boat), time_limit_s=5.0)
    assert plan.status == "infeasible"
    assert plan.tasks == ()
    assert plan.cost_minor is None
    assert plan.reasons
    assert plan.ways_out
    return plan


def test_rain_every_afternoon_names_zone_rule_and_nearest_day_and_a_tent_helps() -> None:
    sky = jobs.Sky(dry_h=0.0)
    for day in range(jobs.DAYS):
        sky.rains(day, "14:00", "18:00")
    plan = none(jobs.inputs(), sky)
    assert plan.reasons[0] == (
        "port side, starboard side: no day has room for all 4 coats. Tue 2 Jun came nearest with 2 (coat 3, possible "
        "from 11:30: rain 1.5 h after the coat, rain-safe only after 2 h). Coats that fit, day by day: 2 on Tue 2 Jun "
        "to Sun 14 Jun."
    )
    assert any("one working day" in reason for reason in plan.reasons)
    assert any(
        way.startswith("A tent over the boat: ") and "without the price of the tent" in way for way in plan.ways_out
    )


def test_too_few_hands_for_four_coats_and_one_more_person_helps() -> None:
    job = jobs.with_crew(jobs.inputs(), people=1)
    slow = jobs.with_crew(job, rates_m2_h={**job.crew.rates_m2_h, "roll": 5.0})
    plan = none(slow, jobs.Sky())
    assert "outside the crew's hours at 18:00" in plan.reasons[0]
    assert any(way.startswith("One more person (2 instead of 1): haul out ") for way in plan.ways_out)


def test_both_sides_in_one_day_is_too_much_and_a_day_each_is_the_cheapest_way() -> None:
    job = jobs.with_crew(jobs.with_wishes(jobs.inputs(), sides="one_day"), hours=jobs.every_day("08:00", "16:00"))
    plan = none(job, jobs.Sky())
    assert plan.ways_out[0].startswith("One side a day: haul out ")
    assert any("both sides are to be coated in one working day, as asked" in reason for reason in plan.reasons)


def test_a_weather_file_that_ends_too_soon_says_where_it_ends() -> None:
    plan = none(jobs.inputs(days=6), jobs.Sky(days=6))
    assert len(plan.reasons) == 1
    assert "not before the weather file ends on Sun 7 Jun 00:00" in plan.reasons[0]
    assert plan.ways_out[-1].startswith("A weather file that reaches past Sun 7 Jun 00:00")


def test_no_lift_slot_after_the_cure_and_another_hour_of_the_crane_helps() -> None:
    early = tuple(slot for slot in jobs.inputs().yard.lift_slots if slot < jobs.local(3))
    plan = none(jobs.with_yard(jobs.inputs(), lift_slots=early), jobs.Sky())
    assert plan.reasons[0].startswith("launch: possible from ")
    assert "no lift slot before the weather file ends" in plan.reasons[0]
    assert any(way.startswith("A lift at another hour that the yard is open: ") for way in plan.ways_out)


def test_a_week_of_rain_is_told_as_no_admissible_hour() -> None:
    sky = jobs.Sky()
    sky.rule[:] = Rule.RAIN
    plan = none(jobs.inputs(), sky)
    assert "coat 1, port side: no admissible hour for it in the whole time looked at." in plan.reasons


def test_earliest_starts_are_never_later_than_any_plan() -> None:
    job, boat, sky = jobs.with_wishes(jobs.inputs(), strip=True), jobs.hull(), jobs.Sky().rains(2)
    network = network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))
    bound = earliest_starts(network.network)
    plan = make_plan(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat), time_limit_s=20.0)
    assert plan.launch is not None
    assert bound["launch"] <= jobs.grid().mark_at_or_after(plan.launch)
    for task in plan.tasks:
        if task.key in bound:
            assert bound[task.key] <= jobs.grid().mark_at_or_after(task.start)
    assert list(horizon_says(network)) == []


def test_a_roof_opens_what_water_alone_shut() -> None:
    sky = jobs.Sky().rains(0).closes(Rule.HUMIDITY, 1)
    climate = sky.climate(jobs.hull())
    open_ = sky.windows("port side", "x", under_tent=False)
    limits: Limits = jobs.sheet().limits
    roofed = roofed_over(open_, limits, climate)
    assert set(roofed.rule[:95].tolist()) == {int(Rule.OPEN)}
    assert roofed.rule[100] == Rule.HUMIDITY
    damp = roofed_over(open_, limits, replace(climate, rh=np.full(climate.grid.count, 0.95)))
    assert set(damp.rule[:95].tolist()) == {int(Rule.HUMIDITY)}
    assert damp.had[10] == 0.95
    assert not roofed.rain.any()


def test_no_other_hour_of_the_crane_is_offered_where_the_tide_decides() -> None:
    job, boat, sky = jobs.with_yard(jobs.inputs(), tidal=True), jobs.hull(), jobs.Sky()
    network = network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))
    found = changes_for(network, sky.all_windows(job, boat), sky.climate(boat))
    assert "lifts" not in [change.part for change in found]


def test_changes_go_together_only_where_they_touch_different_things() -> None:
    job, boat, sky = jobs.with_wishes(jobs.inputs(), sides="one_day", first_side="port"), jobs.hull(), jobs.Sky()
    windows = sky.all_windows(job, boat)
    network = network_for(job, boat, windows=windows, climate=sky.climate(boat))
    single = changes_for(network, windows, sky.climate(boat))
    assert [change.part for change in single] == ["sides", "side", "hours", "lifts", "people", "tent"]
    pairs = pairs_of(single)
    assert len(pairs) == 15
    both = next(pair for pair in pairs if pair.part == "sides and people")
    changed = both.apply(job)
    assert (changed.wishes.sides, changed.crew.people) == ("side_a_day", 3)
    assert both.says == "One side a day, and one more person (3 instead of 2)"
    longer = next(change for change in single if change.part == "hours").apply(job)
    assert {(span.opens.hour, span.closes.hour) for span in longer.crew.hours} == {(6, 20)}
