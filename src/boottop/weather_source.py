"""Where a job's weather comes from: the file that is named, else the open services or what they last answered."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from boottop import __version__
from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.workflow import HORIZON_DAYS, weather_span

if TYPE_CHECKING:
    from boottop.climate.blend import Observation
    from boottop.services.http import Client

CONTACT_VARIABLE = "BOOTTOP_CONTACT"


@dataclass(frozen=True, kw_only=True)
class WeatherWish:
    """How the person wants the weather. `path` None: the job sheet's file, and without one the open services.

    `station`, `assume_dry`: for files; where they say nothing, what the sheet says of the file it names holds for that
    file. `service`: one open service by name. `readings`: at the yard, as typed;
    `readings_file`: a logger's CSV. Both correct the weather of the next hours.
    """

    path: Path | None = None
    station: str | None = None
    days: int = HORIZON_DAYS
    assume_dry: bool = False
    service: str | None = None
    readings: tuple[str, ...] = ()
    readings_file: Path | None = None


def weather_for(job: Job, wish: WeatherWish, *, now: datetime, client: Client | None = None) -> Weather:
    """The weather of a job, corrected by the readings; its findings begin with its age and what was corrected.

    `now` is aware. `client` None opens one with the person's own cache folder. Raises InputError when there is none.
    """
    path = wish.path or (None if wish.service else job.weather)
    weather = _online(job, wish, now=now, client=client) if path is None else _from_file(job, wish, path)
    observations = _observations(job, wish)
    if not observations:
        return weather
    from boottop.climate.blend import blend

    return blend(weather, observations, now=now).weather


def _from_file(job: Job, wish: WeatherWish, path: Path) -> Weather:
    from boottop.files.weather import load_weather

    start, end = weather_span(job, wish.days)
    own = job.weather is not None and path.resolve() == job.weather.resolve()
    return load_weather(
        path,
        site=job.site,
        start=start,
        end=end,
        station=wish.station or (job.weather_station if own else None),
        assume_dry=wish.assume_dry or (own and job.weather_dry),
    )


def _online(job: Job, wish: WeatherWish, *, now: datetime, client: Client | None) -> Weather:
    from boottop.services.fetch import Wanted, fetch_weather
    from boottop.services.http import open_client

    wanted = Wanted(
        start=job.plan.wishes.earliest_haul, end=weather_span(job, wish.days)[1], service=wish.service, fill_past=True
    )
    if client is not None:
        return fetch_weather(job.site, wanted, client=client, now=now).weather
    contact = os.environ.get(CONTACT_VARIABLE, f"boottop {__version__}, no contact given")
    with open_client(contact, cache_dir=kept_weather_folder()) as opened:
        return fetch_weather(job.site, wanted, client=opened, now=now).weather


def kept_weather_folder() -> Path | None:
    """Where the answers of the services are kept on this machine; None where there is no home."""
    from boottop.services.cache import default_cache_dir

    try:
        home = Path.home()
    except RuntimeError:
        return None
    return default_cache_dir(os.environ, home=home, platform=sys.platform)


def _observations(job: Job, wish: WeatherWish) -> Sequence[Observation]:
    from boottop.files.observations import read_observations, typed_observation

    zone = ZoneInfo(job.plan.yard.zone_name)
    typed = [typed_observation(text, zone, where="--reading") for text in wish.readings]
    logged = read_observations(wish.readings_file, zone) if wish.readings_file else ()
    return [*typed, *logged]
