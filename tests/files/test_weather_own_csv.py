"""Our own CSV: units in the header, zones, stations, quarter hours, the round trip, and the demo's file."""

from __future__ import annotations

import gzip
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site, Weather
from boottop.files.weather import load_weather, own_csv_text, write_own_csv
from boottop.files.weather.columns import COLUMNS
from tests.files.weather_text import HEADER, START, rows, save, text

DOCS = Path(__file__).parents[2] / "docs" / "weather-files.md"
SITE = Site(latitude_deg=50.0, longitude_deg=0.0, elevation_m=500.0, zone_name="Europe/London", bow_deg=0.0)


def load(path: Path, **more: object) -> Weather:
    return load_weather(path, site=None, **more)  # type: ignore[arg-type]


def test_reads_hours_in_si(tmp_path: Path) -> None:
    weather = load(save(tmp_path, text(rows())))
    assert (weather.members, weather.hours, weather.start) == (1, 72, START)
    assert weather.air_c[0, 15] == 17.0
    assert weather.rain_mm.sum() == pytest.approx(2.4)
    assert weather.pressure_pa[0, 0] == 101_500
    assert np.isnan(weather.ghi_w_m2).all()
    assert np.isnan(weather.cloud).all()
    assert not any(marks.any() for marks in weather.filled.values())


def test_columns_in_any_order_and_other_units_give_the_same(tmp_path: Path) -> None:
    plain = load(save(tmp_path, text(rows())))
    turned = [
        [row[5], f"{float(row[4]) / 25.4:.8f}", f"{float(row[1]) * 1.8 + 32:.4f}", row[0],
         f"{float(row[3]) * 3600 / 1852:.6f}", f"{float(row[2]) / 100:.4f}"]
        for row in rows()
    ]  # fmt: skip
    header = "pressure[mbar],rain[inch],air[degF],time,wind[knot],humidity[1]"
    other = load(save(tmp_path, text(turned, header), "other.csv"))
    for name in ("air_c", "dew_c", "wind_m_s", "rain_mm", "pressure_pa"):
        assert getattr(other, name) == pytest.approx(getattr(plain, name), abs=1e-4), name


def test_dew_point_from_humidity_matches_the_published_value(tmp_path: Path) -> None:
    # 9.27 degC at 20 degC and 50 %: ASHRAE Fundamentals 2017, chapter 1, by way of its saturation formula
    body = [[*row[:1], "20", "50", *row[3:]] for row in rows()]
    assert load(save(tmp_path, text(body))).dew_c[0, 0] == pytest.approx(9.27, abs=0.005)


def test_pressure_not_given_is_the_standard_atmosphere_and_flagged(tmp_path: Path) -> None:
    body = [row[:5] for row in rows()]
    path = save(tmp_path, text(body, HEADER.removesuffix(",pressure[hPa]")))
    weather = load_weather(path, site=SITE)
    assert weather.pressure_pa[0, 0] == pytest.approx(95_461, abs=0.5)  # standard atmosphere at 500 m
    assert weather.filled["pressure_pa"].all()
    assert any("taken as standard at 500 m" in finding for finding in weather.findings)


def test_wall_clock_with_its_zone_becomes_utc(tmp_path: Path) -> None:
    body = [[row[0][:-1].replace("T", " "), *row[1:]] for row in rows()]
    lisbon = load(save(tmp_path, text(body, HEADER.replace("time", "time[Europe/Lisbon]"))))
    assert lisbon.start == START - timedelta(hours=1)
    logger = load(save(tmp_path, text(body, HEADER.replace("time", "time[-05:00]"))))
    assert logger.start == START + timedelta(hours=5)


def test_clock_going_back_is_refused_line_by_line(tmp_path: Path) -> None:
    start = datetime(2026, 10, 24, tzinfo=UTC)
    walls = [start + timedelta(hours=hour) for hour in range(26)]
    walls += [walls[-1] + timedelta(hours=hour) for hour in range(30)]  # 01:00 on the 25th twice
    body = [[wall.strftime("%Y-%m-%d %H:%M"), *row[1:]] for wall, row in zip(walls, rows(), strict=False)]
    with pytest.raises(InputError, match=r"lines? 27.*happens twice in Europe/Lisbon.*offset too") as caught:
        load(save(tmp_path, text(body, HEADER.replace("time", "time[Europe/Lisbon]"))))
    assert len(caught.value.problems) == 2


