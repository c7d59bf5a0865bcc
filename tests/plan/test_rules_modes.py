"""How long work takes, by whom, under which cover, and what it costs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boottop.plan.inputs import Hire, PlanInput
from boottop.plan.network import Mode
from boottop.plan.rules import network_for
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.rules_modes import Work, hands_for, labour_minor, work_slots
from tests.plan import jobs


def modes(job: PlanInput, key: str, sky: jobs.Sky | None = None) -> dict[str, Mode]:
    task = next(task for task in built(job, sky).network.tasks if task.key == key)
    return {mode.key: mode for mode in task.modes}


def built(job: PlanInput, sky: jobs.Sky | None = None) -> JobNetwork:
    boat, sky = jobs.hull(), sky or jobs.Sky()
    return network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))


def coat(area_m2: float) -> Work:
    return Work(key="coat", kind="coat", zone="port side", area_m2=area_m2)


def test_slots_are_set_up_plus_area_over_rate_rounded_up() -> None:
    crew = jobs.inputs().crew  # 12 m2/h a person, 0.25 h to set up
    assert [work_slots(crew, coat(14.0), people) for people in (1, 2, 3)] == [6, 4, 3]
    assert work_slots(crew, coat(12.0), 1) == 5, "one hour and a quarter to the minute is five slots"
    assert work_slots(crew, coat(0.0), 1) == 1
    assert work_slots(crew, Work(key="w", kind="wipe", zone="z", area_m2=0.1), 1) == 1, "never no time at all"


def test_one_more_person_only_where_that_is_faster() -> None:
    job = jobs.with_crew(jobs.inputs(), people=4)
    assert [hands.people for hands in hands_for(job, [coat(14.0)], most=3)] == [1, 2, 3]
    assert [hands.people for hands in hands_for(job, [coat(0.5)], most=4)] == [1]


def test_no_more_than_three_roll_a_side_but_all_may_sand_it() -> None:
    job = jobs.with_crew(jobs.inputs(), people=5)
    assert max(mode.uses["crew"] for mode in modes(job, "coat/port side/1").values()) == 3
    assert max(mode.uses["crew"] for mode in modes(job, "abrade/port side").values()) == 5


def test_the_helper_is_an_option_whose_hours_are_in_his_price() -> None:
    job = replace(
        jobs.with_crew(jobs.inputs(), hour_cost_minor=2000), hire=Hire(helper_people=1, helper_cost_minor=9000)
    )
    found = modes(job, "coat/port side/1")
    assert found["2p"].needs == ()
    assert found["3p"].needs == ("helper",)
    assert found["3p"].cost_minor == 2 * 3 * 500
    assert {option.key: option.cost_minor for option in built(job).network.options} == {"helper": 9000}
    crew = next(pool for pool in built(job).network.resources if pool.name == "crew")
    assert (crew.capacity, crew.extra) == (2, {"helper": 1})
    moves = modes(job, "move_stands")
    assert {mode.uses["crew"] for mode in moves.values()} == {2, 3}


def test_labour_is_whole_minor_units_rounded_half_up() -> None:
    job = jobs.with_crew(jobs.inputs(), hour_cost_minor=2)
    assert [labour_minor(job, 1, slots) for slots in (0, 1, 2, 3, 4)] == [0, 1, 1, 2, 2]


def test_coats_start_only_where_all_of_it_is_in_the_crews_hours_and_in_the_window() -> None:
    sky = jobs.Sky(rain_safe_h=2.0).rains(2, "14:00", "15:00")
    starts = modes(jobs.inputs(), "coat/port side/1", sky)["2p"].starts  # one hour of work
    assert starts[jobs.slots(1, "08:00", "17:15")].all()
    assert not starts[jobs.slots(1, "17:15", "23:45")].any()
    assert starts[jobs.slots(2, "08:00", "11:15")].all(), "rain-safe at 14:00 sharp"
    assert not starts[jobs.slots(2, "11:15", "15:00")].any()
    assert starts[jobs.slots(2, "15:00", "17:15")].all()


def test_wiping_and_the_first_coat_of_a_small_zone_are_one_run() -> None:
    sky = jobs.Sky(rain_safe_h=2.0).rains(2, "12:00", "13:00")
    mode = modes(jobs.inputs(), "coat/running gear/1", sky)["1p"]
    start = jobs.slots(2, "09:00", "10:00").start
    assert int(mode.finish[start]) == start + 3, "a quarter to wipe, half an hour to roll"
    assert mode.starts[start + 1]
    assert not mode.starts[start + 2], "rolled at 09:45, not rain-safe before 12:15"
    assert mode.slack is not None
    assert mode.slack[start] == 1, "one slot to spare before the rain"


def test_sanding_pauses_in_the_rain_unless_a_tent_keeps_it_off() -> None:
    sky = jobs.Sky().rains(1, "10:00", "12:00")
    plain = modes(jobs.inputs(), "abrade/port side", sky)
    start = jobs.slots(1, "09:00", "10:00").start
    assert set(plain) == {"1p", "2p"}
    assert int(plain["1p"].finish[start]) == start + 10 + 8, "2.5 h of work and 2 h of rain"
    tented = modes(jobs.with_tent(jobs.inputs(), jobs.local(1), jobs.local(5)), "abrade/port side", sky)
    assert set(tented) == {"1p/open", "1p/tent", "2p/open", "2p/tent"}
    assert int(tented["1p/tent"].finish[start]) == start + 10
    assert (tented["1p/tent"].needs, tented["1p/open"].without) == (("tent",), ("tent",))


def test_tape_goes_on_dry_surfaces_only() -> None:
    sky = jobs.Sky().rains(1, "08:00", "12:00")
    starts = modes(jobs.inputs(), "mask/port", sky)["1p"].starts
    assert not starts[jobs.slots(1, "08:00", "12:00")].any()
    assert starts[jobs.slots(1, "12:00", "18:00")].all()


@pytest.mark.parametrize("people", [1, 2, 3])
def test_finish_never_comes_earlier_for_a_later_start(people: int) -> None:
    sky = jobs.Sky().rains(1, "10:00", "12:00").rains(4)
    for task in built(jobs.with_crew(jobs.inputs(), people=people), sky).network.tasks:
        for mode in task.modes:
            assert (np.diff(mode.finish) >= 0).all(), (task.key, mode.key)
