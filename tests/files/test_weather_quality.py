"""Quality control: what is filled and flagged, what is told, and what is left alone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site, Weather
from boottop.files.weather import load_weather
from tests.files.weather_text import HEADER, rows, save, text


def load(folder: Path, body: list[list[str]], header: str = HEADER) -> Weather:
    return load_weather(save(folder, text(body, header)), site=None)


def test_three_hours_are_interpolated_on_a_line_and_flagged(tmp_path: Path) -> None:
    body = rows()
    for hour in (5, 6, 7):
        body[hour][1] = body[hour][3] = ""
    weather = load(tmp_path, body)
    ends = weather.air_c[0, 4], weather.air_c[0, 8]
    assert weather.air_c[0, 6] == pytest.approx(np.mean(ends))
    assert np.flatnonzero(weather.filled["air_c"]).tolist() == [5, 6, 7]
    assert any(
        "air, dew_point, wind: 3 h missing, interpolated: 2026-04-18T05:00Z (3 h)" in f for f in weather.findings
    )


def test_four_hours_are_refused(tmp_path: Path) -> None:
    body = rows()
    for hour in (5, 6, 7, 8):
        body[hour][3] = "NA"
    with pytest.raises(InputError, match="wind, from 2026-04-18T05:00Z: found 4 h missing; allowed: at most 3 h"):
        load(tmp_path, body)


def test_gap_at_the_end_has_nothing_to_lean_on(tmp_path: Path) -> None:
    body = rows()
    body[71][1] = ""
    with pytest.raises(InputError, match="from 2026-04-20T23:00Z: found 1 h missing, at the end of the file"):
        load(tmp_path, body)


@pytest.mark.parametrize(("gap", "fine"), [((10, 2), True), ((10, 3), False), ((29, 1), False), ((34, 1), False)])
def test_rain_is_taken_as_dry_only_between_dry_hours(tmp_path: Path, gap: tuple[int, int], fine: bool) -> None:
    first, count = gap
    body = rows()
    for hour in range(first, first + count):
        body[hour][4] = ""
    if fine:
        assert load(tmp_path, body).filled["rain_mm"].sum() == count
        return
    with pytest.raises(InputError, match="missing is not dry"):
        load(tmp_path, body)


def test_optional_column_with_a_long_gap_is_left_out_and_told(tmp_path: Path) -> None:
    body = [[*row, "4"] for row in rows()]
    for hour in range(20, 30):
        body[hour][6] = ""
    weather = load(tmp_path, body, HEADER + ",cloud[okta]")
    assert np.isnan(weather.cloud).all()
    assert any("cloud: not used, because 10 h are missing from 2026-04-18T20:00Z" in f for f in weather.findings)
    body = [[*row, "4"] for row in rows()]
    assert load(tmp_path, body, HEADER + ",cloud[okta]").cloud == pytest.approx(0.5)


def test_noise_is_clipped_and_told(tmp_path: Path) -> None:
    body = [[*row, "-3"] for row in rows()]
    body[4][2] = "101.5"
    weather = load(tmp_path, body, HEADER + ",ghi[W/m2]")
    assert weather.ghi_w_m2.min() == weather.ghi_w_m2.max() == 0
    assert weather.dew_c[0, 4] == pytest.approx(weather.air_c[0, 4], abs=1e-6)
    assert any("humidity: 1 values just outside 1 to 100 %" in finding for finding in weather.findings)
    assert any("ghi: 72 values just outside 0 to 1500 W/m2" in finding for finding in weather.findings)


def test_dew_point_rounded_above_the_air_is_set_to_it(tmp_path: Path) -> None:
    body = [[row[0], row[1], f"{float(row[1]) - 2:.2f}", *row[3:]] for row in rows()]
    body[9][2] = f"{float(body[9][1]) + 0.5:.2f}"
    weather = load(tmp_path, body, HEADER.replace("humidity[%]", "dew_point[degC]"))
    assert weather.dew_c[0, 9] == weather.air_c[0, 9]
    assert any("dew_point: 1 values up to 0.6 K above the air" in finding for finding in weather.findings)


def test_equal_rows_are_read_once(tmp_path: Path) -> None:
    body = rows()
    body.insert(6, body[5])
    weather = load(tmp_path, body)
    assert weather.hours == 72
    assert any("1 rows given twice with the same values" in finding for finding in weather.findings)


def test_stuck_sensors_leaps_and_a_dry_season_are_told(tmp_path: Path) -> None:
    body = rows(1500)
    for hour, row in enumerate(body):
        row[4] = "0"
        if 100 <= hour < 130:
            row[3] = "2.5"
    body[200][1] = "32"
    told = "\n".join(load(tmp_path, body).findings)
    assert "wind: the same 2.5 m/s for 30 h from 2026-04-22T04:00Z" in told
    assert "air: leaps by" in told
    assert "rain: not a drop in 62 days" in told


def test_warmest_at_night_asks_for_the_zone(tmp_path: Path) -> None:
    far = Site(latitude_deg=20, longitude_deg=-155, elevation_m=2, zone_name="Pacific/Honolulu", bow_deg=0)
    path = save(tmp_path, text(rows(240)))
    assert any("warmest at 5 h solar time" in finding for finding in load_weather(path, site=far).findings)
    near = Site(latitude_deg=50, longitude_deg=0, elevation_m=2, zone_name="Europe/London", bow_deg=0)
    assert not any("warmest" in finding for finding in load_weather(path, site=near).findings)
