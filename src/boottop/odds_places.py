"""Several places in one study: the same job, each with its files, its own coordinates and its own clock."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from boottop.base.clock import to_utc, zone_info
from boottop.base.errors import InputError, Problem
from boottop.workflow import Ashore

OPTION = "--place"
_SAYS = "NAME=FILE,FILE or NAME@LATITUDE,LONGITUDE,ZONE=FILE#STATION, such as Galway@53.27,-9.05,Europe/Dublin=a.csv"
_AT = r"@(?P<north>[-+.\d]+),(?P<east>[-+.\d]+)(?:,(?P<zone>[\w/+-]+))?"
_TEXT = re.compile(rf"(?P<name>[^@=]+)(?:{_AT})?=(?P<files>[^#]+)(?:#(?P<station>.+))?")


@dataclass(frozen=True, kw_only=True)
class Place:
    """A group of files under one name. `degrees`: latitude and longitude, None as the files say, else as the yard;
    `zone_name`: time zone of its clocks, None as the yard's. `station`: which one, in files that hold several."""

    name: str
    files: tuple[Path, ...]
    degrees: tuple[float, float] | None = None
    zone_name: str | None = None
    station: str | None = None


def places_of(texts: Sequence[str]) -> tuple[Place, ...]:
    """Places as a person writes them; InputError with all that cannot be read."""
    places: list[Place] = []
    problems: list[Problem] = []
    for text in texts:
        try:
            places.append(place_of(text))
        except InputError as error:
            problems += error.problems
    names = [place.name for place in places]
    problems += [
        _wrong(f"{name!r}, twice", "each place once: give all of its files in one, FILE,FILE")
        for name in sorted({name for name in names if names.count(name) > 1})
    ]
    if problems:
        raise InputError(problems)
    return tuple(places)


def place_of(text: str) -> Place:
    """One place as a person writes it.

    >>> place = place_of("Galway@53.27,-9.05,Europe/Dublin=a.csv,b.csv")
    >>> place.name, place.degrees, place.zone_name, [file.name for file in place.files]
    ('Galway', (53.27, -9.05), 'Europe/Dublin', ['a.csv', 'b.csv'])
    """
    found = _TEXT.fullmatch(text.strip())
    if found is None:
        raise InputError(_wrong(repr(text), _SAYS))
    files = tuple(Path(part.strip()) for part in found["files"].split(",") if part.strip())
    if not files or not found["name"].strip():
        raise InputError(_wrong(repr(text), _SAYS))
    degrees = None if found["north"] is None else _degrees(text, found["north"], found["east"])
    if found["zone"] is not None:
        zone_info(found["zone"], where=f"{OPTION} {found['name'].strip()}")
    name, zone, station = found["name"].strip(), found["zone"], found["station"]
    return Place(name=name, files=files, degrees=degrees, zone_name=zone, station=station)


def _degrees(text: str, north: str, east: str) -> tuple[float, float]:
    try:
        degrees = float(north), float(east)
    except ValueError:
        raise InputError(_wrong(repr(text), _SAYS)) from None
    if not (abs(degrees[0]) <= 90.0 and abs(degrees[1]) <= 180.0):
        raise InputError(_wrong(f"{north},{east}", "latitude -90 to 90 and longitude -180 to 180 degrees"))
    return degrees


def _wrong(found: str, allowed: str) -> Problem:
    return Problem(where=OPTION, found=found, allowed=allowed, advice="Quote the whole of it when a name has a blank.")


def ashore_at(ashore: Ashore, place: Place) -> tuple[Ashore, str]:
    """The job as it would be at that place, and in words what was taken for it.

    Yard, prices, hours, holidays and lifts stay as in the sheet, by the clock of the place; ground, shelter and the
    heading of the bow too.
    """
    job = ashore.job
    said_by = "as given"
    degrees = place.degrees
    if degrees is None:
        degrees, said_by = stated(ashore, place), "as its files say"
    if degrees is None:
        degrees, said_by = (job.site.latitude_deg, job.site.longitude_deg), "the yard's: its files name none"
    old, name = job.plan.yard.zone_name, place.zone_name or job.plan.yard.zone_name
    site = replace(job.site, latitude_deg=degrees[0], longitude_deg=degrees[1], zone_name=name)
    plan = job.plan
    if name != old:
        yard = replace(plan.yard, zone_name=name, lift_slots=_same_clock(plan.yard.lift_slots, old, name))
        (earliest,) = _same_clock((plan.wishes.earliest_haul,), old, name) or (plan.wishes.earliest_haul,)
        plan = replace(plan, yard=yard, wishes=replace(plan.wishes, earliest_haul=earliest))
    north, east = (f"{abs(one):.2f} {names[one >= 0]}" for one, names in zip(degrees, ("SN", "WE"), strict=True))
    clock = name if place.zone_name else f"{name}, that of the yard"
    words = f"place: {north} {east}, {said_by}; clock: {clock}"
    return Ashore(replace(job, site=site, plan=plan)), words


def stated(ashore: Ashore, place: Place) -> tuple[float, float] | None:
    """Where the first file of a place says that it is from; None when it does not say."""
    from boottop.files.weather.registry import read_table
    from boottop.files.weather.table import Request

    site, path = ashore.job.site, place.files[0]
    here = (site.latitude_deg, site.longitude_deg)
    request = Request(where=path.name, station=place.station, assume_dry=True, place=here, elevation_m=site.elevation_m)
    return read_table(path, request).place


def _same_clock(moments: Sequence[datetime], old: str, new: str) -> tuple[datetime, ...]:
    """The same wall-clock times in another zone; one that does not exist there, or twice, is left out."""
    found = []
    for moment in moments:
        try:
            found.append(to_utc(moment.astimezone(ZoneInfo(old)).replace(tzinfo=None), ZoneInfo(new), where=OPTION))
        except InputError:
            continue
    return tuple(found)
