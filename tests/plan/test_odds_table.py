"""Weeks, chances, intervals, and the reasons why days were lost."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from boottop.plan.calendar import calendar_for
from boottop.plan.odds_reasons import COLD, DARK, DEW, RAIN, REASONS, SHORT, SHUT, day_reasons
from boottop.plan.odds_result import Question, place_odds
from boottop.plan.odds_table import Starts, always, best_of, intervals, week_label, week_of, week_rows, year_draws
from boottop.plan.odds_ways import Option, Outcomes, Way
from boottop.plan.rules_cover import Cover
from boottop.windows.windows import Rule
from tests.plan import jobs

WAY = Way(option=Option(people=2), policy="side_a_day", first="port")


def starts_with(days: list[list[int]], *, years: list[int], week: int = 10, horizon: int = 35) -> Starts:
    """Starts of one week: days to the launch by (way, start), a year each."""
    table = np.array(days, dtype=np.int16)
    none = np.zeros((*table.shape, len(REASONS)), np.int16)
    cost = np.where(table < 0, 9_000, 100 * table).astype(np.int64)
    outcomes = Outcomes(
        days=table, ashore=table, cost_minor=cost, lost=none, forecast_days=table, forecast_ashore=table,
        forecast_cost_minor=cost, spoilt=np.zeros_like(table),
    )  # fmt: skip
    return Starts(week=np.full(len(years), week), year=np.array(years), outcomes=outcomes, horizon_days=horizon)


def test_weeks_hold_the_same_dates_in_every_year() -> None:
    for month, day in ((1, 1), (2, 28), (3, 1), (7, 14), (12, 31)):
        weeks = week_of(np.array([date(year, month, day).toordinal() for year in (2022, 2023, 2024)]))
        assert len(set(weeks.tolist())) == 1
    assert week_of(np.array([date(2024, 2, 29).toordinal()])) == week_of(np.array([date(2024, 2, 28).toordinal()]))
    assert week_label(int(week_of(np.array([date(2022, 4, 25).toordinal()]))[0])) == "23 Apr"


def test_never_is_counted_and_nothing_averaged_over_the_finished_alone() -> None:
    starts = starts_with([[10, 12, -1, -1]], years=[2020, 2021, 2022, 2023])
    (row,) = week_rows(starts, always(starts, 0, ""), within=(10, 14, 35), draws=year_draws(4, seed=1))
    assert [row.within[days].value for days in (10, 14, 35)] == [0.25, 0.5, 0.5]
    assert row.never.value == 0.5
    assert row.ashore.value == (10 + 12 + 35 + 35) / 4
    assert row.cost_minor.value == (1000 + 1200 + 9000 + 9000) / 4


def test_one_year_has_no_interval_and_says_how_many_it_rests_on() -> None:
    starts = starts_with([[10, 12, 9]], years=[2020, 2020, 2020])
    (row,) = week_rows(starts, always(starts, 0, ""), within=(10,), draws=year_draws(1, seed=1))
    chance = row.within[10]
    assert (chance.low, chance.high, chance.years, chance.starts) == (None, None, 1, 3)


def test_interval_of_years_that_agree_is_a_point_and_of_years_that_differ_spans_them() -> None:
    agree = np.array([[1.0, 0.0] * 4])
    year = np.repeat(np.arange(4), 2)
    draws = year_draws(4, seed=3)
    ((same,),) = intervals(agree, np.zeros(8, np.int64), year, years=range(4), draws=draws)
    assert (same.low, same.value, same.high) == (0.5, 0.5, 0.5)
    differ = np.array([[0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0]])
    ((wide,),) = intervals(differ, np.zeros(8, np.int64), year, years=range(4), draws=draws)
    assert wide.low is not None
    assert wide.high is not None
    assert wide.low <= 0.25 <= 0.75 <= wide.high


def test_interval_of_many_years_is_that_of_the_binomial() -> None:
    """20 years of one start each, half of them good: standard error 0.5 / sqrt(20) = 0.112, 90 % within 1.645 of it."""
    values = np.array([[0.0, 1.0] * 10])
    draws = year_draws(20, seed=5, resamples=20_000)
    ((found,),) = intervals(values, np.zeros(20, np.int64), np.arange(20), years=range(20), draws=draws)
    assert found.low == pytest.approx(0.5 - 1.645 * 0.1118, abs=0.05)
    assert found.high == pytest.approx(0.5 + 1.645 * 0.1118, abs=0.05)


def test_the_seed_is_an_argument() -> None:
    assert np.array_equal(year_draws(6, seed=1), year_draws(6, seed=1))
    assert not np.array_equal(year_draws(6, seed=1), year_draws(6, seed=2))


def test_hindsight_takes_the_first_afloat_and_the_cheapest_of_equals() -> None:
    starts = starts_with([[10, -1, 8], [9, 12, 8]], years=[2020, 2021, 2022])
    starts.outcomes.cost_minor[:, 2] = (700, 900)
    assert best_of(starts, [0, 1], "").row.tolist() == [1, 1, 0]


def test_the_best_policy_of_an_option_is_the_likeliest_in_time() -> None:
    ways = (WAY, Way(option=WAY.option, policy="together", first="port"))
    starts = starts_with([[20, 20, 9], [9, 10, 20]], years=[2020, 2021, 2022])
    (option,) = place_odds("yard", starts, ways, question=Question(week=10, target_days=14)).options
    assert option.best.label.startswith("both sides on one day")
    assert len(option.policies) == 2
    assert option.hindsight.here is not None
    assert option.hindsight.here.within[14].value == 1.0


def test_days_are_lost_to_what_closes_most_of_them() -> None:
    sky = jobs.Sky()
    sky.rains(0)
    sky.closes(Rule.DEW_MARGIN, 1)
    sky.closes(Rule.AIR_COLD, 2)
    sky.rains(3, "12:00", "23:45")
    boat, job = jobs.hull(), jobs.inputs()
    climate = sky.climate(boat)
    crew = jobs.with_crew(job, hours=jobs.every_day("08:00", "18:00", range(6)))
    calendar = calendar_for(crew.yard, crew.crew, grid=climate.grid, sun_elevation_deg=climate.sun_elevation_deg)
    cover = Cover(key="open", open=sky.windows("port side", "invented copper epoxy", under_tent=False))
    first = np.searchsorted(calendar.day, np.unique(calendar.day)).astype(np.int32)
    found = day_reasons(calendar, cover, 4, day_first=first).tolist()
    assert found[:4] == [RAIN, DEW, COLD, RAIN]
    assert found[4] == SHORT
    assert found[6] == SHUT
    late = jobs.with_crew(job, hours=jobs.every_day("08:00", "23:00"))
    dark = calendar_for(late.yard, late.crew, grid=climate.grid, sun_elevation_deg=climate.sun_elevation_deg)
    assert day_reasons(dark, cover, 4, day_first=first).tolist()[4] == DARK
