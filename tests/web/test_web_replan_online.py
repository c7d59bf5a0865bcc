"""Planning anew without a weather file: each time the services are asked, and out of reach the last answer serves."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.services.http import Client
from boottop.weather_source import WeatherWish, weather_for
from boottop.web.desk import Board
from boottop.web.new_jobs import demo_files, make_imported
from tests.services.answers import open_meteo, utc
from tests.services.server import Say, Service, client_of, said
from tests.services.server import running as services
from tests.web.serving import Running, running

NOW = utc(2022, 4, 24, 12)
DAYS = 2


class Online:
    """The open services behind the desk, on this machine."""

    def __init__(self, service: Service, client: Client) -> None:
        self.service, self.client = service, client

    def __call__(self, job: Job, now: datetime) -> Weather:
        assert job.weather is None
        return weather_for(job, WeatherWish(days=DAYS, service="openmeteo"), now=now, client=self.client)

    def says(self, *, warmer_k: float) -> None:
        answer = open_meteo(utc(2022, 4, 23), 24 * (DAYS + 4), warmer_k=warmer_k)
        self.service.say("/openmeteo", said(answer))

    @property
    def asked(self) -> int:
        return len(self.service.asked)


def moved(sheet: bytes) -> bytes:
    """The demonstration's sheet without its weather file, at the place of the invented answers."""
    for was, now in (
        (b'weather = "weather.csv"\n', b""),
        (b'"40.64 N"', b'"50.15 N"'),
        (b'"73.78 W"', b'"5.07 W"'),
        (b'"America/New_York"', b'"Europe/London"'),
    ):
        assert was in sheet
        sheet = sheet.replace(was, now)
    return sheet


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[tuple[Running, Online]]:
    """A server with the demonstration's boat and no weather file."""
    with services() as service, client_of(service, tmp_path / "kept") as (client, _):
        online = Online(service, client)
        with running(tmp_path, weather=online) as server:
            files = {place: content for place, content in demo_files().items() if place != "weather.csv"}
            files["job.toml"] = moved(files["job.toml"])
            server.job = make_imported(server.house, "Online", files)
            yield server, online


def planned(server: Running, at: datetime) -> Board:
    """Plan anew at a moment."""
    assert server.house.desk.begin(server.job, now=at)
    standing = server.house.desk.wait(server.job, 120.0)
    assert standing.state == "ready", standing.problems
    board = server.house.desk.board(server.job)
    assert board is not None
    return board


def test_every_replan_asks_anew_and_without_an_answer_the_last_one_serves(yard: tuple[Running, Online]) -> None:
    server, online = yard
    online.says(warmer_k=4.0)
    first = planned(server, NOW)
    assert first.table.weather_age_h == 0.0
    assert "Open-Meteo" in first.table.weather

    online.says(warmer_k=7.0)
    asked, later = online.asked, NOW + timedelta(hours=9)
    newer = planned(server, later)
    assert online.asked > asked
    assert newer.table.weather_age_h == 0.0
    surface_c = [board.table.zones[0].systems[0].surface_c[40] for board in (first, newer)]
    assert surface_c[1] > surface_c[0] + 2.0

    online.service.say("/openmeteo", Say(status=503))
    away = planned(server, later + timedelta(hours=15))
    assert away.table.weather_age_h == 15.0
    assert away.changes[0].startswith("OLD WEATHER: 15 h old (Open-Meteo")
    assert away.table.zones[0].systems[0].surface_c == newer.table.zones[0].systems[0].surface_c
    answer = server.keeper().get(f"/api/jobs/{server.job}/board").json()
    assert answer["table"]["weather_age_h"] == 15.0
    assert answer["changes"][0].startswith("OLD WEATHER")


def test_without_any_answer_ever_the_desk_says_what_to_do(yard: tuple[Running, Online]) -> None:
    server, online = yard
    online.service.say("/openmeteo", Say(status=503))
    assert server.house.desk.begin(server.job, now=NOW)
    standing = server.house.desk.wait(server.job, 60.0)
    assert standing.state == "failed"
    assert standing.problems
    assert server.house.desk.board(server.job) is None
