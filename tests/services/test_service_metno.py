"""MET Norway: a real answer of July 2020 for London, and what becomes of it when it is spoilt."""

from __future__ import annotations

import copy
from datetime import timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.moist import standard_pressure_pa
from boottop.climate.weather import Site, Weather
from boottop.services.failure import ServiceError
from boottop.services.members import judged
from boottop.services.metno import decode
from tests.services.answers import utc
from tests.services.server import sample

LONDON = Site(latitude_deg=51.5, longitude_deg=-0.1, elevation_m=25.0, zone_name="Europe/London", bow_deg=0.0)
START = utc(2020, 7, 20, 12)


def answer() -> Any:
    return sample("metno-london-complete.json")["data"]


def weather_of(payload: object) -> Weather:
    return judged(decode(payload, elevation_m=25.0), LONDON, start=START, end=None)


@pytest.fixture(scope="module")
def weather() -> Weather:
    return weather_of(answer())


def at(weather: Weather, field: str, *when: int) -> float:
    hour = int((utc(*when) - weather.start) / timedelta(hours=1))
    return float(getattr(weather, field)[0, hour])


def test_covers_from_the_second_step_to_the_last(weather: Weather) -> None:
    assert weather.start == START
    assert weather.start + timedelta(hours=weather.hours - 1) == utc(2020, 7, 29, 6)
    assert weather.source == "MET Norway Locationforecast, issued 2020-07-20T01:30Z"
    assert weather.licence == "CC BY 4.0"
    assert weather.station == "grid point 51.50 N 0.10 W"


def test_instants_are_those_of_the_answer(weather: Weather) -> None:
    steps = {step["time"]: step["data"]["instant"]["details"] for step in answer()["properties"]["timeseries"]}
    for when in ((2020, 7, 20, 12), (2020, 7, 22, 18), (2020, 7, 25, 0), (2020, 7, 29, 6)):
        given = steps[utc(*when).strftime("%Y-%m-%dT%H:%M:%SZ")]
        assert at(weather, "air_c", *when) == given["air_temperature"]
        assert at(weather, "dew_c", *when) == given["dew_point_temperature"]
        assert at(weather, "wind_m_s", *when) == given["wind_speed"]
        assert at(weather, "cloud", *when) == pytest.approx(given["cloud_area_fraction"] / 100)


def test_pressure_is_brought_from_the_sea_to_the_yard(weather: Weather) -> None:
    factor = float(standard_pressure_pa(25.0)) / 101325.0
    steps = {step["time"]: step["data"]["instant"]["details"] for step in answer()["properties"]["timeseries"]}
    sea_hpa = steps["2020-07-20T12:00:00Z"]["air_pressure_at_sea_level"]
    assert at(weather, "pressure_pa", 2020, 7, 20, 12) == pytest.approx(sea_hpa * 100 * factor)
    assert any("brought to 25 m" in finding for finding in weather.findings)


def test_six_hour_sums_are_spread_and_kept(weather: Weather) -> None:
    # 25 July 12:00: next six hours 0.9 mm
    share = weather.rain_mm[0, int((utc(2020, 7, 25, 13) - weather.start) / timedelta(hours=1)) :][:6]
    assert share == pytest.approx(np.full(6, 0.15))
    assert weather.rain_mm.sum() == pytest.approx(2.5)
    assert weather.filled["rain_mm"].sum() == 8 * 6
    assert any(finding.startswith("rain: 48 h are even shares") for finding in weather.findings)


def test_hours_between_long_steps_are_marked(weather: Weather) -> None:
    first = int((utc(2020, 7, 22, 19) - weather.start) / timedelta(hours=1))
    assert not weather.filled["air_c"][:first].any()
    assert weather.filled["air_c"][first]
    assert weather.filled["air_c"].sum() == 26 * 5


def test_warmest_and_coldest_of_a_step_are_not_cut_off(weather: Weather) -> None:
    steps = answer()["properties"]["timeseries"]
    for first, last in pairwise(steps[55:]):
        details = first["data"]["next_6_hours"]["details"]
        ends = [step["data"]["instant"]["details"]["air_temperature"] for step in (first, last)]
        begin = int((utc(2020, 7, 22, 18) - weather.start) / timedelta(hours=1)) + 6 * (steps.index(first) - 55)
        hours = weather.air_c[0, begin : begin + 7]
        above, below = details["air_temperature_max"] - max(ends), min(ends) - details["air_temperature_min"]
        expected = max(ends) + max(above, 0.0) if above >= below else max(ends)
        assert hours.max() == pytest.approx(expected)
        assert hours.min() == pytest.approx(min(ends) - max(below, 0.0) if below > above else min(ends))


