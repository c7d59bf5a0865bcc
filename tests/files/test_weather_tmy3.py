"""TMY3 typical years: the files that pvlib carries, and small ones with the rain column's traps."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pvlib
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site, Weather
from boottop.files.weather import load_weather
from tests.files.weather_samples import HOURS, rain_mm, tmy3_rows, tmy3_text
from tests.files.weather_text import save

CARRIED = Path(pvlib.__file__).parent / "data"
ISLAND, INLAND = CARRIED / "703165TY.csv", CARRIED / "723170TYA.CSV"


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]


def told(weather: Weather) -> str:
    return "\n".join(weather.findings)


def test_typical_year_is_laid_onto_the_year_asked_for() -> None:
    weather = load_weather(INLAND, site=None, start=utc(2026, 4, 1), end=utc(2026, 6, 1))
    assert (weather.start, weather.hours) == (utc(2026, 4, 1), 61 * 24)
    assert "come from 1980 to 2003" in told(weather)
    assert "not a forecast" in told(weather)
    assert "solar noon" not in told(weather)  # the light's middle agrees with the sun, so hour and zone are right
    assert weather.station == "GREENSBORO PIEDMONT TRIAD INT"


def test_hour_1_ends_at_one_local_standard_time() -> None:
    weather = load_weather(INLAND, site=None)
    # first row: 01/01/1988,01:00 at UTC-5: 10.0 degC, dew point 6.1, 6.2 m/s, 993 mbar; 1988 is a leap year, 1989 not
    assert weather.start == utc(1989, 1, 1, 6)
    assert weather.hours == 8760
    assert (weather.air_c[0, 0], weather.dew_c[0, 0], weather.wind_m_s[0, 0]) == (10.0, 6.1, 6.2)
    assert weather.pressure_pa[0, 0] == pytest.approx(99_300)
    assert weather.cloud[0, 0] == pytest.approx(1.0)
    # last row: 12/31/1980,24:00, 2.2 degC
    assert weather.air_c[0, -1] == 2.2


def test_the_sun_agrees_with_pvlib() -> None:
    weather = load_weather(INLAND, site=None)
    table, _ = pvlib.iotools.read_tmy3(INLAND, map_variables=True)
    assert weather.ghi_w_m2[0] == pytest.approx(table["ghi"].to_numpy(dtype=float))
    assert weather.air_c[0] == pytest.approx(table["temp_air"].to_numpy(dtype=float))


def test_rain_in_tenths_under_a_header_of_mm_is_found_out_and_told() -> None:
    weather = load_weather(INLAND, site=None)
    assert weather.rain_mm.sum() == pytest.approx(834.5)  # as mm it would be 8345, seven times what falls there
    assert "read as tenths of a mm although the header says mm, because 98 % of its 358 wet hours" in told(weather)


def test_island_has_too_little_rain_and_says_so() -> None:
    with pytest.raises(InputError, match=r"rain, from .* h missing.*missing is not dry"):
        load_weather(ISLAND, site=None, start=utc(2026, 4, 1), end=utc(2026, 6, 1))
    weather = load_weather(ISLAND, site=None, start=utc(2026, 4, 1), end=utc(2026, 6, 1), assume_dry=True)
    for part in (
        "27 depths in the file of 100 mm or more, not believed",
        "65 depths in the file over an unknown number of hours",
        "2189 h in the file follow from totals",
        "TAKEN AS DRY because you asked",
        "pressure: the same 1012 hPa",
    ):
        assert part in told(weather)


def test_far_from_the_yard_is_told() -> None:
    yard = Site(latitude_deg=36.1, longitude_deg=-78.0, elevation_m=2, zone_name="America/New_York", bow_deg=0)
    findings = load_weather(INLAND, site=yard, start=utc(2026, 4, 1), end=utc(2026, 4, 9)).findings
    assert any("taken 175 km from the yard" in finding for finding in findings)


def test_one_year_is_that_year_and_totals_fill_dry_hours(tmp_path: Path) -> None:
    body = tmy3_rows()
    for hour in range(40, 46):
        body[hour][11:13] = ["-9900", "-9900"]
    body[45][11:13] = ["0", "6"]
    weather = load_weather(save(tmp_path, tmy3_text(body)), site=None)
    assert (weather.start, weather.hours) == (utc(2022, 4, 1, 6), HOURS)
    assert np.flatnonzero(weather.filled["rain_mm"]).tolist() == [40, 41, 42, 43, 44, 45]
    assert weather.rain_mm.sum() == pytest.approx(sum(rain_mm(hour) for hour in range(HOURS)))
    assert "in mm as the header says" in told(weather)


def test_a_wet_total_says_nothing_about_its_hours(tmp_path: Path) -> None:
    body = tmy3_rows()
    for hour in range(40, 46):
        body[hour][11:13] = ["-9900", "-9900"]
    body[45][11:13] = ["5", "6"]
    with pytest.raises(InputError, match="rain, from 2022-04-02T22:00Z: found 6 h missing"):
        load_weather(save(tmp_path, tmy3_text(body)), site=None)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (("-5.0,45.0,-75.0", "-5.0,north,-75.0"), "no offset from UTC, latitude and longitude"),
        (("Wspd (m/s)", "Wspd (knots)"), r"no column wspd \(m/s\)"),
        (("04/01/2022,05:00", "04/31/2022,05:00"), "a date or hour that does not exist"),
        (("04/01/2022,05:00", "04/01/2022,05:30"), "a date or hour that does not exist"),
        (("04/01/2022,05:00", "1 April,05:00"), "a date or hour that does not exist"),
        (("04/01/2022,24:00", "04/01/2022,25:00"), "an hour from 1 to 24"),
        ((",0.6,1\n", ",some,1\n"), r"lprecip depth \(mm\), lines .*found 'some'"),
        (('"INVENTED QUAY"', '"INVENTED'), "no offset from UTC"),
    ],
)
def test_broken_tmy3(tmp_path: Path, spoil: tuple[str, str], says: str) -> None:
    with pytest.raises(InputError, match=says):
        load_weather(save(tmp_path, tmy3_text().replace(*spoil)), site=None)


def test_station_line_alone_is_no_tmy3(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no row after the header"):
        load_weather(save(tmp_path, "\n".join(tmy3_text().split("\n")[:2])), site=None)
