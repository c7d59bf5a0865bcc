"""Time zones found from coordinates without a network, and distances."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.files.places import Place, distance_km, zone_name_at


def place(latitude_deg: float, longitude_deg: float) -> Place:
    return Place(latitude_deg=latitude_deg, longitude_deg=longitude_deg)


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "name"),
    [
        (41.15, -8.63, "Europe/Lisbon"),
        (40.64, -73.78, "America/New_York"),
        (50.7403, -1.50714, "Europe/London"),
        (21.30333, -157.86453, "Pacific/Honolulu"),
        (42.35389, -71.05028, "America/New_York"),
        (-33.86, 151.21, "Australia/Sydney"),
        (41.15, -8.74, "Europe/Lisbon"),  # some kilometres off the coast: a mooring, not the sea's own zone
    ],
)
def test_harbours_lie_in_their_zone(latitude_deg: float, longitude_deg: float, name: str) -> None:
    assert zone_name_at(place(latitude_deg, longitude_deg), where="yard.time_zone").name == name


def test_a_border_near_by_is_told() -> None:
    guadiana = zone_name_at(place(37.19, -7.41), where="here")  # the river between Portugal and Spain, an hour apart
    assert {guadiana.name, *guadiana.near} == {"Europe/Lisbon", "Europe/Madrid"}
    assert zone_name_at(place(41.15, -8.63), where="here").near == ()


def test_the_open_sea_has_no_yard() -> None:
    with pytest.raises(InputError, match=r"^yard\.time_zone: found no time zone.*at sea.*their signs too"):
        zone_name_at(place(41.0, -25.0), where="yard.time_zone")
    with pytest.raises(InputError, match=r"at sea"):
        zone_name_at(place(0.0, 0.0), where="here")


def test_two_zones_at_one_place_are_not_chosen_between() -> None:
    with pytest.raises(InputError, match=r"Asia/Shanghai, Asia/Urumqi.*Write the one the yard keeps"):
        zone_name_at(place(43.8, 87.6), where="here")


@settings(max_examples=200, deadline=None)
@given(st.floats(-90.0, 90.0), st.floats(-180.0, 180.0))
def test_anywhere_on_the_globe_a_zone_or_a_reason(latitude_deg: float, longitude_deg: float) -> None:
    try:
        told = zone_name_at(place(latitude_deg, longitude_deg), where="here").name
    except InputError as error:
        told = error.problems[0].found
    assert told
    assert not told.startswith("Etc/")


@pytest.mark.parametrize(
    ("one", "other", "expected_km"),
    [
        (place(0.0, 0.0), place(0.0, 180.0), math.pi * 6371.0),
        (place(90.0, 0.0), place(-90.0, 77.0), math.pi * 6371.0),
        (place(0.0, 179.5), place(0.0, -179.5), math.radians(1.0) * 6371.0),
        (place(60.0, 10.0), place(60.0, 10.0), 0.0),
    ],
)
def test_distance(one: Place, other: Place, expected_km: float) -> None:
    assert distance_km(one, other) == pytest.approx(expected_km, abs=1e-6)
    assert distance_km(other, one) == pytest.approx(expected_km, abs=1e-6)
