"""Every format, spoilt at random: read or refused in words; what is read is finite and possible, gaps are marked."""

from __future__ import annotations

import tempfile
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.climate.weather import Site, Weather
from boottop.files.weather import FORMATS, load_weather
from boottop.files.weather.totals import with_totals
from tests.files.weather_samples import SAMPLES, STATIONS

SITE = Site(latitude_deg=51.8, longitude_deg=-8.3, elevation_m=5, zone_name="Europe/Dublin", bow_deg=0)
PUT = st.sampled_from(
    [",", ";", "\n", "-", "9", "1e9", "nan", "NA", "---", '"', "\x00", "\xff", "", "T", "Z", "[", "#", ".", "\r", "<",
     ">", "-9900", "990", "-99", "/", ":", " ", "24", "<-3>", "0", "99", "12"]
)  # fmt: skip


HEAD_LINES = {"EPW": 8, "TMY3": 2, "KNMI hourly": 7, "DWD latest observations": 3}


def refused(error: InputError) -> None:
    assert error.problems


def attempt(content: bytes, *, station: str | None = None, assume_dry: bool = False) -> Weather | None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any"
        path.write_bytes(content)
        try:
            weather = load_weather(path, site=SITE, station=station, assume_dry=assume_dry)
        except InputError as error:
            refused(error)
            return None
    for name in ("air_c", "dew_c", "wind_m_s", "rain_mm", "pressure_pa"):
        assert np.isfinite(getattr(weather, name)).all(), name
    assert (weather.dew_c <= weather.air_c).all()
    assert (weather.rain_mm >= 0).all()
    assert (weather.wind_m_s >= 0).all()
    assert weather.findings
    return weather


def test_there_is_a_sample_of_every_format() -> None:
    assert set(SAMPLES) == {kind.name for kind in FORMATS}


@pytest.mark.parametrize("name", list(SAMPLES))
@given(
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 9), PUT), min_size=1, max_size=8),
    st.booleans(),
)
@settings(max_examples=60, deadline=None)
def test_spoilt_files_of_every_format(name: str, edits: list[tuple[float, int, str]], assume_dry: bool) -> None:
    spoilt = SAMPLES[name]
    for at, cut, put in edits:
        place = int(at**2 * len(spoilt))  # the header more often than the rest
        spoilt = spoilt[:place] + put + spoilt[place + cut :]
    attempt(spoilt.encode("latin-1", "replace"), station=STATIONS.get(name), assume_dry=assume_dry)


@pytest.mark.parametrize("name", list(SAMPLES))
@given(st.integers(0, 200), st.integers(1, 30))
@settings(max_examples=20, deadline=None)
def test_after_lost_rows_every_hour_is_as_before_or_marked_or_refused(name: str, first: int, count: int) -> None:
    lines = SAMPLES[name].split("\n")
    head = HEAD_LINES.get(name, 1)
    first = head + first % (len(lines) - head)
    station = STATIONS.get(name)
    weather = attempt("\n".join(lines[:first] + lines[first + count :]).encode(), station=station)
    whole = attempt(SAMPLES[name].encode(), station=station)
    assert whole is not None
    if weather is not None:
        shift = (weather.start - whole.start) // timedelta(hours=1)
        for field in ("air_c", "dew_c", "wind_m_s", "rain_mm"):
            measured = np.flatnonzero(~weather.filled[field])
            before = getattr(whole, field)[0, measured + shift]
            assert getattr(weather, field)[0, measured] == pytest.approx(before), field


HEADS = st.sampled_from([b"CDF\x01", b"CDF\x02", b"CDF\x05", b"\x89HDF\r\n\x1a\n", b"PK\x03\x04", b"GRIB", b""])


@given(HEADS, st.binary(max_size=300))
@settings(max_examples=100, deadline=None)
def test_bytes_under_the_heads_of_grids(head: bytes, rest: bytes) -> None:
    attempt(head + rest)


@given(
    st.lists(st.one_of(st.none(), st.sampled_from([0.0, 0.2, 1.0, 3.4])), min_size=12, max_size=40),
    st.integers(2, 8),
)
@settings(deadline=None)
def test_totals_never_contradict_the_rain_that_fell(hours: list[float | None], over: int) -> None:
    true = np.array([0.4 if hour is None else hour for hour in hours])
    known = np.array([np.nan if hour is None else hour for hour in hours])
    sums = np.array([true[row - over + 1 : row + 1].sum() if row >= over - 1 else np.nan for row in range(true.size)])
    done, derived = with_totals(known, np.arange(true.size, dtype=np.int64) * 3600, {over: sums})
    assert done[derived] == pytest.approx(true[derived])
    assert (done[~np.isnan(known)] == known[~np.isnan(known)]).all()
