"""The tent is over the boat for as long as it stands, and nobody pretends it away."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from boottop.plan.rules_cover import Cover
from boottop.windows.windows import Rule
from tests.plan import jobs


def cover(sky: jobs.Sky, *, roof: jobs.Sky | None = None, span: tuple[int, int] = (96, 192)) -> Cover:
    tent = (roof or sky).windows("port side", "x", under_tent=True)
    return Cover(key="tent", open=sky.windows("port side", "x", under_tent=False), tent=tent, span=span)


def test_rain_matters_outside_the_tents_days_only() -> None:
    sky = jobs.Sky(rain_safe_h=1.0).rains(0).rains(1, "10:00", "12:00").rains(3)
    starts = cover(sky).may_start(4)
    assert not starts[:96].any()
    assert starts[jobs.slots(1, "00:00", "22:15")].all(), "an hour to roll, an hour to be rain-safe"
    assert starts[jobs.slots(2, "00:00", "21:00")].all()


def test_no_coat_across_either_edge_of_the_tents_days() -> None:
    starts = cover(jobs.Sky()).may_start(4)
    assert not starts[93:96].any()
    assert starts[92]
    assert starts[96]
    assert not starts[189:192].any()
    assert starts[188]
    assert starts[192]


def test_a_film_not_rain_safe_when_the_tent_goes_must_see_no_rain() -> None:
    dry = cover(jobs.Sky(rain_safe_h=4.0)).may_start(4)
    wet = cover(jobs.Sky(rain_safe_h=4.0).rains(2, "01:00", "02:00")).may_start(4)
    assert dry[188]
    assert not wet[188]
    assert wet[jobs.slots(1, "19:30", "20:15")].all(), "rain-safe at 01:00 sharp, when it begins to rain"


def test_states_follow_the_tents_clock_and_the_slower_of_both_once_it_is_gone() -> None:
    slow = replace_hours(jobs.Sky(), ready=6.0)
    both = cover(jobs.Sky(tacky_h=1.0), roof=slow)
    ready = both.reached("ready")
    assert ready[91] == 95, "tacky before the tent goes up"
    assert ready[93] == 117, "cures on under it: the slower clock"
    assert ready[96] == 120, "finished as the tent went up, all its cure under it"
    assert ready[100] == 124
    assert ready[192] == 216
    assert ready[193] == 197
    quick = cover(jobs.Sky(tacky_h=6.0), roof=replace_hours(jobs.Sky(), ready=1.0)).reached("ready")
    assert quick[100] == 104
    assert quick[191] == 215, "half the cure outdoors: the slower clock"


def replace_hours(sky: jobs.Sky, *, ready: float) -> jobs.Sky:
    return replace(sky, tacky_h=ready)


def test_longest_overcoat_is_the_shorter_of_both_once_the_tent_is_gone() -> None:
    until = cover(jobs.Sky(overcoat_h=2.0), roof=jobs.Sky(overcoat_h=6.0)).until()
    assert until[100] == 124
    assert until[191] == 199


def test_longest_overcoat_is_the_shorter_of_both_when_the_tent_comes_over_the_film() -> None:
    until = cover(jobs.Sky(overcoat_h=6.0), roof=jobs.Sky(overcoat_h=2.0)).until()
    assert until[72] == 96, "past before the tent is up"
    assert until[80] == 88
    assert until[96] == 104


def test_windows_asked_for_a_slot_are_those_that_stand_over_it() -> None:
    sky = jobs.Sky().closes(Rule.HUMIDITY, 1).closes(Rule.HUMIDITY, 2)
    both = cover(sky)
    assert both.why_not(100, 4) is None
    closed = both.why_not(200, 4)
    assert closed is not None
    assert (closed.rule, closed.needed, closed.had) == (Rule.HUMIDITY, 0.85, 0.91)
    assert np.flatnonzero(both.all_open()[96:288]).tolist() == [*range(96), 191]


def test_without_a_tent_it_is_the_open_window_itself() -> None:
    windows = jobs.Sky().rains(1).windows("port side", "x", under_tent=False)
    bare = Cover(key="open", open=windows)
    assert np.array_equal(bare.may_start(4), windows.may_apply(4))
    assert np.array_equal(bare.slack(4), windows.slack(4))
    assert bare.reached("immersion") is bare.reached("immersion"), "one array, so that links can share it"
    assert np.array_equal(bare.dry(), windows.rule == Rule.OPEN)
