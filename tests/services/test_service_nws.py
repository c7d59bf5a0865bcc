"""US National Weather Service: a real answer of February 2022 on the Gulf coast."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from boottop.climate.weather import Site, Weather
from boottop.services.failure import ServiceError
from boottop.services.members import judged
from boottop.services.nws import covers, decode, decode_point, duration_h
from tests.services.answers import FALMOUTH, utc
from tests.services.server import sample

CARRABELLE = Site(latitude_deg=30.02, longitude_deg=-84.98, elevation_m=4.0, zone_name="America/New_York", bow_deg=0.0)


def answer() -> Any:
    return sample("nws-gridpoint-raw.json")


def weather_of(payload: object) -> Weather:
    return judged(decode(payload), CARRABELLE, start=utc(2022, 2, 3, 22), end=None)


@pytest.fixture(scope="module")
def weather() -> Weather:
    return weather_of(answer())


def test_span_is_what_all_four_quantities_share(weather: Weather) -> None:
    # rain ends first: 2022-02-10T06 and six hours
    assert weather.start == utc(2022, 2, 3, 22)
    assert weather.hours == 24 * 6 + 15
    assert weather.source == "US National Weather Service, issued 2022-02-04T03:15Z"
    assert weather.licence == "public domain"


def test_units_differ_by_layer(weather: Weather) -> None:
    assert weather.wind_m_s[0, 0] == pytest.approx(20.372 / 3.6)
    assert weather.air_c[0, 0] == pytest.approx(22.2222, abs=1e-4)
    assert weather.cloud.min() >= 0
    assert weather.cloud.max() <= 1
    assert np.isnan(weather.ghi_w_m2).all()


def test_merged_hours_are_no_interpolation(weather: Weather) -> None:
    # 2022-02-04T01:00 for ten hours: 18.888...
    assert weather.air_c[0, 3:13] == pytest.approx(np.full(10, 18.8888888))
    assert not weather.filled["air_c"].any()
    assert not weather.filled["wind_m_s"].any()


def test_rain_is_the_sum_of_the_layer(weather: Weather) -> None:
    rows = answer()["properties"]["quantitativePrecipitation"]["values"]
    assert weather.rain_mm.sum() == pytest.approx(sum(row["value"] for row in rows))
    hours = sum((duration_h(row["validTime"].split("/")[1]) or 0) for row in rows if row["value"] > 0)
    assert weather.filled["rain_mm"].sum() == hours


def test_point_names_the_square() -> None:
    assert decode_point(sample("nws-points.json")) == "TAE/58,65"


@pytest.mark.parametrize(("key", "value"), [("gridId", "../../x"), ("gridX", "58/../.."), ("gridY", None)])
def test_a_square_is_never_a_way_elsewhere(key: str, value: object) -> None:
    payload = sample("nws-points.json")
    payload["properties"][key] = value
    with pytest.raises(ServiceError, match="found the square"):
        decode_point(payload)


def test_place_is_the_middle_of_the_square() -> None:
    (table,) = decode(answer()).tables
    assert table.place == pytest.approx((30.0184, -84.9803), abs=1e-3)


@pytest.mark.parametrize(
    ("layer", "change", "words"),
    [
        ("temperature", {"uom": "wmoUnit:furlong"}, "air: found the unit 'wmoUnit:furlong'"),
        ("windSpeed", {"uom": None}, "wind: found the unit 'None'"),
        ("temperature", {"values": []}, "no temperature"),
        ("quantitativePrecipitation", {"values": []}, "missing is not dry"),
        ("dewpoint", {"values": [{"validTime": "2022-02-03T21:00:00+00:00/P1M", "value": 1}]}, "the interval"),
        ("dewpoint", {"values": [{"validTime": "2022-02-03T21:00:00/PT1H", "value": 1}]}, "not a time with its offset"),
        ("skyCover", {"values": [{"validTime": "2022-02-03T21:00:00Z/P999D", "value": 1}]}, "the interval"),
        ("skyCover", {"values": [{"value": 1}]}, "no validTime"),
    ],
)
def test_what_is_not_as_documented_is_refused_by_name(layer: str, change: dict[str, object], words: str) -> None:
    payload = answer()
    payload["properties"][layer] |= change
    with pytest.raises(ServiceError, match=words):
        decode(payload)


def test_wind_in_metres_a_second_is_read_as_such(weather: Weather) -> None:
    payload = answer()
    layer = payload["properties"]["windSpeed"]
    layer["uom"] = "wmoUnit:m_s-1"
    for row in layer["values"]:
        row["value"] = row["value"] / 3.6
    assert weather_of(payload).wind_m_s == pytest.approx(weather.wind_m_s)


def test_null_is_no_value() -> None:
    payload = answer()
    for row in payload["properties"]["dewpoint"]["values"]:
        row["value"] = None
    weather = weather_of(payload)  # humidity stands in
    assert (weather.dew_c <= weather.air_c).all()


@pytest.mark.parametrize(("lat", "lon", "theirs"), [(44.1, -69.1, True), (21.3, -157.9, True), (58.3, -134.4, True)])
def test_reach(lat: float, lon: float, theirs: bool) -> None:
    site = Site(latitude_deg=lat, longitude_deg=lon, elevation_m=0.0, zone_name="UTC", bow_deg=0.0)
    assert covers(site) is theirs
    assert not covers(FALMOUTH)
