"""Places on the globe: the time zone at given coordinates, found offline, and how far apart two places are."""

from __future__ import annotations

import math
from dataclasses import dataclass

from boottop.base.clock import zone_info
from boottop.base.errors import InputError, Problem

EARTH_RADIUS_KM = 6371.0
BORDER_KM = 10.0
_ALLOWED = "coordinates on land or in harbour, of one time zone"


@dataclass(frozen=True, kw_only=True)
class Place:
    """A point, degrees north and east positive."""

    latitude_deg: float
    longitude_deg: float


@dataclass(frozen=True, kw_only=True)
class ZoneFound:
    """The IANA name of the time zone at a place; `near` names those of which a border is within BORDER_KM."""

    name: str
    near: tuple[str, ...] = ()


def zone_name_at(place: Place, *, where: str) -> ZoneFound:
    """The time zone at a place, from the map of borders that comes with tzfpy: no network.

    Raises InputError naming `where` on the open sea, and where two zones are in use at one place: nothing is guessed.
    """
    from tzfpy import get_tzs

    names = get_tzs(place.longitude_deg, place.latitude_deg)
    if len(names) > 1:
        advice = "Write the one the yard keeps: time_zone = ..."
        raise _refused(where, f"two time zones kept at one place ({', '.join(names)})", advice=advice)
    if not names or names[0].startswith("Etc/"):
        advice = "Check latitude and longitude, their signs too, or write time_zone."
        raise _refused(where, "no time zone, for the coordinates lie at sea", advice=advice)
    name = zone_info(names[0], where=where).key
    return ZoneFound(name=name, near=tuple(sorted(_names_around(place) - {name})))


def _refused(where: str, found: str, *, advice: str) -> InputError:
    return InputError(Problem(where=where, found=found, allowed=_ALLOWED, advice=advice))


def _names_around(place: Place) -> set[str]:
    """Zones of eight points at BORDER_KM from the place; the sea's own left out."""
    from tzfpy import get_tzs

    north_deg = math.degrees(BORDER_KM / EARTH_RADIUS_KM)
    east_deg = north_deg / max(0.01, math.cos(math.radians(place.latitude_deg)))
    found: set[str] = set()
    for turn in range(8):
        latitude = place.latitude_deg + north_deg * math.cos(turn * math.pi / 4.0)
        longitude = place.longitude_deg + east_deg * math.sin(turn * math.pi / 4.0)
        found |= set(get_tzs((longitude + 180.0) % 360.0 - 180.0, max(-90.0, min(90.0, latitude))))
    return {name for name in found if not name.startswith("Etc/")}


def distance_km(one: Place, other: Place) -> float:
    """Distance over the ground, km, along the great circle of a sphere (haversine formula; within 0.6 %).

    >>> round(distance_km(Place(latitude_deg=0, longitude_deg=0), Place(latitude_deg=1, longitude_deg=0)), 1)
    111.2
    """
    north, other_north = math.radians(one.latitude_deg), math.radians(other.latitude_deg)
    east = math.radians(other.longitude_deg - one.longitude_deg)
    chord = (
        math.sin((other_north - north) / 2.0) ** 2 + math.cos(north) * math.cos(other_north) * math.sin(east / 2.0) ** 2
    )
    return 2.0 * EARTH_RADIUS_KM * math.asin(min(1.0, math.sqrt(chord)))
