"""Readers of other people's files: airport reports, EPW, and a national service's CSV under our header."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site
from boottop.files.weather import FORMATS, load_weather
from tests.files.weather_text import epw_text, save

DATA = Path(__file__).parents[1] / "data"
SHARED = Path(__file__).parents[2].parent / "shared" / "data" / "weather"
ASOS = DATA / "asos-nyc-2022-excerpt.csv"


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]


def test_airport_reports_in_si_and_on_the_hour_after() -> None:
    weather = load_weather(ASOS, site=None, station="JFK", start=utc(2022, 3, 11, 1), end=utc(2022, 3, 12))
    # first row: hour 0, 40 degF, dew 34 degF, calm, 1021 hPa; reported at minute 51
    assert weather.start == utc(2022, 3, 11, 1)
    assert weather.air_c[0, 0] == pytest.approx(4.444, abs=0.001)
    assert weather.dew_c[0, 0] == pytest.approx(1.111, abs=0.001)
    assert weather.pressure_pa[0, 0] == 102_100
    assert any("time_hour is not read" in finding for finding in weather.findings)
    assert any("full hour after" in finding for finding in weather.findings)


def test_airport_hour_lost_to_a_clock_change_is_filled_and_told() -> None:
    weather = load_weather(ASOS, site=None, station="JFK", start=utc(2022, 3, 12), end=utc(2022, 3, 15))
    lost = 24 + 3  # the row of 02:00 on 13 March, when clocks in New York went forward, is missing from the file
    for name in ("air_c", "dew_c", "wind_m_s", "rain_mm", "pressure_pa"):
        assert np.flatnonzero(weather.filled[name]).tolist() == [lost], name
    assert weather.air_c[0, lost] == pytest.approx(weather.air_c[0, [lost - 1, lost + 1]].mean())
    assert any("rain: 1 h missing, taken as dry" in finding for finding in weather.findings)


def test_airport_rain_missing_for_three_hours_is_refused() -> None:
    with pytest.raises(InputError, match=r"rain, from 2022-07-21T19:00Z: found 3 h missing.*missing is not dry"):
        load_weather(ASOS, site=None, station="JFK", start=utc(2022, 7, 20), end=utc(2022, 7, 23))
    dry = load_weather(ASOS, site=None, station="JFK", start=utc(2022, 7, 20), end=utc(2022, 7, 23), assume_dry=True)
    assert dry.filled["rain_mm"].sum() == 3
    assert any("TAKEN AS DRY because you asked" in finding for finding in dry.findings)


def test_airport_hours_given_twice_are_refused_only_near_the_window() -> None:
    with pytest.raises(InputError, match="2022-05-19T12:00Z a second time, with other values"):
        load_weather(ASOS, site=None, station="LGA", start=utc(2022, 5, 18), end=utc(2022, 5, 20))
    weather = load_weather(ASOS, site=None, station="LGA", start=utc(2022, 5, 21), end=utc(2022, 5, 22))
    assert weather.hours == 24


def test_airport_long_gap_is_refused_with_its_place_and_length() -> None:
    pattern = r"air, dew_point, wind, rain, from 2022-10-23T12:00Z: found 16 h missing; allowed: at most 3 h"
    with pytest.raises(InputError, match=pattern):
        load_weather(ASOS, site=None, station="LGA", start=utc(2022, 10, 22), end=utc(2022, 10, 25))


def test_airport_station_must_be_chosen() -> None:
    with pytest.raises(InputError, match="no station chosen; allowed: one of JFK, LGA"):
        load_weather(ASOS, site=None)


def test_national_service_file_is_read_with_our_header_over_it(tmp_path: Path) -> None:
    # Met Eireann, hourly, CC BY 4.0: only the header line is replaced, as docs/weather-files.md shows
    body = (DATA / "met-eireann-2017-excerpt.csv").read_text(encoding="utf-8").split("\n", 1)[1]
    header = "station,time,rain[mm],air[degC],humidity[%],pressure[hPa],wind[knot],wind_direction[deg]\n"
    path = save(tmp_path, header + body)
    cork = Site(latitude_deg=51.85, longitude_deg=-8.3, elevation_m=5, zone_name="Europe/Dublin", bow_deg=0)
    weather = load_weather(path, site=cork, station="Roches Point", start=utc(2017, 10, 14), end=utc(2017, 10, 19))
    assert weather.wind_m_s.max() == pytest.approx(59 * 1852 / 3600, abs=0.001)  # the storm of 16 October 2017
    assert weather.hours == 120
    assert not any("dew_point" in finding for finding in weather.findings)  # saturated air is no fault
    assert weather.rain_mm.sum() == pytest.approx(sum(_rain(body, "ROCHES POINT,2017-10")))
    hole = load_weather(path, site=cork, station="Roches Point", start=utc(2017, 5, 16), end=utc(2017, 5, 19))
    assert np.flatnonzero(hole.filled["wind_m_s"]).tolist() == [38]


def _rain(body: str, beginning: str) -> list[float]:
    return [float(line.split(",")[2]) for line in body.splitlines() if line.startswith(beginning)]


def test_another_header_names_the_formats(tmp_path: Path) -> None:
    with pytest.raises(
        InputError, match=r"unknown format, beginning 'station,hour.*EPW.*ERA5.*time,air.*weather-files\.md"
    ):
        load_weather(save(tmp_path, "station,hour,drizzle\nQUAY,1,0\n"), site=None)


def test_epw_hour_1_ends_at_1_local_standard_time(tmp_path: Path) -> None:
    weather = load_weather(save(tmp_path, epw_text(), "quay.epw"), site=None)
    assert weather.start == utc(2019, 1, 1)  # 01:00 at +1
    assert weather.hours == 8760
    assert (weather.air_c[0, 0], weather.dew_c[0, 0], weather.wind_m_s[0, 0]) == (11.5, 8.1, 3.3)
    assert weather.cloud[0, 0] == pytest.approx(0.5)
    assert weather.rain_mm[0, 0] == 0.2
    assert weather.longwave_w_m2[0, 0] == 310
    assert weather.ghi_w_m2[0, 11] == pytest.approx(694.0, abs=0.1)  # the hour to noon, local
    assert not any("solar noon" in finding for finding in weather.findings)


def test_epw_missing_codes_are_missing(tmp_path: Path) -> None:
    lines = epw_text(hours=240).split("\n")
    for number, (cell, code) in enumerate(
        [(6, "99.9"), (7, "99.9"), (9, "999999"), (12, "9999"), (13, "9999"), (21, "999"), (22, "99"), (33, "999")]
    ):
        cells = lines[8 + 24 + 3 * number].split(",")
        cells[cell] = code
        lines[8 + 24 + 3 * number] = ",".join(cells)
    path = save(tmp_path, "\n".join(lines).replace(",0.2,1", ",0,1"), "quay.epw")
    weather = load_weather(path, site=None)
    filled = {name: np.flatnonzero(marks).tolist() for name, marks in weather.filled.items() if marks.any()}
    assert filled == {
        "air_c": [24], "pressure_pa": [30], "longwave_w_m2": [33], "ghi_w_m2": [36], "wind_m_s": [39], "cloud": [42],
        "rain_mm": [45],
    }  # fmt: skip
    assert weather.dew_c[0, 27] == pytest.approx(8.0, abs=0.05)  # from its 79 % humidity


def test_epw_without_rain_is_refused_unless_asked(tmp_path: Path) -> None:
    path = save(tmp_path, epw_text(rain="999"), "quay.epw")
    with pytest.raises(InputError, match=r"no rain in the whole file.*missing is not dry.*rain from a station nearby"):
        load_weather(path, site=None)
    dry = load_weather(path, site=None, assume_dry=True)
    assert dry.filled["rain_mm"].all()
    assert any("8760 h missing, TAKEN AS DRY" in finding for finding in dry.findings)


def test_epw_typical_year_is_laid_onto_the_year_asked_for(tmp_path: Path) -> None:
    path = save(tmp_path, epw_text((2018, 2007, 2013)), "typical.epw")
    weather = load_weather(path, site=None, start=utc(2026, 4, 1), end=utc(2026, 5, 1))
    assert (weather.start, weather.hours) == (utc(2026, 4, 1), 720)
    assert any("come from 2007 to 2018" in finding and "not a forecast" in finding for finding in weather.findings)
    over = load_weather(path, site=None, start=utc(2026, 12, 20), end=utc(2027, 1, 10))
    assert over.hours == 21 * 24
    leap = load_weather(path, site=None, start=utc(2028, 3, 2), end=utc(2028, 3, 9))
    assert leap.hours == 7 * 24
    with pytest.raises(InputError, match="from 2028-02-29T00:00Z: found 24 h missing"):
        load_weather(path, site=None, start=utc(2028, 2, 20), end=utc(2028, 3, 9))


def test_epw_of_one_year_is_that_year(tmp_path: Path) -> None:
    path = save(tmp_path, epw_text(), "real.epw")
    with pytest.raises(InputError, match="weather from 2019-01-01T00:00Z to 2019-12-31T23:00Z"):
        load_weather(path, site=None, start=utc(2026, 4, 1), end=utc(2026, 5, 1))


def test_epw_in_the_wrong_zone_is_told_by_the_sun(tmp_path: Path) -> None:
    wrong = epw_text().replace("45.0,15.0,1.0,", "45.0,15.0,-6.0,")
    with pytest.raises(InputError, match=r"centred 7.0 h after true solar noon.*another zone than stated"):
        load_weather(save(tmp_path, wrong, "quay.epw"), site=None)
    slight = epw_text().replace("45.0,15.0,1.0,", "45.0,15.0,2.0,")
    findings = load_weather(save(tmp_path, slight, "quay.epw"), site=None).findings
    assert any("centred 1.0 h before true solar noon" in finding for finding in findings)


def test_epw_far_from_the_yard_is_told(tmp_path: Path) -> None:
    yard = Site(latitude_deg=45.0, longitude_deg=13.0, elevation_m=2, zone_name="Europe/Zagreb", bow_deg=0)
    findings = load_weather(save(tmp_path, epw_text(), "quay.epw"), site=yard).findings
    assert any("taken 157 km from the yard" in finding for finding in findings)


def test_epw_half_hours(tmp_path: Path) -> None:
    lines = epw_text(hours=240).split("\n")
    lines[7] = "DATA PERIODS,1,2,Data,Sunday, 1/ 1,12/31"
    doubled = []
    for line in lines[8:-1]:
        cells = line.split(",")
        doubled += [",".join([*cells[:4], minute, *cells[5:]]) for minute in ("30", "60")]
    weather = load_weather(save(tmp_path, "\n".join([*lines[:8], *doubled]), "quay.epw"), site=None)
    assert weather.hours == 240
    assert weather.rain_mm[0, 5] == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda t: t.replace("45.0,15.0,1.0", "north,15.0,1.0"), "no latitude, longitude and offset"),
        (lambda t: t.split("\n")[0], "no data after the header"),
        (lambda t: t.replace("2019,1,1,2,", "2019,13,1,2,"), "a date or hour that does not exist"),
        (lambda t: t.replace("2019,1,1,2,", "2019,1,1,25,"), "an hour from 1 to 24"),
        (lambda t: t.replace("2019,1,1,2,0,?,11.5", "2019,1,1,2,0,?,warm"), "'warm'; allowed: a number"),
        (lambda t: t.replace("2019,1,1,2,0,?,11.5", "2019,1,1,2,0,?"), "34 cells|dew_point"),
        (lambda t: t.replace("2019,1,1,2,", "year,1,1,2,"), "'year'; allowed: a number"),
    ],
)
def test_broken_epw(tmp_path: Path, spoil: object, says: str) -> None:
    assert callable(spoil)
    with pytest.raises(InputError, match=says):
        load_weather(save(tmp_path, spoil(epw_text(hours=240)), "quay.epw"), site=None)


def test_the_registry_names_every_format_once() -> None:
    names = [kind.name for kind in FORMATS]
    assert len(set(names)) == len(names) == 10


def _shared(name: str) -> Path:
    if not (SHARED / name).is_file():
        pytest.skip(f"{name} is not carried here (its licence stays with its owner); put it in ../shared/data/weather")
    return SHARED / name


def test_typical_year_of_pvgis_has_no_rain_and_an_early_sun() -> None:
    path = _shared("pvgis-tmy-45N-8E.epw.gz")
    with pytest.raises(InputError, match=r"no rain in the whole file"):
        load_weather(path, site=None)
    weather = load_weather(path, site=None, start=utc(2026, 5, 1), end=utc(2026, 6, 1), assume_dry=True)
    assert weather.hours == 31 * 24
    assert any("before true solar noon" in finding for finding in weather.findings)


def test_a_whole_year_of_airport_reports() -> None:
    path = _shared("asos-nyc-2022-hourly.csv.gz")
    weather = load_weather(path, site=None, station="JFK", end=utc(2022, 7, 20))
    assert weather.hours == 200 * 24 - 1
    assert weather.filled["wind_m_s"].sum() == 3
    demo = load_weather(path, site=None, station="JFK", start=utc(2022, 4, 18), end=utc(2022, 6, 16))
    carried = Path(__file__).parents[2] / "src" / "boottop" / "demo" / "weather.csv"
    same = load_weather(carried, site=None)
    assert same.air_c == pytest.approx(demo.air_c, abs=0.006)
    assert same.rain_mm == pytest.approx(demo.rain_mm, abs=6e-5)
    assert same.start == demo.start
    assert weather.start + timedelta(hours=weather.hours) == utc(2022, 7, 20)