def test_clock_change_outside_the_window_does_not_matter(tmp_path: Path) -> None:
    start = datetime(2026, 10, 24, tzinfo=UTC)
    walls = [start + timedelta(hours=hour) for hour in range(26)]
    walls += [walls[-1] + timedelta(hours=hour) for hour in range(120)]
    body = [[wall.strftime("%Y-%m-%d %H:%M"), *row[1:]] for wall, row in zip(walls, rows(146), strict=True)]
    path = save(tmp_path, text(body, HEADER.replace("time", "time[Europe/Lisbon]")))
    weather = load(path, start=datetime(2026, 10, 27, tzinfo=UTC), end=datetime(2026, 10, 28, tzinfo=UTC))
    assert (weather.start, weather.hours) == (datetime(2026, 10, 27, tzinfo=UTC), 24)


def test_clock_going_forward_leaves_no_hole(tmp_path: Path) -> None:
    start = datetime(2026, 3, 28, tzinfo=UTC)
    walls = [start + timedelta(hours=hour) for hour in range(72)]
    walls = [wall for wall in walls if wall.strftime("%d %H") != "29 01"]  # 01:00 does not exist in Lisbon
    body = [[wall.strftime("%Y-%m-%d %H:%M"), *row[1:]] for wall, row in zip(walls, rows(71), strict=True)]
    weather = load(save(tmp_path, text(body, HEADER.replace("time", "time[Europe/Lisbon]"))))
    assert weather.hours == 71
    assert not weather.filled["air_c"].any()


def test_an_hour_the_clock_skips_is_refused(tmp_path: Path) -> None:
    start = datetime(2026, 3, 28, tzinfo=UTC)
    body = [[(start + timedelta(hours=n)).strftime("%Y-%m-%d %H:%M"), *row[1:]] for n, row in enumerate(rows())]
    with pytest.raises(InputError, match=r"line 27: .*does not exist in Europe/Lisbon.*time\[-05:00\]"):
        load(save(tmp_path, text(body, HEADER.replace("time", "time[Europe/Lisbon]"))))


def test_quarter_hours_sum_rain_and_take_the_rest_at_the_hour(tmp_path: Path) -> None:
    quarter = load(save(tmp_path, text(rows(48, 15))))
    body = rows(48, 15)
    assert (quarter.start, quarter.hours) == (START + timedelta(hours=1), 47)  # the first hour covered throughout
    assert quarter.air_c[0, 14] == float(body[60][1])
    # hour 31 is the sum of 30:15, 30:30, 30:45, 31:00, stamped at its end
    assert quarter.rain_mm[0, 30] == pytest.approx(sum(float(body[n][4]) for n in (121, 122, 123, 124)))
    assert any("every 15 min" in finding for finding in quarter.findings)


def test_a_missing_quarter_hour_of_rain_is_a_missing_hour(tmp_path: Path) -> None:
    body = rows(48, 15)
    body[122][4] = ""
    with pytest.raises(InputError, match=r"rain, from 2026-04-19T07:00Z: found 1 h missing.*missing is not dry"):
        load(save(tmp_path, text(body)))


def test_reports_nine_minutes_early_are_set_on_the_hour(tmp_path: Path) -> None:
    body = [
        [(START + timedelta(hours=n, minutes=-9)).strftime("%Y-%m-%dT%H:%MZ"), *row[1:]] for n, row in enumerate(rows())
    ]
    weather = load(save(tmp_path, text(body)))
    assert weather.start == START
    assert any("up to 9 min off" in finding for finding in weather.findings)


def test_station_column_selects_rows(tmp_path: Path) -> None:
    body = [["QUAY", *row] for row in rows()] + [["HILL", row[0], "3", *row[2:]] for row in rows()]
    path = save(tmp_path, text(body, "station," + HEADER))
    assert load(path, station="hill").air_c.max() == 3.0
    assert load(path, station="QUAY").station == "QUAY"
    with pytest.raises(InputError, match="no station chosen; allowed: one of HILL, QUAY"):
        load(path)
    with pytest.raises(InputError, match=r"found QUAI \(did you mean quay\?\)"):
        load(path, station="QUAI")


