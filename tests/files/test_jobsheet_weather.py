"""Which station of the sheet's weather file is read, and whether rain that it lacks is taken as none."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site
from boottop.files.job import Job
from boottop.files.jobsheet import parse_job
from boottop.weather_source import WeatherWish, weather_for
from boottop.web.new_jobs import demo_files
from boottop.web.serve import weather_now

ASOS = Path(__file__).parents[1] / "data" / "asos-nyc-2022-excerpt.csv"
SHEET = demo_files()["job.toml"].decode()
NAMED = 'weather = "weather.csv"'
HAUL = datetime(2022, 3, 13, 1, tzinfo=UTC)
DRY_HOLE = datetime(2022, 7, 21, 4, tzinfo=UTC)
WISH = WeatherWish(days=1)


def job(lines: str, folder: Path, *, haul: datetime = HAUL) -> Job:
    """The demonstration in New York, its lines on the weather written anew."""
    assert SHEET.count(NAMED) == 1
    for name, content in demo_files().items():
        (folder / name).write_bytes(content)
    (folder / "asos.csv").write_bytes(ASOS.read_bytes())
    found = parse_job(SHEET.replace(NAMED, lines), folder=folder)
    site = Site(latitude_deg=40.64, longitude_deg=-73.78, elevation_m=4.0, zone_name="America/New_York", bow_deg=0.0)
    wishes = replace(found.plan.wishes, earliest_haul=haul, wanted_launch=None)
    return replace(found, site=site, plan=replace(found.plan, wishes=wishes))


def test_several_stations_without_a_choice_say_where_to_choose(tmp_path: Path) -> None:
    several = job('weather = "asos.csv"', tmp_path)
    with pytest.raises(
        InputError, match=r"no station chosen.*weather_station under \[job\] of the sheet, or --station"
    ):
        weather_for(several, WISH, now=HAUL)


def test_the_sheet_chooses_the_station_and_the_option_goes_before_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("boottop.begun.days_for", lambda *_: 1)
    chosen = job('weather = "asos.csv"\nweather_station = "JFK"', tmp_path)
    assert weather_for(chosen, WISH, now=HAUL).station == "JFK"
    assert weather_now(chosen, HAUL).station == "JFK"
    with pytest.raises(InputError, match="found weather from 2022-05-17"):  # LGA's days, not JFK's
        weather_for(chosen, replace(WISH, station="LGA"), now=HAUL)


def test_what_the_sheet_says_of_its_file_is_not_for_another(tmp_path: Path) -> None:
    chosen = job('weather = "asos.csv"\nweather_station = "JFK"', tmp_path)
    with pytest.raises(InputError, match="no station chosen"):
        weather_for(chosen, replace(WISH, path=ASOS), now=HAUL)
    assert weather_for(chosen, replace(WISH, path=tmp_path / "asos.csv"), now=HAUL).station == "JFK"


def test_rain_that_the_file_lacks_is_dry_only_where_the_sheet_says_so(tmp_path: Path) -> None:
    lines = 'weather = "asos.csv"\nweather_station = "JFK"'
    with pytest.raises(InputError, match="missing is not dry"):
        weather_for(job(lines, tmp_path, haul=DRY_HOLE), WISH, now=DRY_HOLE)
    dry = weather_for(job(f"{lines}\nweather_dry = true", tmp_path, haul=DRY_HOLE), WISH, now=DRY_HOLE)
    assert any("TAKEN AS DRY because you asked" in finding for finding in dry.findings)


def test_without_a_file_they_are_not_used_and_that_is_said(tmp_path: Path) -> None:
    notes = job('weather_station = "JFK"\nweather_dry = true', tmp_path).notes
    assert [note for note in notes if "not used" in note] == [
        "job.weather_station is not used: the sheet names no weather file",
        "job.weather_dry is not used: the sheet names no weather file",
    ]
