"""The one next step of a zone, worked out by hand on a board whose clocks are whole hours."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boottop.job.board import BoardTask
from boottop.job.learned import FilmClock, Learned, SurfaceBias
from boottop.windows.windows import Rule
from tests.job.small_board import (
    COATED,
    COUNT,
    PAINT,
    PREPARED,
    START_S,
    ZONE,
    Line,
    board,
    log,
    seconds,
    step,
    system,
    table,
)

RAIN_12_TO_13 = tuple(0.5 if 48 <= slot < 52 else 0.0 for slot in range(COUNT))
SHUT_12_TO_13 = tuple(int(Rule.RAIN) if rain_mm else 0 for rain_mm in RAIN_12_TO_13)


def _task(kind: str, hours: float, zone: str | None = None) -> BoardTask:
    start_s = seconds(hours)
    return BoardTask(key=kind, kind=kind, label=kind, zone=zone, coat=None, start_s=start_s, end_s=start_s + 900)


def test_before_anything_she_is_hauled_out_when_the_plan_has_it() -> None:
    found = step([], 6.0, table(tasks=[_task("haul_out", 8.0)]))
    assert (found.kind, found.may_now, found.may_from_s) == ("haul_out", False, seconds(8.0))
    assert found.why_not is not None
    assert found.why_not.rule == "planned_later"
    assert step([], 9.0, table(tasks=[_task("haul_out", 8.0)])).may_now


@pytest.mark.parametrize(
    ("lines", "kind"),
    [
        ([], "haul_out"),
        ([(5.0, "hauled_out", {})], "wash"),
        ([(5.0, "washed", {})], "abrade"),
        ([(6.0, "abraded", {})], "mask"),
        ([(6.0, "masked", {})], "wipe"),
        ([(7.0, "wiped", {})], "coat"),
        ([(7.0, "coat_started", {})], "finish"),
        ([(7.5, "coat_finished", {})], "coat"),
        ([(7.5, "coat_finished", {"coat": 2})], "coat"),
        ([(7.5, "coat_finished", {"coat": 3})], "launch"),
        ([(7.5, "coat_finished", {"coat": 3}), (23.0, "launched", {})], "done"),
    ],
)
def test_the_step_after_the_furthest_that_was_written_down(lines: list[Line], kind: str) -> None:  # fmt: skip
    assert step(log(*lines), 8.0 if kind != "done" else 24.0).kind == kind


def test_the_next_coat_waits_for_the_clock_and_says_from_when_until_when() -> None:
    found = step(log(*COATED), 8.0)
    assert (found.kind, found.coat, found.may_now, found.touch_first) == ("coat", 2, False, True)
    assert (found.may_from_s, found.until_s) == (seconds(8.5), seconds(11.5))
    assert found.why_not is not None
    assert (found.why_not.rule, found.why_not.needed, found.why_not.had, found.why_not.unit) == (
        "not_tacky", 1.0, 0.5, "h",
    )  # fmt: skip
    assert {one.name: one.at_s for one in found.countdowns} == {
        "overcoat_from": seconds(8.5),
        "overcoat_until": seconds(11.5),
        "rain_safe": seconds(9.5),
    }


def test_tacky_by_touch_goes_before_the_clock_and_wet_holds_it_back() -> None:
    tacky = step(log(*COATED, (8.0, "touch_test", {"verdict": "tacky"})), 8.0)
    assert (tacky.may_now, tacky.touch_first, tacky.until_s) == (True, False, seconds(11.5))
    wet = step(log(*COATED, (9.0, "touch_test", {"verdict": "wet"})), 9.0)
    assert (wet.may_now, wet.touch_first) == (False, True)
    assert wet.may_from_s == seconds(9.0) + 600, "it is left alone for ten minutes"
    assert wet.why_not is not None
    assert wet.why_not.rule == "wet_by_touch"


def test_past_tacky_or_too_late_it_is_sanded_and_says_why() -> None:
    past = step(log(*COATED, (9.0, "touch_test", {"verdict": "past tacky"})), 9.0)
    assert (past.kind, past.because) == ("sand", "past_tacky")
    late = step(log(*COATED), 11.75)
    assert (late.kind, late.because, late.may_from_s) == ("sand", "overcoat_missed", seconds(17.5))
    assert late.why_not is not None
    assert (late.why_not.rule, late.why_not.needed, late.why_not.had) == ("too_soft_to_sand", 10.0, 4.25)


def test_what_was_sanded_is_wiped_before_the_next_coat() -> None:
    sanded = log(*COATED, (18.0, "abraded", {}))
    assert step(sanded, 18.5).kind == "wipe"
    wiped = log(*COATED, (18.0, "abraded", {}), (18.5, "wiped", {}))
    assert (step(wiped, 18.5).kind, step(wiped, 18.5).coat) == ("coat", 2)


def test_a_wiped_zone_is_wiped_again_after_six_hours() -> None:
    assert step(log(*PREPARED), 12.75).kind == "coat"
    again = step(log(*PREPARED), 13.25)
    assert (again.kind, again.because, again.may_now) == ("wipe", "wiped_too_long", True)


def test_rain_ahead_closes_the_coat_that_would_not_be_rain_safe() -> None:
    """Half an hour of rolling, two hours until it is safe, rain at twelve: the last start is half past nine."""
    rainy = table(system(rule=SHUT_12_TO_13), rain_mm=RAIN_12_TO_13)
    assert step(log(*PREPARED), 9.5, rainy).may_now
    found = step(log(*PREPARED), 9.75, rainy)
    assert (found.may_now, found.may_from_s) == (False, seconds(13.0))
    assert found.why_not is not None
    assert (found.why_not.rule, found.why_not.needed, found.why_not.had) == ("rain_before_safe", 2.0, 1.75)
    tent = table(system(sheltered=(40, 60)), rain_mm=RAIN_12_TO_13)
    assert step(log(*PREPARED), 9.75, tent).may_now, "rain does not reach the zone under the tent"


def test_rain_that_was_logged_closes_now_whatever_the_weather_file_says() -> None:
    found = step(log(*PREPARED, (8.0, "rain", {"what": "began"})), 8.5)
    assert (found.may_now, found.why_not is not None and found.why_not.rule) == (False, "rain")
    assert step(log(*PREPARED, (8.0, "rain", {"what": "began"}), (8.25, "rain", {"what": "ended"})), 8.5).may_now


def test_rain_on_a_film_that_was_not_safe_is_told() -> None:
    rained = log(*COATED, (9.0, "rain", {"what": "began"}))
    assert step(rained, 9.1).rained_on
    assert not step(log(*COATED, (9.75, "rain", {"what": "began"})), 9.8).rained_on


def test_a_reading_too_near_the_dew_point_closes_and_one_that_is_not_opens_nothing() -> None:
    """Air 15 degC at 95 % has its dew point at 14.2 degC: the surface of 15 degC is 0.8 K above it."""
    damp = step(log(*PREPARED, (8.0, "reading", {"air_c": 15.0, "humidity": 0.95, "surface_c": 15.0})), 8.25)
    assert (damp.may_now, damp.margin_from) == (False, "reading")
    assert damp.margin_k == pytest.approx(0.8, abs=0.05)
    assert damp.why_not is not None
    assert (damp.why_not.rule, damp.why_not.needed) == ("dew_margin", 3.0)
    assert step(log(*PREPARED, (8.0, "reading", {"air_c": 15.0, "humidity": 0.95})), 9.25).margin_from == "weather"
    closed = table(system(rule=(int(Rule.DEW_MARGIN),) * COUNT))
    dry = log(*PREPARED, (8.0, "reading", {"air_c": 15.0, "humidity": 0.5, "surface_c": 15.0}))
    assert not step(dry, 8.25, closed).may_now


def test_a_slower_film_waits_longer_and_a_colder_surface_closes_slots() -> None:
    slow = Learned(clocks=(FilmClock(product=PAINT, factor=1.5, tests=1, text=""),))
    found = step(log(*COATED), 8.0, learned=slow)
    assert {one.name: one.at_s for one in found.countdowns} == {
        "overcoat_from": seconds(9.0),
        "overcoat_until": seconds(13.5),
        "rain_safe": seconds(10.5),
    }
    fast = Learned(clocks=(FilmClock(product=PAINT, factor=0.5, tests=1, text=""),))
    early = {one.name: one.at_s for one in step(log(*COATED), 8.0, learned=fast).countdowns}
    assert early == {"overcoat_from": seconds(8.0), "overcoat_until": seconds(9.5), "rain_safe": seconds(9.5)}
    cold = Learned(surfaces=(SurfaceBias(zone=ZONE, bias_k=-4.0, at_s=seconds(8.0), readings=1, text=""),))
    shut = step(log(*PREPARED), 8.0, table(wipe_holds_h=24.0), learned=cold)
    assert shut.may_from_s == seconds(14.0), "half of it is gone in twelve hours, a quarter in six"
    assert shut.why_not is not None
    assert (shut.why_not.rule, shut.why_not.had) == ("dew_margin", 2.0)
    assert shut.margin_k == 2.0


def test_all_coats_in_one_day_where_the_sheet_wants_it() -> None:
    """Three coats of half an hour, each an hour after the one before: three and a half hours before midnight."""
    whole_day = table(system(one_day=True), wipe_holds_h=24.0)
    assert step(log(*PREPARED), 20.5, whole_day).may_now
    late = step(log(*PREPARED), 20.75, whole_day)
    assert (late.may_now, late.may_from_s) == (False, seconds(24.0))
    assert late.why_not is not None
    assert late.why_not.rule == "one_day"


def test_bare_copper_not_before_it_would_still_be_fresh_at_the_launch() -> None:
    coats: list[Line] = [(7.5, "coat_finished", {"coat": 3})]
    copper = table(system(activation=True, activation_before_launch_h=12.0), tasks=[_task("launch", 40.0)])
    early = step(log(*coats), 20.0, copper)
    assert (early.kind, early.may_from_s, early.until_s) == ("activate", seconds(28.0), seconds(40.0))
    assert early.why_not is not None
    assert early.why_not.rule == "too_early_bare"
    done = step(log(*coats, (30.0, "activated", {})), 30.0, copper)
    assert (done.kind, done.may_from_s) == ("launch", seconds(40.0))


def test_the_launch_waits_for_the_cure_of_every_zone() -> None:
    found = board(log((7.5, "coat_finished", {"coat": 3})), 10.0)
    assert found.launch_from_s == seconds(22.5)
    assert found.steps[0].why_not is not None
    assert found.steps[0].why_not.rule == "not_cured"
    both = table()
    both = replace(both, zones=(both.zones[0], replace(both.zones[0], name="starboard side")))
    waits = board(log((7.5, "coat_finished", {"coat": 3})), 30.0, both)
    assert waits.launch_from_s is None
    assert waits.steps[0].why_not is not None
    assert waits.steps[0].why_not.rule == "not_all_coated"


def test_outside_the_known_weather_it_says_so() -> None:
    past = step(log(*PREPARED[:2], (47.0, "wiped", {})), 48.5)
    assert (past.may_now, past.may_from_s) == (False, None)
    assert past.why_not is not None
    assert past.why_not.rule == "no_weather"
    assert board([], 48.5).table_ends_s == START_S + 48 * 3600


def test_rain_ahead_is_counted_down_to() -> None:
    rainy = table(rain_mm=RAIN_12_TO_13)
    assert board([], 9.0, rainy).rain_at_s == seconds(12.0)
    assert board([], 12.5, rainy).rain_at_s == seconds(12.5)
    assert board([], 14.0, rainy).rain_at_s is None
