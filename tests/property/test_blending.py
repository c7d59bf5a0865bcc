"""Blending: bounded by the readings, independent of their order, fading, and never a dew point above the air."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from boottop.climate.blend import Observation, blend
from tests.climate.readings import NOW, START, reading, weather

FORECAST = weather(120, spread_k=(-1.5, 0.0, 2.0))
READINGS = st.lists(st.tuples(st.integers(0, 72), st.floats(-7.5, 7.5)), min_size=1, max_size=12)
DECAY = st.floats(1.0, 100.0)


def made(pairs: list[tuple[int, float]]) -> list[Observation]:
    return [reading(FORECAST, hour, above_k) for hour, above_k in pairs]


@given(READINGS, DECAY)
def test_correction_lies_between_nothing_and_the_readings(pairs: list[tuple[int, float]], decay_h: float) -> None:
    shift = blend(FORECAST, made(pairs), now=NOW, decay_h=decay_h).weather.air_c - FORECAST.air_c
    above = [above_k for _, above_k in pairs]
    assert shift.min() >= min(0.0, *above) - 1e-9
    assert shift.max() <= max(0.0, *above) + 1e-9
    assert np.ptp(shift, axis=0).max() < 1e-9


@given(READINGS, DECAY)
def test_after_the_last_reading_it_fades_to_nothing(pairs: list[tuple[int, float]], decay_h: float) -> None:
    shift = (blend(FORECAST, made(pairs), now=NOW, decay_h=decay_h).weather.air_c - FORECAST.air_c)[0]
    last = max(hour for hour, _ in pairs)
    size = np.abs(shift[last:])
    assert (np.diff(size) <= 1e-9).all()
    assert np.allclose(size, size[0] * np.exp(-np.arange(size.size) / decay_h), atol=1e-9)
    assert np.abs(shift[: min(hour for hour, _ in pairs)]).max(initial=0.0) < 1e-12


@given(READINGS, st.randoms(use_true_random=False))
def test_order_of_readings_at_different_times_does_not_matter(pairs: list[tuple[int, float]], chance: object) -> None:
    apart = list({hour: above_k for hour, above_k in pairs}.items())
    mixed = list(apart)
    chance.shuffle(mixed)  # type: ignore[attr-defined]
    one, other = (blend(FORECAST, made(order), now=NOW) for order in (apart, mixed))
    assert (one.weather.air_c == other.weather.air_c).all()
    assert one.report == other.report


@given(st.integers(0, 72), st.floats(0.0, 7.0), st.floats(0.0, 7.0))
def test_a_warmer_reading_never_makes_a_colder_forecast(hour: int, low_k: float, more_k: float) -> None:
    high_k = min(low_k + more_k, 7.9)
    pair = (low_k, max(low_k, high_k))
    low, high = (blend(FORECAST, made([(hour, above_k)]), now=NOW).weather.air_c for above_k in pair)
    assert (high >= low - 1e-9).all()


@given(st.integers(1, 30), st.floats(-7.0, 7.0))
def test_more_readings_of_the_same_bias_bring_it_nearer_and_surer(count: int, above_k: float) -> None:
    fewer, more = (
        blend(FORECAST, made([(hour, above_k) for hour in range(number)]), now=NOW).report.corrections[0]
        for number in (count, count + 1)
    )
    assert more.sd_k <= fewer.sd_k + 1e-12
    assert abs(above_k - more.bias_k) <= abs(above_k - fewer.bias_k) + 1e-9


@given(READINGS)
def test_readings_that_agree_with_the_forecast_change_nothing(pairs: list[tuple[int, float]]) -> None:
    agreeing = made([(hour, 0.0) for hour, _ in pairs])
    assert np.allclose(blend(FORECAST, agreeing, now=NOW).weather.air_c, FORECAST.air_c, atol=1e-9)


@given(st.lists(st.tuples(st.integers(0, 100), st.floats(-3, 20), st.floats(0.02, 1.02)), max_size=8))
def test_dew_point_never_above_air(rows: list[tuple[int, float, float]]) -> None:
    seen = [Observation(time=START + timedelta(hours=hour), air_c=air_c, rh=rh) for hour, air_c, rh in rows]
    blended = blend(FORECAST, seen, now=NOW).weather
    assert (blended.dew_c <= blended.air_c).all()
    assert np.isfinite(blended.dew_c).all()
