"""Blending by hand: the filter's numbers against the closed form, and every reading that is not used says why."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.blend import BIAS_SD_K, READING_SD_K, Observation, blend
from boottop.climate.moist import dew_point_c
from tests.climate.readings import NOW, START, reading, weather


def test_one_reading_is_believed_nine_parts_in_ten_and_fades() -> None:
    forecast = weather()
    blended = blend(forecast, [reading(forecast, 10, 2.0)], now=NOW)
    shift = blended.weather.air_c[0] - forecast.air_c[0]
    gain = BIAS_SD_K**2 / (BIAS_SD_K**2 + READING_SD_K["air"] ** 2)
    assert gain == pytest.approx(0.9)
    assert shift[:10] == pytest.approx(np.zeros(10), abs=1e-12)
    assert shift[10:] == pytest.approx(2.0 * gain * np.exp(-np.arange(86) / 12.0))


def test_two_readings_by_hand() -> None:
    """The posterior mean of a Gauss-Markov process from two readings is a two by two system."""
    forecast = weather()
    blended = blend(forecast, [reading(forecast, 20, 1.0), reading(forecast, 14, 3.0)], now=NOW)
    cross = BIAS_SD_K**2 * np.exp(-6 / 12.0)
    noise = READING_SD_K["air"] ** 2
    covariance = np.array([[BIAS_SD_K**2 + noise, cross], [cross, BIAS_SD_K**2 + noise]])
    weights = np.linalg.solve(covariance, np.array([cross, BIAS_SD_K**2]))
    (air,) = blended.report.corrections
    assert air.bias_k == pytest.approx(float(weights @ np.array([3.0, 1.0])))
    assert air.sd_k == pytest.approx(float(np.sqrt(BIAS_SD_K**2 - weights @ np.array([cross, BIAS_SD_K**2]))))
    assert (air.readings, air.last) == (2, START + timedelta(hours=20))


def test_members_are_shifted_alike_by_the_readings_against_their_mean() -> None:
    forecast = weather(spread_k=(-2.0, 0.0, 5.0))
    blended = blend(forecast, [reading(forecast, 10, 1.0)], now=NOW)
    shift = blended.weather.air_c - forecast.air_c
    assert shift[0, 10] == pytest.approx(0.9)
    assert (shift == shift[0]).all() or shift == pytest.approx(np.broadcast_to(shift[0], shift.shape))


def test_dew_point_from_humidity_and_never_above_the_air() -> None:
    forecast = weather(damp_k=0.5)
    one = reading(forecast, 3, 0.0, rh=0.99)
    blended = blend(forecast, [one], now=NOW)
    names = [correction.name for correction in blended.report.corrections]
    assert names == ["air", "dew point"]
    above_k = float(dew_point_c(one.air_c, 0.99)) - 7.5
    gain = BIAS_SD_K**2 / (BIAS_SD_K**2 + READING_SD_K["dew point"] ** 2)
    assert blended.report.corrections[1].bias_k == pytest.approx(gain * above_k)
    assert (blended.weather.dew_c <= blended.weather.air_c).all()


def test_what_was_done_is_said_first() -> None:
    forecast = weather()
    blended = blend(forecast, [reading(forecast, 10.5, -1.0, dew_c=3.0)], now=NOW)
    assert blended.weather.findings == (
        "air: the forecast is shifted by -0.9 K (give or take 0.5) after 1 reading at the yard, the last "
        "2026-05-04T10:30Z; half of it is left after 8 h (assumed)",
        "dew point: the forecast is shifted by -0.8 K (give or take 0.7) after 1 reading at the yard, the last "
        "2026-05-04T10:30Z; half of it is left after 8 h (assumed)",
        "found before",
    )


def test_a_thermometer_in_the_sun_is_not_used() -> None:
    forecast = weather()
    blended = blend(forecast, [reading(forecast, 10, 8.5), reading(forecast, 11, 1.0)], now=NOW)
    assert blended.report.corrections[0].readings == 1
    assert (
        "reading at 2026-05-04T10:00Z: air not used, +8.5 K off the forecast (at most 8)" in (blended.report.unused[0])
    )
    assert blended.report.unused[0] in blended.weather.findings


def test_readings_outside_the_hours_are_named() -> None:
    forecast = weather(48)
    far = [Observation(time=START + timedelta(hours=hour), air_c=12.0) for hour in (-1, 48)]
    blended = blend(forecast, far, now=NOW)
    assert blended.report.corrections == ()
    assert [line.split(":00Z")[0] for line in blended.report.unused] == [
        "reading at 2026-05-03T23", "reading at 2026-05-06T00",
    ]  # fmt: skip
    assert (blended.weather.air_c == forecast.air_c).all()


@pytest.mark.parametrize(
    ("observation", "words"),
    [
        (Observation(time=START.replace(tzinfo=None), air_c=10.0), "found no zone"),
        (Observation(time=NOW + timedelta(hours=1), air_c=10.0), "found a time still to come"),
        (Observation(time=START, air_c=66.0), "found 66 degC; allowed: -50 to 57 degC"),
        (Observation(time=START, air_c=10.0, rh=78.0), "found a humidity of 7800 %"),
        (Observation(time=START, air_c=10.0, dew_c=12.0), "found a dew point of 12 degC"),
    ],
)
def test_impossible_readings_are_refused(observation: Observation, words: str) -> None:
    with pytest.raises(InputError, match=words):
        blend(weather(), [observation], now=NOW)


@pytest.mark.parametrize("decay_h", [0.0, -1.0, 1000.0, float("nan")])
def test_decay_out_of_range_is_refused(decay_h: float) -> None:
    with pytest.raises(InputError, match="decay of the correction"):
        blend(weather(), [], now=NOW, decay_h=decay_h)


def test_rain_wind_and_light_are_left_alone() -> None:
    forecast = weather()
    blended = blend(forecast, [reading(forecast, 10, 2.0, rh=0.5)], now=NOW).weather
    for field in ("wind_m_s", "rain_mm", "pressure_pa", "cloud"):
        assert getattr(blended, field) is getattr(forecast, field)
