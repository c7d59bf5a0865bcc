"""Several forecast members: rain in enough of them closes a slot, whichever member it is."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.climate.build import hull_climate
from boottop.climate.climate import Climate
from boottop.climate.draws import make_draws
from boottop.climate.slots import grid_for
from boottop.climate.weather import Weather
from tests.climate.made import SITE, two_sides, weather

SHOWER = slice(156, 160)


def _climate(table: Weather, *, caution: float = 0.8, tent: bool = False) -> Climate:
    zones = two_sides()
    return hull_climate(table, SITE, zones, grid=grid_for(table), draws=make_draws(1, 1), tent=tent, caution=caution)


def _members(raining: list[int], *, of: int) -> Weather:
    """All alike but for an hour of rain in some of them."""
    rain = np.zeros((of, 97))
    rain[raining, 40] = 1.5
    return weather(rain_mm=rain)


@pytest.mark.parametrize(
    ("raining", "of", "closed"),
    [([1], 2, True), ([4], 5, True), ([5], 6, False), ([4, 5], 6, True), ([9], 10, False), ([8, 9], 10, True),
     (list(range(24, 30)), 30, True), (list(range(25, 30)), 30, False)],
)  # fmt: skip
def test_a_fifth_of_the_members_is_enough(raining: list[int], of: int, closed: bool) -> None:
    made = _climate(_members(raining, of=of))
    assert (made.rain_mm[SHOWER] > 0.0).all() == closed
    assert made.wet[:, SHOWER].all() == closed
    assert made.rain_mm.sum() == pytest.approx(1.5 if closed else 0.0)


def test_drying_waits_for_that_rain_too() -> None:
    dry, wet = (_climate(_members(raining, of=10)) for raining in ([9], [8, 9]))
    assert (wet.dry_after[:, SHOWER.stop - 2] > dry.dry_after[:, SHOWER.stop - 2]).all()


def test_rain_of_the_first_member_alone_counts_like_any_other() -> None:
    assert _climate(_members([0], of=10)).rain_mm.sum() == 0.0


def test_caution_moves_the_share() -> None:
    one_of_ten = _members([9], of=10)
    assert _climate(one_of_ten, caution=0.95).rain_mm.sum() > 0.0
    assert _climate(_members([7, 8, 9], of=10), caution=0.5).rain_mm.sum() == 0.0


def test_one_member_is_read_as_it_stands() -> None:
    """Bit for bit, whatever the caution, and without a note."""
    rain = np.random.default_rng(3).gamma(0.2, 1.0, 97)
    made = _climate(weather(rain_mm=rain))
    np.testing.assert_array_equal(made.rain_mm, np.repeat(rain[1:], 4) / 4)
    other = _climate(weather(rain_mm=rain), caution=0.95)
    np.testing.assert_array_equal(made.wet, other.wet)
    np.testing.assert_array_equal(made.dry_after, other.dry_after)
    assert not any("members" in note for note in made.notes)


def test_members_all_alike_are_one() -> None:
    rain = np.random.default_rng(4).gamma(0.2, 1.0, 97)
    one, many = _climate(weather(rain_mm=rain)), _climate(weather(rain_mm=np.tile(rain, (7, 1))))
    np.testing.assert_array_equal(one.rain_mm, many.rain_mm)
    np.testing.assert_array_equal(one.wet, many.wet)


def test_note_says_how_many_must_rain_and_what_the_others_do() -> None:
    notes = _climate(_members([8, 9], of=10)).notes
    assert any("rain in 2 of 10 forecast members" in note and "first member" in note for note in notes)


def test_no_rain_under_a_tent_whoever_rains() -> None:
    assert _climate(_members([0, 1], of=2), tent=True).rain_mm.sum() == 0.0
