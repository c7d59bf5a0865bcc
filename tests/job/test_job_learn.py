"""What a touch test and an infrared reading teach, with the stated gain, worked out by hand."""

from __future__ import annotations

from math import sqrt

import pytest

from boottop.job.events import Event
from boottop.job.fold import fold
from boottop.job.learn import learn
from boottop.job.learned import FilmClock, Learned, SurfaceBias
from tests.job.small_board import COATED, PAINT, ZONE, Line, log, seconds, system, table

TABLE = table(system())
"""The film is worked out to be tacky one hour after its finish at half past seven."""


def _clock(events: list[Event]) -> FilmClock:
    (found,) = learn(fold(events), TABLE).clocks
    return found


def _surface(events: list[Event]) -> SurfaceBias:
    (found,) = learn(fold(events), TABLE).surfaces
    return found


def test_nothing_written_down_teaches_nothing() -> None:
    assert learn(fold([]), TABLE) == Learned()
    assert learn(fold(log(*COATED)), TABLE) == Learned()


def test_wet_after_the_time_says_slower_by_half_of_the_way() -> None:
    found = _clock(log(*COATED, (8.75, "touch_test", {"verdict": "wet"})))
    assert found.factor == pytest.approx(sqrt(1.25))
    assert found.text == "your film is 12 % slower than the sheet today"


def test_tacky_before_the_time_says_faster() -> None:
    found = _clock(log(*COATED, (8.0, "touch_test", {"verdict": "tacky"})))
    assert found.factor == pytest.approx(sqrt(0.5))
    assert found.text == "your film is 29 % faster than the sheet today"


@pytest.mark.parametrize(("hour", "verdict"), [(8.0, "wet"), (9.0, "tacky"), (8.5, "tacky")])
def test_what_agrees_with_the_sheet_changes_nothing(hour: float, verdict: str) -> None:
    found = _clock(log(*COATED, (hour, "touch_test", {"verdict": verdict})))
    assert found.factor == 1.0
    assert found.text == "your film keeps the sheet's time today"


def test_between_wet_and_tacky_it_goes_towards_the_middle_of_the_two() -> None:
    """Wet at 1.5 times, tacky at 2 times the time worked out: half of the way, in ratios, to sqrt(1.5 * 2)."""
    both = log(*COATED, (9.0, "touch_test", {"verdict": "wet"}), (9.5, "touch_test", {"verdict": "tacky"}))
    assert _clock(both).factor == pytest.approx(sqrt(sqrt(3.0)))
    assert _clock(both).tests == 1


def test_the_factor_stays_between_half_and_twice() -> None:
    assert _clock(log(*COATED, (7.51, "touch_test", {"verdict": "tacky"}))).factor == 0.5
    assert _clock(log(*COATED, (22.0, "touch_test", {"verdict": "wet"}))).factor == 2.0


def test_a_touch_before_the_finish_or_of_another_coat_teaches_nothing() -> None:
    assert learn(fold(log(*COATED, (7.25, "touch_test", {"verdict": "tacky"}))), TABLE) == Learned()
    assert learn(fold(log(*COATED, (8.0, "touch_test", {"verdict": "tacky", "coat": 2}))), TABLE) == Learned()


def test_the_next_coats_go_by_what_was_learned_and_learn_on() -> None:
    lines: list[Line] = [*COATED, (8.75, "touch_test", {"verdict": "wet"})]
    lines += [(9.0, "coat_finished", {"coat": 2}), (10.25, "touch_test", {"verdict": "wet", "coat": 2})]
    found = _clock(log(*lines))
    assert found.factor == pytest.approx(sqrt(sqrt(1.25) * 1.25))
    assert found.tests == 2


def test_a_reading_takes_over_four_fifths_of_the_difference() -> None:
    found = _surface(log((8.0, "reading", {"surface_c": 20.0})))
    assert found.bias_k == pytest.approx(4.0)
    assert (found.at_s, found.readings) == (seconds(8.0), 1)
    assert found.text == f"{ZONE} is 4.0 K warmer than worked out"
    again = _surface(log((8.0, "reading", {"surface_c": 20.0}), (8.0, "reading", {"surface_c": 20.0})))
    assert again.bias_k == pytest.approx(4.0 + 0.8 * 1.0)


def test_what_a_reading_taught_fades_by_half_in_twelve_hours() -> None:
    learned = learn(fold(log((8.0, "reading", {"surface_c": 10.0}))), TABLE)
    assert [round(learned.bias_k(ZONE, seconds(hour)), 6) for hour in (7.0, 8.0, 14.0, 20.0, 32.0)] == [
        -4.0, -4.0, -3.0, -2.0, -1.0,
    ]  # fmt: skip
    assert learned.bias_k("another zone", seconds(8.0)) == 0.0


def test_a_slip_of_the_thermometer_is_held_to_ten_kelvin() -> None:
    assert _surface(log((8.0, "reading", {"surface_c": 60.0}))).bias_k == 10.0


def test_a_reading_outside_the_known_weather_teaches_nothing() -> None:
    assert learn(fold(log((49.0, "reading", {"surface_c": 20.0}))), TABLE) == Learned()


def test_what_is_not_known_counts_as_the_sheet() -> None:
    assert Learned().factor(PAINT) == 1.0
    assert Learned().bias_k(ZONE, seconds(8.0)) == 0.0
