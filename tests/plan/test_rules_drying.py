"""Water on the hull under a tent, and after the crew's own wet work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from boottop.coating.cleaners import leaves_water
from boottop.plan.inputs import PlanInput
from boottop.plan.make import make_plan
from boottop.plan.rules import network_for
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.rules_drying import dry_under
from boottop.windows.windows import Rule
from tests.plan import jobs

SPAN = (96, 192)
TENT = (jobs.local(1), jobs.local(2))


def tented(
    sky: jobs.Sky, *, tent_dry_h: float, job: PlanInput | None = None, span: tuple[int, int] = (1, 2)
) -> JobNetwork:
    boat = jobs.hull()
    job = jobs.with_tent(job or jobs.inputs(), jobs.local(span[0]), jobs.local(span[1]))
    roof = replace(sky, dry_h=tent_dry_h).climate(boat)
    return network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat), tent_climate=roof)


def soaked() -> jobs.Sky:
    """Rain until the tent goes up."""
    sky = jobs.Sky().rains(0)
    sky.rule[95] = Rule.RAIN
    return sky


def earliest(job: JobNetwork, pair: tuple[str, str], *, mode: str, finish: int) -> int:
    """Latest of the earliest starts that the links of a pair grant."""
    found = [0]
    for link in job.network.links:
        if (link.before, link.after) == pair:
            marks = link.by_mode.get(mode, (link.earliest, None))[0]
            found += [] if marks is None else [int(marks[finish])]
    return max(found)


def tent_starts(job: JobNetwork, key: str) -> NDArray[np.bool_]:
    task = next(one for one in job.network.tasks if one.key == key)
    return np.asarray(
        np.logical_or.reduce([mode.starts for mode in task.modes if "tent" in mode.needs]), dtype=np.bool_
    )


def test_a_hull_wet_when_the_tent_goes_up_stays_wet_under_it() -> None:
    job = tented(soaked(), tent_dry_h=10.0)
    cover = next(one for one in job.facts["wipe/port side"].covers.values() if one.key == "tent")
    assert not cover.dry()[96:136].any()
    assert cover.dry()[136:192].all()
    assert not cover.may_start(4)[96:136].any()
    assert cover.may_start(4)[136]
    closed = cover.why_not(100, 4)
    assert closed is not None
    assert (closed.rule, closed.had) == (Rule.WET_SURFACE, 9.0)
    assert not tent_starts(job, "wipe/port side")[96:136].any()


def test_a_dry_hull_may_be_worked_on_as_soon_as_the_tent_stands() -> None:
    dry = tented(jobs.Sky().rains(1), tent_dry_h=10.0)
    cover = next(one for one in dry.facts["wipe/port side"].covers.values() if one.key == "tent")
    assert cover.dry()[96:192].all(), "the first drop falls on the tent"
    assert cover.may_start(4)[96]


def test_a_tent_that_stands_before_the_known_weather_finds_her_dry() -> None:
    job = tented(soaked(), tent_dry_h=10.0, span=(0, 2))
    cover = next(one for one in job.facts["wipe/port side"].covers.values() if one.key == "tent")
    assert cover.dry()[:192].all()


def test_drying_runs_by_the_clock_that_stands_over_her() -> None:
    """2 h outdoors, 5 h under the tent."""
    open_, tent = jobs.lag(384, 2.0), jobs.lag(384, 5.0)
    dry = dry_under(open_, tent, SPAN)
    assert dry[88] == 96, "dry as the tent goes up"
    assert dry[89] == 116, "still wet then: wetted afresh under it"
    assert dry[96] == 116
    assert dry[172] == 192
    assert dry[173] == 200, "still wet when it is struck: afresh outdoors"
    assert dry[192] == 200
    assert (np.diff(dry) >= 0).all()
    np.testing.assert_array_equal(dry_under(open_, open_, SPAN)[:88], open_[:88])


@pytest.mark.parametrize("strip", [False, True])
def test_after_wash_and_strip_the_tent_s_own_drying_counts(strip: bool) -> None:
    job = tented(jobs.Sky(), tent_dry_h=5.0, job=jobs.with_wishes(jobs.inputs(), strip=strip))
    pair = ("strip/port", "abrade/port side") if strip else ("haul_out", "mask/port")
    modes = {mode.key: mode for task in job.network.tasks if task.key == pair[0] for mode in task.modes}
    for key, mode in modes.items():
        hours = 5 if "tent" in mode.needs else 2
        assert earliest(job, pair, mode=key, finish=120) == 120 + 4 * hours
        assert earliest(job, pair, mode=key, finish=40) == 48
    assert {bool(mode.needs) for mode in modes.values()} == {False, True}


def test_a_plan_without_the_tent_does_not_wait_for_it() -> None:
    """On offer but dear, in fair weather: the same plan as without the offer."""
    boat, sky = jobs.hull(), jobs.Sky()
    job = jobs.with_tent(jobs.inputs(), jobs.local(0), jobs.local(13), cost_minor=900_000)
    roof = replace(sky, dry_h=48.0).climate(boat)
    windows, climate = sky.all_windows(job, boat), sky.climate(boat)
    with_offer = make_plan(job, boat, windows=windows, climate=climate, tent_climate=roof, time_limit_s=20.0)
    without = make_plan(jobs.inputs(), boat, windows=windows, climate=climate, time_limit_s=20.0)
    assert with_offer.options == ()
    assert (with_offer.launch, with_offer.cost_minor) == (without.launch, without.cost_minor)


def plain(cleaner: str = "isopropanol", *, dry_h: float = 2.0, strip: bool = False) -> JobNetwork:
    boat, sky = jobs.hull(), jobs.Sky(dry_h=dry_h)
    job = jobs.with_wishes(jobs.inputs(), strip=strip)
    system = job.systems[0]
    job = replace(job, systems=(replace(system, sheet=replace(system.sheet, cleaner=cleaner)),))
    return network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))


@pytest.mark.parametrize("zone", ["port side", "running gear", "pads 1"])
def test_coat_one_waits_until_wiping_water_has_dried(zone: str) -> None:
    job = plain("fresh water, dried fully")
    wipe, coat = f"wipe/{zone}", f"coat/{zone}/1"
    mode = next(iter(job.facts[wipe].people))
    assert earliest(job, (wipe, coat), mode=mode, finish=100) == 108
    late = [link for link in job.network.links if (link.before, link.after) == (wipe, coat) and link.latest is not None]
    assert [int(link.latest[100]) for link in late if link.latest is not None] == [124], "six hours after wiping"


def test_a_solvent_flashes_off_and_small_zones_stay_one_task() -> None:
    job = plain()
    assert earliest(job, ("wipe/port side", "coat/port side/1"), mode="1p", finish=100) == 100
    assert "wipe/running gear" not in job.facts
    assert len(plain("fresh water").facts) == len(job.facts) + 2


def test_the_owner_s_cleaner_counts_and_not_the_sheet_s() -> None:
    boat, sky = jobs.hull(), jobs.Sky()
    job = replace(jobs.inputs(), cleaner="soap and water")
    made = network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat))
    assert "wipe/running gear" in made.facts


def test_wet_sanding_dries_before_tape_or_wipe() -> None:
    job = plain(dry_h=3.0)
    abrade, people = "abrade/port side", next(iter(job.facts["abrade/port side"].people))
    assert earliest(job, (abrade, "mask/port"), mode=people, finish=100) == 112
    mode = next(iter(job.facts["prepare/pads 1"].people)) if "prepare/pads 1" in job.facts else people
    first = "prepare/pads 1" if "prepare/pads 1" in job.facts else "abrade/pads 1"
    assert earliest(job, (first, "coat/pads 1/1"), mode=mode, finish=100) == 112


def test_masking_the_gear_gives_the_water_time() -> None:
    """Abraded, then masked for a while in one task: the water has been drying all that time."""
    job = plain(dry_h=3.0)
    facts = job.facts["prepare/running gear"]
    mode, masking = next((key, facts.parts[-1].slots[key]) for key in facts.people)
    assert facts.parts[-1].kind == "mask"
    assert earliest(job, ("prepare/running gear", "coat/running gear/1"), mode=mode, finish=100) == 112 - masking


@pytest.mark.parametrize(
    ("cleaner", "wet"),
    [("fresh water", True), ("Fresh water, dried fully", True), ("soap suds", True), ("water and detergent", True),
     ("isopropanol", False), ("the maker's epoxy thinner", False), ("water-free alcohol", False)],
)  # fmt: skip
def test_cleaners_that_leave_water(cleaner: str, wet: bool) -> None:
    assert leaves_water(cleaner) == wet
