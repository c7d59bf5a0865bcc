"""Hourly weather to 15-minute slots: what holds at the stamp, what belongs to the hour before it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from boottop.base.clock import Grid
from boottop.base.errors import InputError
from boottop.climate.slots import grid_for, span_of
from tests.climate.made import START, weather


def test_grid_covers_the_weather_from_stamp_to_stamp() -> None:
    grid = grid_for(weather(days=2))
    assert (grid.start, grid.count) == (START, 2 * 96)


def test_grid_is_cut_inwards_to_whole_hours() -> None:
    grid = grid_for(weather(days=2), start=START + timedelta(minutes=90), end=START + timedelta(hours=7, minutes=59))
    assert (grid.start, grid.end) == (START + timedelta(hours=2), START + timedelta(hours=7))


def test_grid_outside_the_weather_is_refused() -> None:
    with pytest.raises(InputError, match="weather that covers the time asked for"):
        grid_for(weather(days=2), start=START + timedelta(days=5))


def test_temperature_is_linear_between_stamps() -> None:
    table = weather(days=1, air_c=np.arange(25.0))
    span = span_of(table, grid_for(table))
    np.testing.assert_allclose(span.at_stamps(table.air_c)[0, :5], [0.125, 0.375, 0.625, 0.875, 1.125])


def test_rain_belongs_to_the_hour_before_its_stamp() -> None:
    rain = np.zeros(25)
    rain[3] = 4.0
    table = weather(days=1, rain_mm=rain)
    slots = span_of(table, grid_for(table)).over_hours(table.rain_mm)[0]
    assert np.flatnonzero(slots).tolist() == [8, 9, 10, 11]


def test_run_in_is_real_weather_where_there_is_some_and_the_first_day_twice_where_not() -> None:
    table = weather(days=6)
    early, late = grid_for(table), grid_for(table, start=START + timedelta(days=3))
    assert span_of(table, early).order()[:193].tolist() == [*range(96), *range(96), 0]
    with_lead = span_of(table, late)
    assert with_lead.grid.start == START + timedelta(days=1)
    assert (with_lead.first, with_lead.order()[0]) == (192, 0)


def test_tail_serves_estimates_but_not_the_march() -> None:
    table = weather(days=6)
    span = span_of(table, grid_for(table, end=START + timedelta(days=2)))
    assert span.grid.count == 3 * 96
    assert int(span.order().max()) == 2 * 96 - 1


def test_gap_is_refused_with_its_place() -> None:
    air = np.full(49, 12.0)
    air[30:32] = np.nan
    table = weather(days=2, air_c=air, rain_mm=np.where(np.arange(49) == 7, np.nan, 0.0))
    with pytest.raises(InputError, match=r"air_c: found no value at 2023-04-11T06:00:00\+00:00 \(2 missing") as caught:
        span_of(table, grid_for(table))
    assert len(caught.value.problems) == 2


def test_weather_off_the_hour_is_refused() -> None:
    table = replace(weather(days=2), start=START + timedelta(minutes=51))
    with pytest.raises(InputError, match="whole hour of UTC"):
        span_of(table, Grid(start=START, count=96))


def test_grid_wider_than_the_weather_is_refused() -> None:
    with pytest.raises(InputError, match="grid_for"):
        span_of(weather(days=2), Grid(start=START, count=3 * 96))
