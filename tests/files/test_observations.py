"""Readings at the yard: typed, and from a logger's file with the units and clocks that loggers have."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from boottop.base.errors import InputError
from boottop.climate.blend import Observation
from boottop.files.observations import read_observations, typed_observation

LISBON = ZoneInfo("Europe/Lisbon")


def saved(folder: Path, text: str, encoding: str = "utf-8") -> Path:
    path = folder / "logger.csv"
    path.write_bytes(text.encode(encoding))
    return path


def utc(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 5, 4, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2026-05-04T08:30, 11.5 degC, 78 %", Observation(time=utc(7, 30), air_c=11.5, rh=0.78)),
        ("2026-05-04 08:30, 50 degF, 78 %", Observation(time=utc(7, 30), air_c=10.0, rh=0.78)),
        ("2026-05-04T08:30+02:00, 11.5 C", Observation(time=utc(6, 30), air_c=11.5)),
        ("2026-05-04T08:30Z, 11.5 degC, dew 7 degC", Observation(time=utc(8, 30), air_c=11.5, dew_c=7.0)),
    ],
)
def test_typed(text: str, expected: Observation) -> None:
    got = typed_observation(text, LISBON, where="reading")
    assert got.time == expected.time
    assert got.air_c == pytest.approx(expected.air_c)
    assert (got.rh, got.dew_c) == (expected.rh, expected.dew_c)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("11.5 degC, 78 %", "reading: found '11.5 degC'; allowed: TIME, AIR, HUMIDITY"),
        ("2026-05-04T08:30 11.5 degC", "Put commas between them"),
        ("2026-05-04T08:30, 11,5 degC, 78 %", "Put commas between them, points in numbers"),
        ("2026-05-04T08:30, 11.5, 78 %", "reading, air"),
        ("2026-05-04T08:30, 11.5 degC, damp", "reading, humidity"),
        ("2026-10-25T01:30, 11.5 degC, 78 %", "happens twice"),
    ],
)
def test_typed_wrongly(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        typed_observation(text, LISBON, where="reading")


def test_logger_in_its_own_units_and_clock(tmp_path: Path) -> None:
    header = "# exported\ntime[-05:00],air[degF],humidity[%],battery[V]\n"
    rows = "2026-05-04 03:00,50,80,3.1\n2026-05-04 04:00,59,,3.1\n"
    got = read_observations(saved(tmp_path, header + rows), LISBON)
    assert [one.time for one in got] == [utc(8), utc(9)]
    assert [one.air_c for one in got] == pytest.approx([10.0, 15.0])
    assert [one.rh for one in got] == [0.8, None]


def test_without_a_zone_the_yards_holds(tmp_path: Path) -> None:
    (one,) = read_observations(saved(tmp_path, "time,air[degC]\n2026-05-04 08:30,11.5\n"), LISBON)
    assert one.time == utc(7, 30)


def test_one_reading_an_hour_the_last(tmp_path: Path) -> None:
    rows = "".join(
        f"2026-05-04T{hour:02d}:{minute:02d}Z,{hour + minute / 100}\n" for hour in (8, 9) for minute in range(0, 60, 5)
    )
    got = read_observations(saved(tmp_path, "time,air[degC]\n" + rows), LISBON)
    assert [(one.time, one.air_c) for one in got] == [(utc(8, 55), 8.55), (utc(9, 55), 9.55)]


def test_newest_first_and_rows_without_air(tmp_path: Path) -> None:
    text = "time,air[degC],dew_point[degC]\n2026-05-04T09:00Z,12,7\n2026-05-04T08:00Z,,6\n2026-05-04T07:00Z,10,\n"
    got = read_observations(saved(tmp_path, text), LISBON)
    assert [(one.air_c, one.dew_c) for one in got] == [(10.0, None), (12.0, 7.0)]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("time,air\n2026-05-04T09:00Z,12\n", r"header, air: found no unit; allowed: air\[degC\]"),
        ("time,air[R]\n2026-05-04T09:00Z,12\n", r"header, air: found the unit 'R'"),
        ("when,air[degC]\n2026-05-04T09:00Z,12\n", "no column time"),
        ("time,humidity[%]\n2026-05-04T09:00Z,12\n", "no column air"),
        ("time,air[degC]\n2026-05-04T09:00Z,warm\n", "found 'warm'"),
        ("time,air[degC]\nyesterday noon,12\n", "no time"),
        ("time,air[degC]\n2026-10-25 01:30,12\n", "happens twice"),
        ("time,air[degC]\n2026-05-04T09:00Z,\n", "no reading of the air"),
        ("time,air[degC]\n2026-05-04T09:00Z,12,5\n", "3 cells"),
        ("time,air[degC]\n", "no reading of the air"),
        ("", "no header line"),
        ("time,air[degC]\n\x00", "binary data"),
    ],
)
def test_logger_files_that_are_wrong(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_observations(saved(tmp_path, text), LISBON)


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="Check its name"):
        read_observations(tmp_path / "none.csv", LISBON)


def test_from_windows(tmp_path: Path) -> None:
    path = saved(tmp_path, "\ufefftime,air[\N{DEGREE SIGN}C]\r\n2026-05-04T09:00Z,12\r\n")
    assert [one.air_c for one in read_observations(path, LISBON)] == [12.0]
