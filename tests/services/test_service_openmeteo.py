"""Open-Meteo: an excerpt of a real answer (local time, km/h), and whole answers written by hand as documented."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from boottop.climate.weather import Weather
from boottop.services.failure import ServiceError
from boottop.services.members import judged
from boottop.services.openmeteo import decode
from tests.services.answers import FALMOUTH, open_meteo, utc
from tests.services.server import sample

START = utc(2026, 5, 4)


def weather_of(payload: object) -> Weather:
    return judged(decode(payload), FALMOUTH, start=START, end=None)


def test_real_excerpt_in_local_time_and_kilometres_an_hour() -> None:
    (table,) = decode(sample("openmeteo-forecast-excerpt.json")).tables
    assert table.covers_s[0] == int(utc(2026, 10, 2, 22).timestamp())  # midnight in Amsterdam in summer
    assert table.values["wind_m_s"] == pytest.approx(np.array([9.0, 8.3, 6.8]) / 3.6)
    assert table.values["pressure_pa"] == pytest.approx(np.array([102790.0, 102810.0, 102790.0]))
    assert table.values["rh"].tolist() == [0.87, 0.9, 0.92]
    assert "times: given +2 h from UTC, read so" in table.notes


def test_forecast_is_taken_hour_by_hour() -> None:
    payload = open_meteo(START, 72)
    weather = weather_of(payload)
    assert (weather.start, weather.members, weather.hours) == (START, 1, 72)
    assert weather.air_c[0] == pytest.approx(payload["hourly"]["temperature_2m"])
    assert weather.rain_mm[0] == pytest.approx(payload["hourly"]["precipitation"])
    assert weather.ghi_w_m2[0] == pytest.approx(payload["hourly"]["shortwave_radiation"])
    assert not any(marks.any() for marks in weather.filled.values())


def test_members_become_the_first_axis_with_the_control_first() -> None:
    weather = weather_of(open_meteo(START, 48, members=31))
    assert weather.air_c.shape == (31, 48)
    assert weather.air_c[:, 10] - weather.air_c[0, 10] == pytest.approx(np.arange(31) / 10)
    assert not any("of 31 members" in finding for finding in weather.findings)


def test_a_member_that_ends_early_is_left_out() -> None:
    payload = open_meteo(START, 96, members=5)
    payload["hourly"]["temperature_2m_member03"][40:] = [None] * 56
    weather = weather_of(payload)
    assert weather.air_c.shape == (4, 96)
    assert "ensemble: 1 members are incomplete and left out, 4 are used" in weather.findings


def test_a_member_without_one_quantity_is_left_out_not_mixed() -> None:
    payload = open_meteo(START, 48, members=4)
    del payload["hourly"]["wind_speed_10m_member02"]
    assert weather_of(payload).members == 3


def test_a_member_that_quality_control_refuses_is_told() -> None:
    payload = open_meteo(START, 48, members=5)
    payload["hourly"]["temperature_2m_member04"][7] = 77.0
    weather = weather_of(payload)
    assert weather.members == 4
    assert any("1 members refused" in finding and "77 degC" in finding for finding in weather.findings)


def test_what_one_member_lacks_of_the_light_none_gets() -> None:
    payload = open_meteo(START, 48, members=3)
    del payload["hourly"]["shortwave_radiation_member01"]
    weather = weather_of(payload)
    assert np.isnan(weather.ghi_w_m2).all()
    assert np.isfinite(weather.dni_w_m2).all()
    assert any("not everywhere, so not used: ghi" in finding for finding in weather.findings)


def test_nulls_at_the_end_shorten_the_weather() -> None:
    payload = open_meteo(START, 96)
    for key in payload["hourly"]:
        if key != "time":
            payload["hourly"][key][70:] = [None] * 26
    assert weather_of(payload).hours == 70


def test_a_variable_of_nulls_without_a_unit_is_as_good_as_none() -> None:
    payload = open_meteo(START, 48)
    payload["hourly"]["cloud_cover"] = [None] * 48
    payload["hourly_units"]["cloud_cover"] = "undefined"
    assert np.isnan(weather_of(payload).cloud).all()


def _changed(key: str, value: Any, *, units: bool = False) -> Any:
    payload = open_meteo(START, 48)
    part = payload["hourly_units" if units else "hourly"]
    if value is None:
        del part[key]
    else:
        part[key] = value
    return payload


@pytest.mark.parametrize(
    ("payload", "words"),
    [
        (_changed("temperature_2m", "°R", units=True), "air: found the unit '°R'"),
        (_changed("wind_speed_10m", None, units=True), "wind: found the unit 'None'"),
        (_changed("precipitation", "%", units=True), "rain: found the unit '%'"),
        (_changed("time", "unixtime", units=True), "times in 'unixtime'; allowed: iso8601"),
        (_changed("precipitation", None), "no precipitation"),
        (_changed("temperature_2m", [1.0] * 47), "47 values; allowed: 48"),
        (_changed("temperature_2m", ["warm"] * 48), "temperature_2m is text, not a number"),
        (_changed("time", ["2026-05-04T00:00Z"] * 48), "not a local time without an offset"),
        (_changed("time", ["2026-05-04T00:00"] * 48), "hours that are missing, double or out of order"),
        ({**open_meteo(START, 48), "utc_offset_seconds": 19800}, "half an hour beside UTC"),
        ({**open_meteo(START, 48), "utc_offset_seconds": None}, "an offset of nan s"),
        ({"error": True, "reason": "no"}, "no hourly in the answer"),
        ([1, 2], "no hourly in the answer"),
    ],
)
def test_what_is_not_as_documented_is_refused_by_name(payload: Any, words: str) -> None:
    with pytest.raises(ServiceError, match=words):
        decode(payload)


def test_without_dew_point_humidity_serves() -> None:
    payload = open_meteo(START, 48)
    del payload["hourly"]["dew_point_2m"]
    weather = weather_of(payload)
    assert (weather.dew_c <= weather.air_c).all()
    del payload["hourly"]["relative_humidity_2m"]
    with pytest.raises(ServiceError, match="no dew_point_2m or relative_humidity_2m"):
        decode(payload)
