"""Members of an ensemble: a service's answer, one file a member, past years moved to the job's year."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.choose_work import ChooseAsk, make_choice
from boottop.ensemble_files import load_members
from boottop.files.job import Job
from boottop.files.jobsheet import load_job
from boottop.files.weather import load_weather
from boottop.workflow import Ashore
from tests.demo_job import DEMO_DIR

WEATHER = DEMO_DIR / "weather.csv"


def job(**wishes: object) -> Job:
    made = load_job(DEMO_DIR / "job.toml")
    return replace(made, plan=replace(made.plan, wishes=replace(made.plan.wishes, **wishes)))  # type: ignore[arg-type]


def answer_file(folder: Path, members: int) -> Path:
    """An answer as the ensemble service gives it, made of the demonstration's weather; later members are wetter."""
    weather = load_weather(WEATHER, site=job().site)
    times = [weather.start + timedelta(hours=hour) for hour in range(weather.hours)]
    hourly: dict[str, list[object]] = {"time": [f"{when:%Y-%m-%dT%H:%M}" for when in times]}
    columns = {
        "temperature_2m": weather.air_c[0],
        "dew_point_2m": weather.dew_c[0],
        "wind_speed_10m": weather.wind_m_s[0],
        "precipitation": weather.rain_mm[0],
    }
    units = {"time": "iso8601"}
    said = {"temperature_2m": "°C", "dew_point_2m": "°C", "wind_speed_10m": "m/s", "precipitation": "mm"}
    for member in range(members):
        suffix = f"_member{member:02d}" if member else ""
        for name, values in columns.items():
            wetter = np.arange(values.size) % 61 < 3 * member if name == "precipitation" else 0.0
            hourly[name + suffix] = [round(float(one), 2) for one in values + wetter]
            units[name + suffix] = said[name]
    path = folder / "ensemble.json"
    answer = {"latitude": 40.64, "longitude": -73.78, "utc_offset_seconds": 0, "hourly_units": units, "hourly": hourly}
    path.write_text(json.dumps(answer))
    return path


def test_an_answer_gives_a_weather_a_member_and_the_wetter_are_late_more_often(tmp_path: Path) -> None:
    made = job()
    members = load_members([answer_file(tmp_path, 3)], made, days=24)
    assert [name for name, _ in members.weathers] == [f"ensemble.json, member {index}" for index in range(3)]
    assert all(weather.members == 1 for _, weather in members.weathers)
    rain = [float(weather.rain_mm.sum()) for _, weather in members.weathers]
    assert rain == sorted(rain)
    assert rain[0] < rain[-1]
    told: list[tuple[int, int]] = []
    ask = ChooseAsk(risk=0.5, haul_days=1, days=24)
    found = make_choice(Ashore(made), members.weathers, ask, told=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]
    late = found.results.late.mean(axis=1)
    assert late[0] <= late[-1]
    assert found.chosen.table[0].members == 3
    assert {one.candidate.tent for one in found.chosen.table} == {False, True}


def test_a_past_year_stands_as_a_member_on_the_jobs_own_days() -> None:
    first = job().plan.wishes.earliest_haul
    made = job(earliest_haul=first.replace(year=2031))
    members = load_members([WEATHER], made, days=28)
    ((name, weather),) = members.weathers
    assert name == "weather.csv, 2022 as 2031"
    assert weather.start == first.replace(year=2031) - timedelta(days=2)
    own = load_weather(WEATHER, site=made.site, start=first - timedelta(days=2), end=first)
    assert np.array_equal(weather.air_c[0, :40], own.air_c[0, :40])


def test_days_that_no_year_holds_are_refused() -> None:
    first = job().plan.wishes.earliest_haul
    with pytest.raises(InputError, match="not one member"):
        load_members([WEATHER], job(earliest_haul=first.replace(month=9)), days=28)


def test_an_answer_cut_short_is_refused(tmp_path: Path) -> None:
    path = answer_file(tmp_path, 2)
    path.write_text(path.read_text()[:500])
    with pytest.raises(InputError, match="cannot be read as JSON"):
        load_members([path], job(), days=28)
