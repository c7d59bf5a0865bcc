"""Whatever bytes a weather file holds, it is read or refused in words; what is read is finite, ordered and possible."""

from __future__ import annotations

import gzip
import tempfile
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.base.errors import InputError
from boottop.climate.weather import Weather
from boottop.files.weather import load_weather, own_csv_text
from tests.files.weather_text import HEADER, epw_text, rows, text

GOOD = text(rows(48)).encode()
EPW = epw_text(hours=48).encode()
ASOS_HEADER = "origin,year,month,day,hour,temp,dewp,humid,wind_dir,wind_speed,wind_gust,precip,pressure,visib,time_hour"
ASOS_ROW = "QAY,2022,4,{},{},50.0,41.0,71.2,160.0,3.4,3.9,0.0001,1014.2,6.0,-"
ASOS_ROWS = [ASOS_ROW.format(1 + hour // 24, hour % 24) for hour in range(48)]
ASOS = "\n".join([ASOS_HEADER, *ASOS_ROWS]).encode()
BITS = st.sampled_from(
    [b",", b"\n", b"-", b"9", b"1e9", b"nan", b'"', b"\x00", b"\xff", b"", b"T", b"Z", b"[", b"#", b".", b"\r"]
)


def refused(error: InputError) -> None:
    assert error.problems


def attempt(content: bytes, *, station: str | None = None, assume_dry: bool = False) -> Weather | None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any"
        path.write_bytes(content)
        try:
            weather = load_weather(path, site=None, station=station, assume_dry=assume_dry)
        except InputError as error:
            refused(error)
            return None
    for name in ("air_c", "dew_c", "wind_m_s", "rain_mm", "pressure_pa"):
        assert np.isfinite(getattr(weather, name)).all(), name
    assert (weather.dew_c <= weather.air_c).all()
    assert (weather.rain_mm >= 0).all()
    return weather


@given(st.binary(max_size=400))
def test_any_bytes(content: bytes) -> None:
    attempt(content)
    attempt(b"\x1f\x8b" + content)


@given(
    st.sampled_from([GOOD, EPW, ASOS]),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 6), BITS), min_size=1, max_size=6),
)
@settings(max_examples=250, deadline=None)
def test_spoilt_files(good: bytes, edits: list[tuple[float, int, bytes]]) -> None:
    spoilt = good
    for at, cut, put in edits:
        place = int(at * len(spoilt))
        spoilt = spoilt[:place] + put + spoilt[place + cut :]
    attempt(spoilt)


@given(st.floats(0, 1), st.integers(0, 255))
@settings(max_examples=100, deadline=None)
def test_damaged_gzip(at: float, byte: int) -> None:
    packed = bytearray(gzip.compress(GOOD, mtime=0))
    packed[int(at * (len(packed) - 1))] = byte
    attempt(bytes(packed))


@given(st.text(max_size=40), st.text(max_size=40))
@settings(deadline=None)
def test_any_header_and_cell(head: str, cell: str) -> None:
    body = rows(30)
    body[4][5] = cell
    attempt(text(body, f"{HEADER.rsplit(',', 1)[0]},{head}").encode("utf-8", "surrogatepass"))


@given(
    st.lists(
        st.tuples(st.floats(-20, 35), st.floats(5, 100), st.floats(0, 30), st.floats(0, 40)), min_size=30, max_size=30
    )
)
@settings(max_examples=60, deadline=None)
def test_rain_is_conserved_and_writing_settles(hours: list[tuple[float, float, float, float]]) -> None:
    body = rows(30)
    for row, (air, humidity, wind, rain) in zip(body, hours, strict=True):
        row[1:5] = [f"{air:.2f}", f"{humidity:.1f}", f"{wind:.2f}", f"{rain:.2f}"]
    weather = attempt(text(body).encode())
    assert weather is not None
    assert np.isclose(weather.rain_mm.sum(), sum(float(row[4]) for row in body))
    once = own_csv_text(weather)
    again = attempt(once.encode())
    assert again is not None
    assert own_csv_text(again) == once


@given(st.integers(0, 47), st.integers(1, 8))
@settings(max_examples=60, deadline=None)
def test_a_hole_is_flagged_or_refused_never_silent(first: int, count: int) -> None:
    body = rows(48)
    del body[first : first + count]
    weather = attempt(text(body).encode())
    if weather is not None:
        gone = 48 - weather.hours
        assert int(weather.filled["air_c"].sum()) == min(count, 48 - first) - gone
        assert gone == 0 or first in (0, 48 - gone)