def spoilt(path: str, value: object) -> Any:
    payload = copy.deepcopy(answer())
    *way, last = path.split(".")
    found = payload
    for key in way:
        found = found[int(key)] if isinstance(found, list) else found[key]
    if value is None:
        del found[last]
    else:
        found[int(last) if isinstance(found, list) else last] = value
    return payload


def test_fahrenheit_is_read_as_such(weather: Weather) -> None:
    payload = spoilt("properties.meta.units.air_temperature", "fahrenheit")
    payload["properties"]["meta"]["units"]["air_temperature_max"] = "fahrenheit"
    payload["properties"]["meta"]["units"]["air_temperature_min"] = "fahrenheit"
    for step in payload["properties"]["timeseries"]:
        blocks = [step["data"]["instant"], *(step["data"][key] for key in step["data"] if key != "instant")]
        for block in blocks:
            for key in block["details"]:
                if key.startswith("air_temperature"):
                    block["details"][key] = block["details"][key] * 1.8 + 32
    assert weather_of(payload).air_c == pytest.approx(weather.air_c)


FIRST = "properties.timeseries.0"


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("properties.meta.units.air_temperature", "reaumur", "air: found the unit 'reaumur'; allowed: .*celsius"),
        ("properties.meta.units.wind_speed", None, "wind: found the unit 'None'"),
        ("properties.meta.units.precipitation_amount", "%", "rain: found the unit '%'"),
        ("properties.timeseries", [], "timeseries is a list of 0"),
        ("properties.timeseries", {"time": 1}, "timeseries is an object"),
        ("properties", None, "no properties in the answer"),
        ("properties.meta.updated_at", "yesterday", "updated_at 'yesterday', not a time with its offset"),
        (f"{FIRST}.time", "2020-07-20T11:00:00", "not a time with its offset"),
        (f"{FIRST}.time", "2020-07-20T11:20:00Z", "not on a whole hour"),
        (f"{FIRST}.time", "1910-07-20T11:00:00Z", "allowed: 200000 h"),
        (f"{FIRST}.data.instant.details.air_temperature", "18.8", "air_temperature is text, not a number"),
        (f"{FIRST}.data.instant.details.wind_speed", True, "wind_speed is 'True', not a number"),
        (f"{FIRST}.data.instant", None, "no data.instant in the answer"),
        ("geometry.coordinates", ["a"], "coordinates is text, not a number"),
    ],
)
def test_what_is_not_as_documented_is_refused_by_name(path: str, value: object, words: str) -> None:
    with pytest.raises(ServiceError, match=words):
        decode(spoilt(path, value), elevation_m=0.0)


def test_an_impossible_value_goes_before_the_same_judge_as_a_file() -> None:
    payload = spoilt(f"{FIRST.replace('.0', '.5')}.data.instant.details.air_temperature", 66.0)
    with pytest.raises(InputError, match="MET Norway Locationforecast, air, line 6: found 66 degC"):
        weather_of(payload)


def test_a_short_run_of_nulls_is_filled_and_a_long_one_refused() -> None:
    payload = answer()
    for step in payload["properties"]["timeseries"][5:7]:
        step["data"]["instant"]["details"]["wind_speed"] = None
    assert weather_of(payload).filled["wind_m_s"].sum() == 26 * 5 + 2
    for step in payload["properties"]["timeseries"][5:10]:
        step["data"]["instant"]["details"]["wind_speed"] = None
    with pytest.raises(InputError, match="wind, from 2020-07-20T16:00Z: found 5 h missing"):
        weather_of(payload)


def test_missing_rain_is_not_dry() -> None:
    payload = answer()
    for step in payload["properties"]["timeseries"][20:24]:
        del step["data"]["next_1_hours"], step["data"]["next_6_hours"]
    with pytest.raises(InputError, match="missing is not dry"):
        weather_of(payload)


def test_dew_point_from_humidity_when_that_is_all_there_is(weather: Weather) -> None:
    payload = answer()
    del payload["properties"]["meta"]["units"]["dew_point_temperature"]
    derived = weather_of(payload)
    assert derived.dew_c[0, 0] == pytest.approx(weather.dew_c[0, 0], abs=0.3)
    assert (derived.dew_c <= derived.air_c).all()


def test_steps_out_of_order_make_the_same_weather(weather: Weather) -> None:
    payload = answer()
    payload["properties"]["timeseries"].reverse()
    assert (weather_of(payload).air_c == weather.air_c).all()
