"""A plan needs no weather file on a connected machine, and says how old its weather is on another."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site
from boottop.files.job import Job
from boottop.files.jobsheet import load_job
from boottop.weather_source import WeatherWish, weather_for
from boottop.workflow import Ashore, outlook_for
from tests.services.answers import utc
from tests.services.server import Say, Service, client_of, said, sample

DEMO = Path(__file__).parents[2] / "src" / "boottop" / "demo" / "job.toml"
NOW = utc(2020, 7, 20, 11, 50)


@pytest.fixture(scope="module")
def job() -> Job:
    """The demonstration job, moved to the place and days of the recorded forecast, and naming no weather file."""
    demo = load_job(DEMO)
    london = Site(latitude_deg=51.5, longitude_deg=-0.1, elevation_m=25.0, zone_name="Europe/London", bow_deg=0.0)
    wishes = replace(demo.plan.wishes, earliest_haul=utc(2020, 7, 21, 6), wanted_launch=None)
    return replace(demo, site=london, plan=replace(demo.plan, wishes=wishes), weather=None)


def recorded(service: Service) -> None:
    """The recorded answer once, then a server that is down."""
    answer: Any = sample("metno-london-complete.json")
    times = {"Expires": answer["headers"]["Expires"], "Date": "Mon, 20 Jul 2020 11:50:00 GMT"}
    service.say("/metno", said(answer["data"], **times), *[Say(status=503)] * 20)


def test_no_file_needed_when_connected(job: Job, service: Service, tmp_path: Path) -> None:
    recorded(service)
    with client_of(service, tmp_path) as (client, _):
        weather = weather_for(job, WeatherWish(days=5), now=NOW, client=client)
    assert weather.findings[0].startswith("weather: 10 h old (MET Norway")
    outlook = outlook_for(Ashore(job), weather, days=5)
    assert outlook.grid.start == utc(2020, 7, 21, 6)
    assert outlook.grid.count == 5 * 96


def test_out_of_reach_the_last_answer_is_used_and_its_age_comes_first(
    job: Job, service: Service, tmp_path: Path
) -> None:
    recorded(service)
    with client_of(service, tmp_path) as (client, _):
        weather_for(job, WeatherWish(days=4), now=NOW, client=client)
        later = weather_for(job, WeatherWish(days=4), now=NOW + timedelta(hours=17), client=client)
    assert later.findings[0].startswith("OLD WEATHER: 27 h old")
    assert any("CC BY 4.0" in finding for finding in later.findings)


def test_nothing_at_all_is_an_error_that_names_the_way_out(job: Job, service: Service, tmp_path: Path) -> None:
    with client_of(service, tmp_path) as (client, _), pytest.raises(InputError, match="--weather FILE"):
        weather_for(job, WeatherWish(), now=NOW, client=client)


def test_readings_at_the_yard_correct_the_next_hours(job: Job, service: Service, tmp_path: Path) -> None:
    recorded(service)
    later, wish = NOW + timedelta(hours=3), WeatherWish(days=4)
    with client_of(service, tmp_path) as (client, _):
        weather_for(job, wish, now=NOW, client=client)
        plain = weather_for(job, wish, now=later, client=client)
        read = replace(wish, readings=("2020-07-20T15:00+01:00, 24 degC, 60 %",))
        better = weather_for(job, read, now=later, client=client)
    hour = round((utc(2020, 7, 20, 14) - plain.start) / timedelta(hours=1))
    bias_k = 24.0 - plain.air_c[0, hour]
    corrected_k = better.air_c[0] - plain.air_c[0]
    assert abs(bias_k) > 1.0
    assert corrected_k[hour] == pytest.approx(0.9 * bias_k, rel=0.05)
    assert abs(corrected_k[hour + 24]) < 0.2 * abs(corrected_k[hour])
    assert "reading" in better.findings[0]
