"""Water over a sill, on tides whose height is known in closed form: waves of the sun alone, that have no nodal part."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.base.clock import Grid
from boottop.plan.tide import LiftWater, Sill, high_water_lifts, lift_slots, lifts_water, water_m
from boottop.plan.tide_constants import OTHER_NAMES, WAVES, Constituent, TideStation
from boottop.plan.tide_heights import CHUNK, heights_m, left_out

MIDNIGHT = datetime(2026, 5, 4, tzinfo=UTC)
GRID = Grid(start=MIDNIGHT, count=3 * 96)


def wave(name: str, amplitude_m: float, phase_deg: float = 0.0) -> Constituent:
    return Constituent(name=name, amplitude_m=amplitude_m, phase_deg=phase_deg)


def station(*waves: Constituent, latitude_deg: float = 40.0) -> TideStation:
    return TideStation(
        name="invented",
        latitude_deg=latitude_deg,
        longitude_deg=0.0,
        constituents=waves,
        datums_m={"MSL": 5.0, "LAT": 3.0, "HAT": 7.0},
        chart_datum="LAT",
        source="invented",
        licence="none",
    )


NOON = station(wave("S1", 2.0))
"""2 cos(15 deg * (hours - 12)) m: high water at noon UTC, every day."""
DOUBLE = station(wave("S1", 2.0), wave("S3", 0.26, 180.0))
"""Two high waters about noon, 2.6 h apart, with a dip of a centimetre between them."""


def sill(of: TideStation = NOON, *, floor_m: float = 0.5, needed_m: float = 2.0) -> Sill:
    return Sill(station=of, datum="LAT", floor_m=floor_m, needed_m=needed_m)


def at(hours: float, day: int = 0) -> datetime:
    return MIDNIGHT + timedelta(days=day, hours=hours)


def epoch_s(*times: datetime) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    return np.array([int(time.timestamp()) for time in times], dtype=np.int64)


@pytest.mark.parametrize("hours", [0.0, 3.0, 6.0, 12.0, 20.5])
def test_height_of_a_day_wave(hours: float) -> None:
    expected = 2.0 * math.cos(math.radians(15.0 * (hours - 12.0)))
    assert heights_m(NOON, epoch_s(at(hours)))[0] == pytest.approx(expected, abs=1e-6)


def test_phase_is_a_lag() -> None:
    late = station(wave("S1", 2.0, 45.0))
    assert heights_m(late, epoch_s(at(15.0)))[0] == pytest.approx(2.0, abs=1e-6)


def test_the_sums_of_two_stations_add_up() -> None:
    when = epoch_s(*[at(hours) for hours in range(48)])
    one, two = station(wave("M2", 1.0, 30.0)), station(wave("K1", 0.4, 200.0))
    both = station(*one.constituents, *two.constituents)
    assert heights_m(both, when) == pytest.approx(heights_m(one, when) + heights_m(two, when), abs=1e-12)


def test_a_long_row_of_times_is_cut_in_pieces_that_fit() -> None:
    moon = station(wave("M2", 1.0), wave("L2", 0.2), wave("SA", 0.1))
    when = MIDNIGHT.timestamp() + 900 * np.arange(2 * CHUNK + 7)
    whole = heights_m(moon, when.astype(np.int64))
    assert whole.size == 2 * CHUNK + 7
    assert whole[CHUNK - 3 : CHUNK + 3] == pytest.approx(
        heights_m(moon, when[CHUNK - 3 : CHUNK + 3].astype(np.int64)), abs=1e-12
    )
    assert np.abs(np.diff(whole)).max() < 1.4 * 1.405e-4 * 900.0  # no step anywhere: slope of the waves at most
    assert heights_m(moon, np.zeros(0, dtype=np.int64)).size == 0


@pytest.mark.parametrize("latitude_deg", [0.0, -0.0, 1.0, -3.0])
def test_on_the_equator_as_at_five_degrees(latitude_deg: float) -> None:
    when = epoch_s(*[at(hours) for hours in range(24)])
    waves = (wave("O1", 0.3), wave("L2", 0.2))
    five = math.copysign(5.0, latitude_deg)
    near, far = station(*waves, latitude_deg=latitude_deg), station(*waves, latitude_deg=five)
    assert np.array_equal(heights_m(near, when), heights_m(far, when))


def test_the_year_wave_is_highest_when_the_sun_has_gone_as_far_as_its_phase() -> None:
    # SA counts from the equinox: with a lag of 180 deg it is highest when the mean sun stands at 180 deg, 23 September
    # give or take the two days by which the mean sun leads the true one.
    days = epoch_s(*[datetime(2026, 1, 1, tzinfo=UTC) + timedelta(days=day) for day in range(365)])
    top = int(heights_m(station(wave("SA", 1.0, 180.0)), days).argmax())
    assert abs(top - (datetime(2026, 9, 23, tzinfo=UTC) - datetime(2026, 1, 1, tzinfo=UTC)).days) <= 3


def test_what_no_list_defines_is_left_out_and_told() -> None:
    odd = station(wave("S1", 2.0), wave("R3", 0.004), wave("XX9", 0.5), wave("XX8", 0.0))
    assert [one.name for one in left_out(odd)] == ["R3", "XX9"]
    assert heights_m(odd, epoch_s(at(12.0)))[0] == pytest.approx(2.0, abs=1e-6)
    assert left_out(station(*[wave(name, 0.1) for name in (*WAVES, *OTHER_NAMES)])) == ()


@pytest.mark.parametrize(("datum", "expected_m"), [("LAT", 3.5), ("MSL", 1.5), ("HAT", -0.5)])
def test_water_counts_from_the_datum_named(datum: str, expected_m: float) -> None:
    # At noon the level is 2 m above mean sea level, which lies 2 m above LAT; the sill half a metre above the datum.
    over = replace(sill(), datum=datum)
    assert water_m(over, epoch_s(at(12.0)))[0] == pytest.approx(expected_m, abs=1e-6)


def test_least_water_of_a_lift_is_at_its_worse_end() -> None:
    rising, over_noon = lifts_water(sill(), [at(8.0), at(11.5)], lift_h=1.0)
    assert rising.least_m == pytest.approx(1.5 + 2.0 * math.cos(math.radians(60.0)), abs=1e-6)
    assert over_noon.least_m == pytest.approx(1.5 + 2.0 * math.cos(math.radians(7.5)), abs=1e-6)
    assert lifts_water(sill(), [], lift_h=1.0) == ()


def test_a_lift_of_fifty_minutes_takes_whole_slots() -> None:
    assert [lift_slots(hours) for hours in (0.01, 0.25, 50 / 60, 1.0, 72.0)] == [1, 1, 4, 4, 288]
    assert lifts_water(sill(), [at(8.0)], lift_h=50 / 60) == lifts_water(sill(), [at(8.0)], lift_h=1.0)


def test_lifts_at_high_water_have_it_in_their_middle() -> None:
    lifts = high_water_lifts(sill(), GRID, lift_h=1.0)
    assert [lift.slot for lift in lifts] == [at(11.5, day) for day in range(3)]
    assert lifts[0].least_m == pytest.approx(1.5 + 2.0 * math.cos(math.radians(7.5)), abs=1e-6)


def test_of_a_double_high_water_one_lift() -> None:
    minutes = epoch_s(*[at(10.0 + minute / 60) for minute in range(240)])
    curve = water_m(sill(DOUBLE), minutes)
    inner = curve[1:-1]
    tops = np.flatnonzero((inner > curve[:-2]) & (inner > curve[2:])) + 1
    assert tops.size == 2
    assert 1.5 * 60 < tops[1] - tops[0] < 3 * 60
    assert len(high_water_lifts(sill(DOUBLE), GRID, lift_h=0.5)) == 3


def test_high_waters_at_the_ends_of_the_grid_are_true_ones() -> None:
    morning = Grid(start=at(13.0), count=4 * 8)  # the tide falls all through it
    assert high_water_lifts(sill(), morning, lift_h=1.0) == ()
    starts_on_it = Grid(start=at(11.0), count=4 * 8)
    assert [lift.slot for lift in high_water_lifts(sill(), starts_on_it, lift_h=2.0)] == [at(11.0)]


@settings(max_examples=60, deadline=None)
@given(
    amplitude_m=st.floats(0.6, 4.0),
    phase_deg=st.floats(0.0, 360.0),
    floor_m=st.floats(-3.0, 3.0),
    lift_h=st.floats(0.25, 4.0),
)
def test_no_lift_beats_the_one_at_high_water(
    *, amplitude_m: float, phase_deg: float, floor_m: float, lift_h: float
) -> None:
    over = sill(station(wave("M2", amplitude_m, phase_deg), wave("O1", 0.2, 100.0)), floor_m=floor_m)
    every = lifts_water(over, [GRID.time_of(slot) for slot in range(GRID.count)], lift_h=lift_h)
    chosen = high_water_lifts(over, GRID, lift_h=lift_h)
    assert 4 <= len(chosen) <= 7  # M2 leads by far: 12 h 25 min from one to the next, one more or less at the ends
    for lift in chosen:
        near = [other.least_m for other in every if abs(other.slot - lift.slot) <= timedelta(hours=3)]
        assert lift.least_m == pytest.approx(max(near), abs=1e-9)
    assert isinstance(chosen[0], LiftWater)


@settings(max_examples=40, deadline=None)
@given(floor_m=st.floats(-5.0, 5.0), up_m=st.floats(0.0, 3.0), hours=st.floats(0.0, 48.0))
def test_a_higher_sill_takes_its_height_from_the_water(*, floor_m: float, up_m: float, hours: float) -> None:
    when = epoch_s(at(hours))
    lower, higher = sill(floor_m=floor_m), sill(floor_m=floor_m + up_m)
    assert water_m(lower, when)[0] - water_m(higher, when)[0] == pytest.approx(up_m, abs=1e-9)
