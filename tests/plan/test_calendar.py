"""Hours, holidays, daylight and the two nights a year when the clocks change; work that pauses."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from boottop.base.clock import Grid
from boottop.plan.calendar import all_open, calendar_for, finish_at_once, finish_of_work, open_slots, worked
from boottop.plan.inputs import Hours
from tests.plan import jobs


def test_hours_hold_whole_slots_of_their_weekday_only() -> None:
    day, minute = jobs.grid(7).local(jobs.PLACE)
    open_ = open_slots((Hours(weekday=0, opens=time(8), closes=time(9, 40)),), (), day=day, minute=minute)
    assert np.flatnonzero(open_).tolist() == list(range(32, 38))  # Monday 08:00 to 09:30, no part of a slot


def test_midnight_closes_the_day_and_holidays_are_shut() -> None:
    day, minute = jobs.grid(3).local(jobs.PLACE)
    hours = jobs.every_day("20:00", "00:00")
    open_ = open_slots(hours, (date(2026, 6, 2),), day=day, minute=minute)
    assert np.flatnonzero(open_).tolist() == [*range(80, 96), *range(272, 288)]


def test_breaks_are_two_spans() -> None:
    day, minute = jobs.grid(1).local(jobs.PLACE)
    hours = (*jobs.every_day("08:00", "12:00"), *jobs.every_day("13:00", "17:00"))
    assert open_slots(hours, (), day=day, minute=minute).sum() == 32


def test_the_day_the_clocks_go_back_has_its_eight_hours_at_the_right_clock() -> None:
    # 25 October 2026, Lisbon: 02:00 summer time becomes 01:00; that local day has 100 slots.
    grid = Grid(start=datetime(2026, 10, 24, 23, tzinfo=UTC), count=100)
    calendar = calendar_for(
        jobs.inputs().yard, jobs.inputs().crew, grid=grid, sun_elevation_deg=np.full(grid.count, 10.0)
    )
    worked_slots = np.flatnonzero(calendar.crew)
    assert calendar.said(int(worked_slots[0])) == "Sun 25 Oct 08:00"
    assert worked_slots.size == 40
    assert set(calendar.day.tolist()) == {date(2026, 10, 25).toordinal()}


def test_nobody_works_in_the_dark_and_the_hours_say_so() -> None:
    sky, job = jobs.Sky(), jobs.inputs()
    sun = sky.climate(jobs.hull()).sun_elevation_deg.copy()
    sun[jobs.slots(0, "08:00", "10:00")] = -6.1
    calendar = calendar_for(job.yard, job.crew, grid=jobs.grid(), sun_elevation_deg=sun)
    assert not calendar.crew[jobs.slots(0, "08:00", "10:00")].any()
    assert calendar.hours[jobs.slots(0, "08:00", "10:00")].all()
    assert calendar.crew[jobs.slots(0, "10:00", "18:00")].all()


def test_a_mark_past_the_weather_says_where_it_ends() -> None:
    job, grid = jobs.inputs(), jobs.grid(2)
    calendar = calendar_for(job.yard, job.crew, grid=grid, sun_elevation_deg=np.full(grid.count, 10.0))
    assert calendar.said(grid.beyond) == "after the weather file ends (Wed 3 Jun 00:00)"
    assert calendar.hour_said(40, beside=50) == "10:00"
    assert calendar.hour_said(140, beside=50) == "Tue 2 Jun 11:00"


masks = st.lists(st.booleans(), min_size=1, max_size=40).map(lambda bits: np.array(bits, dtype=np.bool_))


@given(masks, st.integers(min_value=1, max_value=8))
def test_work_that_pauses_ends_where_counting_slot_by_slot_ends(open_: np.ndarray, need: int) -> None:
    ends = finish_of_work(open_, need)
    for start in range(open_.size):
        left, mark = need, start
        while left and mark < open_.size:
            left -= int(open_[mark])
            mark += 1
        assert ends[start] == (mark if left == 0 else open_.size + 1)
        if left == 0:
            first, last = worked(open_, start, need)
            assert open_[first]
            assert last == mark
            assert open_[first:last].sum() == need


@given(masks, st.integers(min_value=1, max_value=8))
def test_straight_work_starts_only_where_every_slot_is_open(open_: np.ndarray, need: int) -> None:
    starts, ends = all_open(open_, need), finish_at_once(open_.size, need)
    for start in range(open_.size):
        fits = start + need <= open_.size
        assert starts[start] == (fits and bool(open_[start : start + need].all()))
        assert ends[start] == (start + need if fits else open_.size + 1)