def test_window_starts_at_the_full_hour_and_ends_before_its_end(tmp_path: Path) -> None:
    path = save(tmp_path, text(rows()))
    weather = load(path, start=START + timedelta(hours=10, minutes=30), end=START + timedelta(hours=20))
    assert (weather.start, weather.hours) == (START + timedelta(hours=10), 10)
    long = load(path, start=START + timedelta(hours=10), end=START + timedelta(days=9))
    assert long.hours == 62
    assert any("ends at 2026-04-20T23:00Z, 144 h before" in finding for finding in long.findings)


def test_window_outside_the_file_names_what_it_covers(tmp_path: Path) -> None:
    path = save(tmp_path, text(rows()))
    with pytest.raises(InputError, match=r"weather from 2026-04-18T00:00Z to 2026-04-20T23:00Z.*move the haul-out"):
        load(path, start=datetime(2026, 6, 1, tzinfo=UTC))
    with pytest.raises(InputError, match="weather for the time asked for, from 2026-04-17"):
        load(path, start=START - timedelta(hours=12))


def test_gzip_and_several_members_read_alike(tmp_path: Path) -> None:
    whole = text(rows()).encode()
    path = save(tmp_path, gzip.compress(whole[:700]) + gzip.compress(whole[700:]), "weather.csv.gz")
    assert load(path).hours == 72


def test_round_trip_keeps_values_flags_and_origin(tmp_path: Path) -> None:
    body = rows()
    body[10][1] = ""
    body[12][4] = ""
    first = replace(load(save(tmp_path, text(body))), source="a mast on the quay", licence="CC0 1.0")
    write_own_csv(first, tmp_path / "again.csv")
    again = load(tmp_path / "again.csv")
    assert (again.start, again.source, again.licence, again.station) == (START, first.source, "CC0 1.0", first.station)
    for column in COLUMNS:
        if column.field != "rh":
            one, two = getattr(first, column.field), getattr(again, column.field)
            assert two == pytest.approx(one, abs=0.0051, nan_ok=True), column.field
            assert np.array_equal(first.filled[column.field], again.filled[column.field]), column.field
    assert first.filled["rain_mm"].sum() == 1
    assert own_csv_text(again) == own_csv_text(replace(again, findings=()))


def test_an_ensemble_is_not_written(tmp_path: Path) -> None:
    weather = load(save(tmp_path, text(rows())))
    two = replace(weather, air_c=np.vstack([weather.air_c, weather.air_c]))
    with pytest.raises(InputError, match="found 2 members; allowed: one"):
        own_csv_text(two)
    with pytest.raises(InputError, match="a file that can be written"):
        write_own_csv(weather, tmp_path / "no such folder" / "weather.csv")


def test_demo_weather_is_whole_and_carries_its_origin() -> None:
    weather = load_weather(Path(str(files("boottop") / "demo" / "weather.csv")), site=None)
    assert (weather.start, weather.hours) == (datetime(2022, 4, 18, tzinfo=UTC), 59 * 24)
    assert not any(marks.any() for marks in weather.filled.values())
    assert weather.station == "JFK"
    assert "CC0" in weather.licence
    assert "modified" in weather.licence
    assert 3 < weather.air_c.min() < weather.air_c.max() < 34


def test_the_page_on_weather_files_names_every_column_and_unit() -> None:
    page = DOCS.read_text(encoding="utf-8")
    for column in COLUMNS:
        assert f"`{column.header}`" in page, column.name
        for unit, _ in column.units:
            assert f"`{unit}`" in page, (column.name, unit)


def test_the_example_on_the_page_can_be_read(tmp_path: Path) -> None:
    page = DOCS.read_text(encoding="utf-8")
    example = page.split("```csv\n", 1)[1].split("```", 1)[0]
    weather = load(save(tmp_path, example))
    assert weather.hours == 4
    assert weather.source
