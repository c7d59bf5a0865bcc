"""The axis: the yard's own days, nights narrow, the same pixel for the same moment."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from boottop.base.clock import Grid
from boottop.report.axis import DAY_PX_PER_H, NIGHT_PX_PER_H, make_axis

PLACE = ZoneInfo("America/New_York")
FOUR_DAYS = Grid(start=datetime(2022, 4, 25, 4, tzinfo=UTC), count=4 * 96)
"""From local midnight."""
WHOLE_DAY_PX = 14 * DAY_PX_PER_H + 10 * NIGHT_PX_PER_H


def test_a_day_is_as_wide_as_its_hours() -> None:
    axis = make_axis(FOUR_DAYS, PLACE, first=0, last=4 * 96)
    assert axis.width == pytest.approx(4 * WHOLE_DAY_PX)
    assert axis.x(6 * 4) == pytest.approx(6 * NIGHT_PX_PER_H)
    assert axis.x(20 * 4) == pytest.approx(6 * NIGHT_PX_PER_H + 14 * DAY_PX_PER_H)


def test_days_carry_local_dates_and_follow_each_other() -> None:
    days = make_axis(FOUR_DAYS, PLACE, first=40, last=4 * 96).days()
    assert [tick.text for tick, _ in days] == ["Mon 25 Apr", "Tue 26 Apr", "Wed 27 Apr", "Thu 28 Apr"]
    assert days[0][0].x == 0.0
    assert all(end == after.x for (_, end), (after, _) in pairwise(days))


def test_hours_stand_where_they_belong() -> None:
    axis = make_axis(FOUR_DAYS, PLACE, first=0, last=96)
    assert {tick.text: tick.x for tick in axis.hours()} == {str(hour): axis.x(4 * hour) for hour in (9, 12, 15, 18)}


def test_a_moment_outside_is_held_at_the_edge() -> None:
    axis = make_axis(FOUR_DAYS, PLACE, first=96, last=192)
    assert axis.at(FOUR_DAYS.start) == 0.0
    assert axis.at(FOUR_DAYS.end + timedelta(days=3)) == axis.width
    assert np.all(np.diff([axis.x(mark) for mark in range(96, 193)]) > 0.0)


def test_a_wish_beyond_the_grid_is_cut_to_it() -> None:
    axis = make_axis(FOUR_DAYS, PLACE, first=-50, last=4 * 96 + 50)
    assert (axis.first, axis.last) == (0, 4 * 96)


@pytest.mark.parametrize(("start", "hours"), [("2022-03-12T05:00", 23), ("2022-11-05T04:00", 25)])
def test_the_days_on_which_clocks_change_keep_their_dates(start: str, hours: int) -> None:
    begin = datetime.fromisoformat(start).replace(tzinfo=UTC)
    axis = make_axis(Grid(start=begin, count=3 * 96), PLACE, first=0, last=3 * 96)
    first, second, third = axis.days()[:3]
    dates = [int(tick.text.split()[1]) for tick, _ in (first, second, third)]
    assert dates == [dates[0], dates[0] + 1, dates[0] + 2]
    longer_h = hours - 24
    assert second[1] - second[0].x == pytest.approx(WHOLE_DAY_PX + longer_h * NIGHT_PX_PER_H)
