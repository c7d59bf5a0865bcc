"""The network holds every step of the job, once, with the links the trade asks for, and stays small."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from boottop.base.errors import BoottopError
from boottop.measure.hull import Hull
from boottop.plan.inputs import ExtraJob, PlanInput
from boottop.plan.network import Link
from boottop.plan.rules import empty_tasks, network_for
from boottop.plan.rules_draft import JobNetwork
from boottop.windows.windows import Rule
from tests.plan import jobs


def built(job: PlanInput, *, boat: Hull | None = None, sky: jobs.Sky | None = None) -> JobNetwork:
    boat, sky = boat or jobs.hull(), sky or jobs.Sky()
    return network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))


def links_of(job: JobNetwork, before: str, after: str) -> list[Link]:
    return [link for link in job.network.links if (link.before, link.after) == (before, after)]


def earliest(job: JobNetwork, pair: tuple[str, str], finish: int) -> int:
    return max(int(link.earliest[finish]) for link in links_of(job, *pair) if link.earliest is not None)


def test_a_boat_with_four_zones_stays_a_small_network() -> None:
    plain = built(jobs.inputs())
    assert len(plain.network.tasks) == 29
    assert len(plain.network.links) < 70
    stripped = built(jobs.with_wishes(jobs.inputs(), strip=True))
    assert len(stripped.network.tasks) == 31
    assert empty_tasks(plain) == []


def test_every_link_names_tasks_that_exist_and_arrays_of_one_mark_each() -> None:
    job = built(jobs.with_tent(jobs.with_wishes(jobs.inputs(), strip=True), jobs.local(1), jobs.local(9)))
    keys, size = set(job.facts), job.network.count + 1
    for link in job.network.links:
        assert {link.before, link.after} <= keys
        for array in [link.earliest, link.latest, *(one for pair in link.by_mode.values() for one in pair)]:
            assert array is None or array.shape == (size,)
    for task in job.network.tasks:
        assert len({mode.key for mode in task.modes}) == len(task.modes)
        assert all(mode.starts.shape == mode.finish.shape == (job.network.count,) for mode in task.modes)
        assert all((mode.finish[mode.starts] <= job.network.count).all() for mode in task.modes)


def test_parts_of_a_task_fill_it_without_a_gap_in_working_time() -> None:
    job = built(jobs.with_wishes(jobs.inputs(), strip=True))
    for task in job.network.tasks:
        for mode in task.modes:
            start = int(np.flatnonzero(mode.starts)[0])
            spans = job.facts[task.key].spans(mode.key, start)
            assert spans[0][1] == start
            assert spans[-1][2] == int(mode.finish[start])
            assert all(first >= end for (_, _, end), (_, first, _) in pairwise(spans))


def test_haul_out_takes_a_lift_slot_that_leaves_time_to_wash_that_day() -> None:
    late = jobs.with_yard(jobs.inputs(), lift_slots=(jobs.local(0, "09:00"), jobs.local(0, "15:30")), wash_h=1.0)
    starts = np.flatnonzero(built(late).network.tasks[0].modes[0].starts)
    assert starts.tolist() == [36]
    assert built(late).network.tasks[0].modes[0].finish[36] == 44


def test_lifts_on_holidays_and_outside_the_yards_hours_do_not_count() -> None:
    job = jobs.with_yard(
        jobs.inputs(),
        closed=(jobs.FIRST_DAY,),
        lift_slots=(jobs.local(0, "09:00"), jobs.local(1, "09:00"), jobs.local(1, "19:00")),
    )
    made = built(job)
    launch = next(task for task in made.network.tasks if task.key == "launch")
    assert np.flatnonzero(launch.modes[0].starts).tolist() == [96 + 36]
    assert (
        "Lift slots left out, for the yard is shut then: Mon 1 Jun 09:00, Tue 2 Jun 19:00. "
        "If it lifts all the same, say so in its hours."
    ) in made.findings


def test_coats_wait_until_tacky_and_not_past_the_longest_overcoat() -> None:
    one_day = built(jobs.inputs(), sky=jobs.Sky(tacky_h=0.75, overcoat_h=4.0))
    assert earliest(one_day, ("coat/port side/1", "coat/port side/2"), 40) == 43
    latest = [
        link.latest for link in links_of(one_day, "coat/port side/1", "coat/port side/2") if link.latest is not None
    ]
    assert [int(array[40]) for array in latest] == [56]


def test_a_longest_overcoat_past_midnight_says_nothing_that_one_day_does_not() -> None:
    job = built(jobs.inputs(), sky=jobs.Sky(overcoat_h=20.0))
    assert all(link.latest is None for link in links_of(job, "coat/port side/1", "coat/port side/2"))


def test_wiping_holds_six_hours() -> None:
    links = links_of(built(jobs.inputs()), "wipe/port side", "coat/port side/1")
    assert [int(link.latest[40]) for link in links if link.latest is not None] == [64]


def test_stripping_dries_as_long_as_asked_and_no_less_than_the_surface_does() -> None:
    job = built(jobs.with_wishes(jobs.inputs(), strip=True, dry_h=48.0), sky=jobs.Sky(dry_h=2.0))
    assert earliest(job, ("strip/port", "abrade/port side"), 60) == 60 + 192
    short = built(jobs.with_wishes(jobs.inputs(), strip=True, dry_h=1.0), sky=jobs.Sky(dry_h=2.0))
    assert earliest(short, ("strip/port", "abrade/port side"), 60) == 68
    assert set(job.drying) == {"strip/port", "strip/starboard"}


def test_stands_move_onto_both_sides_and_pads_come_after() -> None:
    job = built(jobs.inputs(), sky=jobs.Sky(stands_h=72.0))
    for side in ("port side", "starboard side"):
        assert earliest(job, (f"coat/{side}/4", "move_stands"), 60) == 60 + 288
    assert not links_of(job, "coat/running gear/4", "move_stands")
    assert links_of(job, "move_stands", "abrade/pads 1")
    assert job.facts["move_stands"].people == {"yard": 0}
    move = next(task for task in job.network.tasks if task.key == "move_stands")
    assert move.modes[0].uses == {"yard": 1, "crew": 2}, "nobody works under the boat meanwhile"


def test_a_boat_without_pads_has_no_stands_to_move() -> None:
    assert "move_stands" not in built(jobs.inputs(), boat=jobs.hull(pads=False)).facts


def test_every_coated_zone_cures_before_the_launch_pads_and_gear_too() -> None:
    job = built(jobs.inputs(), sky=jobs.Sky(immersion_h=48.0))
    for zone in ("running gear", "pads 1"):
        assert earliest(job, (f"coat/{zone}/4", "launch"), 100) == 292
    for zone in ("port side", "starboard side"):
        ready = [link.earliest[100] for link in links_of(job, f"coat/{zone}/4", "launch") if link.earliest is not None]
        assert sorted(ready) == [292, 388], "48 h for the water, 72 h for the slings that bear like a stand"


def test_bare_copper_counts_from_the_zone_that_was_sanded_first() -> None:
    job = built(jobs.inputs())
    link = next(link for link in links_of(job, "activate/hull", "launch") if link.from_start)
    ends = {mode: pair[1] for mode, pair in link.by_mode.items()}
    start = jobs.slots(3, "10:00", "11:00").start
    assert ends["1p"] is not None
    assert int(ends["1p"][start]) == start + 6 + 192, "14 m2 at 10 m2/h, then 48 h"


def test_film_is_sanded_when_it_may_carry_a_stand_or_be_launched_whichever_comes_first() -> None:
    soft = built(jobs.inputs(), sky=jobs.Sky(stands_h=72.0, immersion_h=48.0))
    assert earliest(soft, ("coat/pads 1/4", "activate/gear and pads"), 100) == 292
    hard = built(jobs.inputs(), sky=jobs.Sky(stands_h=24.0, immersion_h=48.0))
    assert earliest(hard, ("coat/pads 1/4", "activate/gear and pads"), 100) == 196


def test_undercoats_cure_and_are_abraded_before_the_antifouling() -> None:
    job = replace(jobs.inputs(), systems=(jobs.system(), jobs.system("barrier", 2)))
    made = built(job, sky=jobs.Sky(stands_h=24.0, immersion_h=48.0))
    assert earliest(made, ("barrier_coat/port side/2", "abrade/port side/barrier"), 60) == 60 + 96
    assert links_of(made, "abrade/port side/barrier", "wipe/port side")
    assert links_of(made, "mask/port", "wipe/port side/barrier")
    assert not [group for group in made.network.same_day if "barrier_coat/port side/1" in group.tasks]


def test_a_primer_goes_on_the_zones_it_names() -> None:
    job = replace(jobs.inputs(), systems=(jobs.system(), jobs.system("primer", 1, ("running gear",))))
    made = built(job)
    assert "primer_coat/running gear/1" in made.facts
    assert "primer_coat/port side/1" not in made.facts


def test_sides_as_asked() -> None:
    either = built(jobs.inputs())
    assert len(either.network.same_day) == 4
    assert either.network.apart == ()
    together = built(jobs.with_wishes(jobs.inputs(), sides="one_day"))
    assert len(together.network.same_day) == 3
    assert len(together.network.same_day[0].tasks) == 8
    apart = built(jobs.with_wishes(jobs.inputs(), sides="side_a_day"))
    assert [len(one.first) for one in apart.network.apart] == [4]
    first = built(jobs.with_wishes(jobs.inputs(), first_side="starboard"))
    links = links_of(first, "coat/starboard side/1", "coat/port side/1")
    assert [link.from_start for link in links] == [True]


def test_own_jobs_stand_where_the_owner_puts_them() -> None:
    extra = (
        ExtraJob(name="anodes", duration_h=1.0, after=("coat",)),
        ExtraJob(name="polish", duration_h=3.0, after=("anodes",), dry_weather=True),
        ExtraJob(name="seacocks", duration_h=2.0, before=("coat",)),
    )
    job = built(replace(jobs.inputs(), extra_jobs=extra), sky=jobs.Sky().rains(1))
    assert links_of(job, "coat/pads 1/4", "extra/anodes")
    assert not links_of(job, "coat/pads 1/3", "extra/anodes")
    assert links_of(job, "extra/seacocks", "coat/port side/1")
    assert links_of(job, "extra/anodes", "extra/polish")
    assert links_of(job, "extra/polish", "launch")
    polish = next(task for task in job.network.tasks if task.key == "extra/polish")
    assert not polish.modes[0].starts[jobs.slots(1, "08:00", "18:00")].any()
    anodes = next(task for task in job.network.tasks if task.key == "extra/anodes")
    assert anodes.modes[0].starts[jobs.slots(1, "08:00", "18:00")].all()


def test_the_sole_stays_bare_and_is_said_to() -> None:
    job = built(jobs.inputs())
    assert not [key for key in job.facts if "keel sole" in key]
    assert any(finding.startswith("keel sole: the sole on the blocks stays bare (0.50 m2)") for finding in job.findings)


def test_a_week_of_rain_leaves_the_coats_without_an_hour() -> None:
    sky = jobs.Sky()
    sky.rule[:] = Rule.RAIN
    assert "coat/port side/1" in empty_tasks(built(jobs.inputs(), sky=sky))


def test_windows_that_nobody_made_are_our_own_fault() -> None:
    job, boat, sky = jobs.inputs(), jobs.hull(), jobs.Sky()
    windows = {key: value for key, value in sky.all_windows(job, boat).items() if key.zone != "pads 1"}
    with pytest.raises(BoottopError, match="no windows were made for 'invented copper epoxy' on 'pads 1' in the open"):
        network_for(job, boat, windows=windows, climate=sky.climate(boat))
