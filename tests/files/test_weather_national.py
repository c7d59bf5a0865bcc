"""Files of weather services and data sets under their own headers: units, hours, flags and holes as meant."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.moist import standard_pressure_pa
from boottop.climate.weather import Site, Weather
from boottop.files.weather import FORMATS, load_weather
from boottop.files.weather.registry import GRIDS
from tests.files import weather_samples as samples
from tests.files.weather_text import save

DATA = Path(__file__).parents[1] / "data"
SHARED = Path(__file__).parents[2].parent / "shared" / "data" / "weather"
KNMI, NERRS = DATA / "knmi-uurgeg-260-2000-excerpt.txt", DATA / "nerrs-apaebmet-excerpt.csv"
MET_EIREANN, DWD = DATA / "met-eireann-2017-excerpt.csv", DATA / "dwd-poi-01049.csv"
HILL = Site(latitude_deg=52.1, longitude_deg=5.2, elevation_m=100, zone_name="Europe/Amsterdam", bow_deg=0)


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]


def told(weather: Weather) -> str:
    return "\n".join(weather.findings)


def shared(name: str) -> Path:
    if not (SHARED / name).is_file():
        pytest.skip(f"{name} is not carried here (its licence is not verified); put it in ../shared/data/weather")
    return SHARED / name


def test_every_sample_is_known_by_its_own_format_alone() -> None:
    for name, text in samples.SAMPLES.items():
        lines = text[:20_000].split("\n")
        assert [kind.name for kind in FORMATS if kind.looks_like(lines)] == [name]


@pytest.mark.parametrize("name", list(samples.SAMPLES))
def test_every_sample_is_read_and_keeps_its_shower(tmp_path: Path, name: str) -> None:
    weather = load_weather(save(tmp_path, samples.SAMPLES[name]), site=None, station=samples.STATIONS.get(name))
    wet = {"boottop CSV": 2.4, "EPW": 0.2 * samples.HOURS, "KNMI hourly": 1.825}.get(name, 1.8)
    assert weather.rain_mm.sum() == pytest.approx(wet, abs=0.002)
    assert weather.hours >= samples.HOURS - 1


def test_the_page_lists_every_format() -> None:
    page = (Path(__file__).parents[2] / "docs" / "weather-files.md").read_text(encoding="utf-8")
    listed = {line.split("|")[1].split(",")[0].split("(")[0].strip() for line in page.split("\n") if line[:2] == "| "}
    assert {kind.name for kind in (*FORMATS, GRIDS)} <= listed


def test_knmi_tenths_joules_and_hour_24() -> None:
    weather = load_weather(KNMI, site=None)
    # last row of 13 October 2000: hour 24, wind 20, T 69, TD 66, RH 0, P 10151
    midnight = 23
    assert (weather.start, weather.hours) == (utc(2000, 10, 13, 1), 96)
    assert weather.air_c[0, midnight] == pytest.approx(6.9)
    assert weather.dew_c[0, midnight] == pytest.approx(6.6)
    assert weather.wind_m_s[0, midnight] == pytest.approx(2.0)
    assert weather.pressure_pa[0, midnight] == pytest.approx(101_510)
    # hour 12: Q 162 J/cm2 in the hour are 450 W/m2
    assert weather.ghi_w_m2[0, 11] == pytest.approx(450.0)
    assert weather.wind_m_s.max() == pytest.approx(11.0)
    assert weather.station == "260"


def test_knmi_rain_is_rh_and_a_trace_stays_wet() -> None:
    weather = load_weather(KNMI, site=None)
    trace = np.isclose(weather.rain_mm[0], 0.025)
    assert trace.sum() == 18
    assert weather.rain_mm.sum() == pytest.approx(5.0 + 18 * 0.025)
    assert weather.cloud.max() == 1.0
    for part in ("18 h with less than 0.05 mm, kept as wet", "rain is the column RH", "12 h with the sky hidden"):
        assert part in told(weather)


def test_knmi_pressure_comes_from_sea_level_to_the_yard() -> None:
    low, high = (load_weather(KNMI, site=site) for site in (None, HILL))
    share = float(standard_pressure_pa(100.0)) / 101_325.0
    assert high.pressure_pa == pytest.approx(low.pressure_pa * share)
    assert "pressure: given at sea level, brought to 100 m" in told(high)
    assert "pressure: given at sea level, taken as it stands" in told(low)


def test_knmi_station_by_number_or_listed_name(tmp_path: Path) -> None:
    path = save(tmp_path, samples.knmi_text())
    by_name = load_weather(path, site=HILL, station="pier")
    assert by_name.station == load_weather(path, site=HILL, station="999").station == "999 Pier"
    assert "place: the weather was taken 68 km from the yard" in told(by_name)
    with pytest.raises(InputError, match="no station chosen; allowed: one of 998, 999"):
        load_weather(path, site=None)


def test_met_eireann_knots_and_station_by_name() -> None:
    storm = load_weather(MET_EIREANN, site=None, station="roches point", start=utc(2017, 10, 14), end=utc(2017, 10, 19))
    assert storm.wind_m_s.max() == pytest.approx(59 * 1852 / 3600)  # 59 kn on 16 October 2017
    assert "wdsp is in knots" in told(storm)
    with pytest.raises(InputError, match="Valentia; allowed: one of CORK AIRPORT, ROCHES POINT"):
        load_weather(MET_EIREANN, site=None, station="Valentia")


def test_met_eireann_names_that_differ_by_a_space(tmp_path: Path) -> None:
    body = samples.met_eireann_text().replace("QUAY,", "SherkinIsland,")
    assert load_weather(save(tmp_path, body), site=None, station="SHERKIN ISLAND").station == "SherkinIsland"


def test_met_eireann_file_of_one_station_keeps_traces(tmp_path: Path) -> None:
    legend = ["Station Name: INVENTED QUAY", "Station Height: 21 M", "Latitude:51.476  ,Longitude: -9.428", ""]
    header = "date,ind,rain,ind,temp,ind,wetb,dewpt,vappr,rhum,msl,ind,wdsp"
    rows = [
        f"{1 + hour // 24:02d}-jun-2019 {hour % 24:02d}:00,{2 if hour == 5 else 0},0.0,0,12.{hour % 9},0,11,9.9,12,86,"
        f"1013.{hour % 7},2,{10 + hour % 3}"
        for hour in range(48)
    ]
    weather = load_weather(save(tmp_path, "\n".join([*legend, header, *rows])), site=None)
    assert (weather.start, weather.hours, weather.station) == (utc(2019, 6, 1), 48, "INVENTED QUAY")
    assert weather.dew_c[0, 0] == pytest.approx(9.9)
    assert np.flatnonzero(weather.rain_mm[0]).tolist() == [5]
    assert "rain: 1 h with a trace, kept as wet" in told(weather)


def test_nerrs_quarter_hours_become_hours_of_utc() -> None:
    weather = load_weather(NERRS, site=None, start=utc(2013, 2, 14, 6), end=utc(2013, 2, 16, 4))
    assert (weather.start, weather.hours) == (utc(2013, 2, 14, 6), 46)
    assert weather.rain_mm.sum() == pytest.approx(4.8)
    assert np.isnan(weather.ghi_w_m2).all()
    for part in (
        "14 of 192 values flagged suspect, KEPT",
        "humidity: 14 values just outside 1 to 100 % set to it",
        "totpar counts photons",
        "rows every 15 min",
    ):
        assert part in told(weather)


def test_nerrs_rejected_values_become_gaps() -> None:
    weather = load_weather(NERRS, site=None, start=utc(2012, 4, 1, 6), end=utc(2012, 4, 3, 4))
    assert np.flatnonzero(weather.filled["air_c"]).tolist() == [34]
    assert np.flatnonzero(weather.filled["rain_mm"]).tolist() == [34, 35]
    assert "wind: 2 values rejected by the station's own control, left out" in told(weather)
    with pytest.raises(InputError, match=r"wind, from .* found 47 h missing.*the station's control rejected"):
        load_weather(NERRS, site=None, start=utc(2013, 6, 1, 6), end=utc(2013, 6, 3, 4))


def test_nerrs_suspect_rain_is_not_dry() -> None:
    window = {"start": utc(2012, 7, 16, 6), "end": utc(2012, 7, 18, 4)}
    with pytest.raises(InputError, match=r"rain, from 2012-07-17T14:00Z: found 15 h missing.*rejected or suspects"):
        load_weather(NERRS, site=None, start=window["start"], end=window["end"])
    dry = load_weather(NERRS, site=None, start=window["start"], end=window["end"], assume_dry=True)
    assert "left out: a blocked gauge reads dry" in told(dry)
    assert dry.filled["rain_mm"].sum() == 14  # of the 15 the last is after the window


def test_nerrs_own_stamp_needs_its_offset(tmp_path: Path) -> None:
    lines = samples.nerrs_text().replace("-0500,", ",").split("\n")
    body = [f"{line[5:7]}/{line[8:10]}/{line[:4]} {line[11:]}" for line in lines[1:] if line]
    bare = "\n".join([lines[0].replace("time_est", "DateTimeStamp"), *body])
    with pytest.raises(InputError, match=r"local standard time without its offset; allowed: DateTimeStamp\[-05:00\]"):
        load_weather(save(tmp_path, bare), site=None)
    stated = load_weather(save(tmp_path, bare.replace("DateTimeStamp", "DateTimeStamp[-05:00]")), site=None)
    same = load_weather(save(tmp_path, samples.nerrs_text(), "est.csv"), site=None)
    assert stated.start == same.start
    assert (stated.air_c == same.air_c).all()


def test_dwd_german_numbers_newest_first() -> None:
    weather = load_weather(DWD, site=None)
    # newest row: 06.04.20;08:00, -3,1 degC, dew point -10, 14 km/h, 0 mm, 1023,1 hPa
    assert (weather.start, weather.hours) == (utc(2020, 4, 5, 8), 25)
    assert (weather.air_c[0, -1], weather.dew_c[0, -1]) == (-3.1, -10.0)
    assert weather.wind_m_s[0, -1] == pytest.approx(14 / 3.6)
    assert weather.pressure_pa[0, -1] == pytest.approx(102_310)
    assert weather.rain_mm.sum() == pytest.approx(0.7)


def test_dwd_missing_hour_is_dry_by_the_total_of_twelve() -> None:
    weather = load_weather(DWD, site=None)
    # 18:00 has no rain of the hour; its total of twelve hours, 0.6 mm, fell in the hour to 17:00
    assert np.flatnonzero(weather.filled["rain_mm"]).tolist() == [10]
    assert weather.rain_mm[0, 9:11].tolist() == pytest.approx([0.6, 0.0])
    assert "1 h follow from totals over 3 to 24 h" in told(weather)


def test_uci_wind_is_the_difference_while_the_direction_holds(tmp_path: Path) -> None:
    weather = load_weather(save(tmp_path, samples.uci_text()), site=None)
    assert weather.wind_m_s == pytest.approx(np.full((1, 59), 2.0))
    assert weather.start == utc(2022, 3, 31, 17)  # 1 April 01:00 at UTC+8; the wind of the hour before is not known
    assert weather.station == "Shanghai"
    assert "whole degrees" in told(weather)


def test_uci_real_city() -> None:
    path = shared("uci394-shanghai-2010-2015-hourly.csv.gz")
    weather = load_weather(path, site=None, start=utc(2013, 5, 1), end=utc(2013, 7, 1))
    assert weather.wind_m_s.max() == pytest.approx(12.0)
    assert weather.rain_mm.sum() == pytest.approx(287.9)
    with pytest.raises(InputError, match=r"rain, from .*missing is not dry"):
        load_weather(path, site=None, start=utc(2010, 3, 1), end=utc(2010, 7, 1))


def test_merra_without_humidity_and_rain_is_refused_with_both_reasons(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no humidity and no dew point") as caught:
        load_weather(save(tmp_path, samples.merra_text(more="")), site=None)
    assert len(caught.value.problems) == 2
    assert "missing is not dry" in str(caught.value)


def test_merra_with_both_added_brings_its_wind_to_10_m(tmp_path: Path) -> None:
    weather = load_weather(save(tmp_path, samples.merra_text()), site=None)
    assert weather.wind_m_s[0, 0] == pytest.approx(8 * (10 / 50) ** (1 / 7))
    assert "given at 50 m and multiplied by 0.795 for 10 m (power law, exponent 1/7" in told(weather)


def test_merra_real_file_is_refused() -> None:
    with pytest.raises(InputError, match=r"no rain.*Add the rain of the same grid point"):
        load_weather(shared("merra2-ne-2000-2017-hourly.csv.gz"), site=None)


RUBBISH: dict[str, tuple[Callable[[], str], str]] = {
    "knmi no T": (lambda: samples.knmi_text().replace("    T,", "   TX,"), "no column t;"),
    "knmi hour 25": (lambda: samples.knmi_text().replace("20220401,   24,", "20220401,   25,"), "an hour from 1 to 24"),
    "knmi 31 April": (lambda: samples.knmi_text().replace("20220401,    5,", "20220431,    5,"), "does not exist"),
    "knmi words": (lambda: samples.knmi_text().replace("990,   30,", "990, calm,"), "fh, lines .*found 'calm'"),
    "knmi header alone": (lambda: samples.KNMI_HEADER, "no row after the header"),
    "met eireann wind": (lambda: samples.met_eireann_text().replace(",11,200", ",211,200"), "wind, lines"),
    "met eireann time": (lambda: samples.met_eireann_text().replace("T05:00Z", "T25:00Z"), r"\(no time\)"),
    "nerrs no flags": (lambda: samples.nerrs_text().replace("f_wspd", "flag"), "no column f_wspd"),
    "nerrs no time": (lambda: samples.nerrs_text().replace("time_est", "when"), "no column DateTimeStamp"),
    "nerrs zone": (lambda: samples.nerrs_text().replace("time_est", "datetimestamp[nowhere]"), "'nowhere'"),
    "nerrs -9999": (lambda: samples.nerrs_text().replace(",10.0,<0>", ",9999,<0>"), "code for a missing value"),
    "uci month 13": (lambda: samples.uci_text().replace(",2022,4,2,", ",2022,13,2,"), "does not exist"),
    "uci all wrong": (lambda: samples.uci_text().replace(",2022,", ",22,"), "a date from 1901 to 2199"),
    "uci no rain": (lambda: samples.uci_text().replace(",precipitation,", ",snow,"), "no column precipitation"),
    "merra no wind height": (lambda: samples.merra_text().replace("WS50m_m/s", "WS_m/s"), "unknown format"),
    "dwd unit": (lambda: samples.dwd_text().replace("km/h", "Beaufort"), "line 2, mean_wind.*the unit 'beaufort'"),
    "dwd heads only": (lambda: "\n".join(samples.dwd_text().split("\n")[:3]), "three header lines"),
    "dwd date": (lambda: samples.dwd_text().replace("01.04.22;05:00", "01.04.2022;05:00"), "does not exist"),
    "dwd minute": (lambda: samples.dwd_text().replace("01.04.22;05:00", "01.04.22;05:20"), "does not exist"),
}  # fmt: skip


@pytest.mark.parametrize("kind", list(RUBBISH))
def test_rubbish_in_national_formats_is_refused_in_words(tmp_path: Path, kind: str) -> None:
    make, says = RUBBISH[kind]
    station = "999" if kind.startswith("knmi") and kind != "knmi header alone" else None
    with pytest.raises(InputError, match=says) as caught:
        load_weather(save(tmp_path, make()), site=None, station=station)
    for problem in caught.value.problems:
        assert problem.allowed
        assert problem.advice.endswith((".", "?"))
        assert len(str(problem)) < 700
