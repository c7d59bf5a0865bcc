"""Servers that the tests of the web share."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.files.weather import load_weather
from boottop.web.new_jobs import make_demo
from boottop.workflow import weather_span
from tests.web.serving import Running, running

DAYS = 21


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Running]:
    """A server with one empty job."""
    with running(tmp_path) as found:
        yield found


def file_weather(job: Job, _now: datetime) -> Weather:
    """The weather file of the sheet."""
    assert job.weather is not None
    start, end = weather_span(job, DAYS)
    return load_weather(job.weather, site=job.site, start=start, end=end)


@pytest.fixture(scope="session")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server with the demonstration, worked out once."""
    with running(tmp_path_factory.mktemp("planned"), weather=file_weather) as found:
        found.job = make_demo(found.house)
        found.house.desk.begin(found.job, now=found.house.job_now(found.job))
        assert found.house.desk.wait(found.job, 120.0).state == "ready"
        yield found
