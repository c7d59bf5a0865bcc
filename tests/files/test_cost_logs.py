"""The boat's own log in three formats: the same runs must come out of each, and rubbish must be told."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.files.cost_log import LogSheet, kind_of_log, load_log, log_of
from boottop.files.cost_log_nmea import checksum
from boottop.files.cost_proof import spans_of
from boottop.files.jobsheet import load_job
from boottop.money.runs import LogTable, cut_runs
from tests.demo_job import DEMO_DIR

UTC_ZONE = ZoneInfo("UTC")
START = datetime(2022, 4, 2, 10, 0, tzinfo=UTC)
SPEED_KN, GROUND_KN, RPM, LITRES_H, WIND_KN, WIND_DEG = 6.0, 6.4, 2100.0, 3.5, 9.0, 40.0
COUNT = 40


def _times() -> list[datetime]:
    return [START + timedelta(seconds=30 * number) for number in range(COUNT)]


def csv_log() -> str:
    """A log as CSV, headed as the page says."""
    rows = [f"{moment:%Y-%m-%dT%H:%M:%SZ},{SPEED_KN},{GROUND_KN},{RPM},{LITRES_H},{WIND_KN},{WIND_DEG}"
            for moment in _times()]  # fmt: skip
    head = "time,water_speed[kn],ground_speed[kn],revs[rpm],fuel[L/h],wind[kn],wind_angle[deg]"
    return "\n".join(["# a comment", head, *rows])


def sentence(body: str) -> str:
    """A sentence with its checksum."""
    return f"${body}*{checksum(body):02X}"


def nmea_log() -> str:
    """The same as sentences; NMEA 0183 has none for fuel."""
    lines = []
    for moment in _times():
        rmc = f"GPRMC,{moment:%H%M%S}.00,A,4038.40,N,07346.80,W,{GROUND_KN},84.4,{moment:%d%m%y},,"
        vhw, rpm = f"IIVHW,,T,,M,{SPEED_KN},N,11.1,K", f"IIRPM,E,1,{RPM},,A"
        mwv, vtg = f"WIMWV,{WIND_DEG},T,{WIND_KN},N,A", f"GPVTG,84.4,T,,M,{GROUND_KN},N,11.9,K"
        lines += [sentence(body) for body in (rmc, vtg, vhw, rpm, mwv, f"WIMWV,20.0,R,{WIND_KN + 5},N,A")]
    return "\n".join(lines)


def signalk_log() -> str:
    """The same as Signal K deltas, with another vessel in between."""
    knot, lines = 1852 / 3600, []
    for moment in _times():
        values = {
            "navigation.speedThroughWater": SPEED_KN * knot,
            "navigation.speedOverGround": GROUND_KN * knot,
            "propulsion.port.revolutions": RPM / 60,
            "propulsion.port.fuel.rate": LITRES_H / 2 / 3.6e6,
            "propulsion.starboard.fuel.rate": LITRES_H / 2 / 3.6e6,
            "environment.wind.speedTrue": WIND_KN * knot,
            "environment.wind.angleTrueWater": np.deg2rad(WIND_DEG),
            "environment.wind.speedApparent": 99.0,
        }
        update = {"timestamp": f"{moment:%Y-%m-%dT%H:%M:%S.000Z}",
                  "values": [{"path": path, "value": value} for path, value in values.items()]}  # fmt: skip
        lines.append(json.dumps({"context": "vessels.urn:mrn:own", "updates": [update]}))
        other = {"timestamp": update["timestamp"], "values": [{"path": "navigation.speedOverGround", "value": 12.0}]}
        lines.append(json.dumps({"context": "vessels.urn:mrn:other", "updates": [other]}))
    return "\n".join(lines)


def _table(text: str) -> LogTable:
    return log_of([("log", text.encode())], LogSheet(), zone=UTC_ZONE)


@pytest.mark.parametrize("make", [csv_log, nmea_log, signalk_log])
def test_every_format_gives_the_same_run(make: Callable[[], str]) -> None:
    found = cut_runs(_table(make()), hauled_s=2e9, launched_s=3e9)
    assert len(found.runs) == 1
    run = found.runs[0]
    knot = 1852 / 3600
    assert run.speed_m_s == pytest.approx(SPEED_KN * knot, rel=1e-3)
    assert run.ground_m_s == pytest.approx(GROUND_KN * knot, rel=1e-3)
    assert run.rev_s == pytest.approx(RPM / 60, rel=1e-9)
    assert run.head_m_s == pytest.approx(WIND_KN * knot * np.cos(np.deg2rad(WIND_DEG)), rel=1e-3)
    assert run.start_s == pytest.approx(START.timestamp(), abs=10.0)
    assert run.moments == COUNT
    if make is not nmea_log:
        assert run.fuel_l_h == pytest.approx(LITRES_H, rel=1e-9)


def test_formats_are_told_apart() -> None:
    assert [kind_of_log(make()) for make in (csv_log, nmea_log, signalk_log)] == ["CSV", "NMEA 0183", "Signal K"]


def test_a_spoilt_sentence_does_not_count() -> None:
    text = nmea_log().replace(f"M,{SPEED_KN},N", "M,9.9,N")
    found = _table(text)
    assert np.isnan(found.water_m_s).all()
    assert any("40 sentences with a wrong checksum" in note for note in found.notes)


def test_the_published_checksum_of_the_example_sentence() -> None:
    """The example that descriptions of the format carry (from memory): *6A."""
    assert checksum("GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W") == 0x6A


def test_own_headers_are_mapped() -> None:
    text = csv_log().replace("time,water_speed[kn],ground_speed[kn],revs[rpm],fuel[L/h]", "UTC,STW,SOG kn,RPM 1,Flow")
    columns = {
        "time": ("UTC", ""),
        "water_speed": ("STW", "kn"),
        "revs": ("rpm 1", "rpm"),
        "fuel": ("Flow", "US gal/h"),
    }
    found = log_of([("log.csv", text.encode())], LogSheet(columns=columns), zone=UTC_ZONE)
    assert found.fuel_l_h[0] == pytest.approx(LITRES_H * 3.785412, rel=1e-6)
    assert np.isnan(found.ground_m_s).all()


def test_times_without_an_offset_are_the_zone_s() -> None:
    text = csv_log().replace("Z,", ",")
    found = log_of([("log.csv", text.encode())], LogSheet(), zone=ZoneInfo("America/New_York"))
    assert found.time_s[0] == pytest.approx(START.timestamp() + 4 * 3600)


def test_an_hour_that_happens_twice_is_refused() -> None:
    text = "time,water_speed[kn],revs[rpm]\n2022-11-06T01:30:00,6,2000\n"
    with pytest.raises(InputError, match="happens twice"):
        log_of([("log.csv", text.encode())], LogSheet(), zone=ZoneInfo("America/New_York"))


def test_files_are_put_in_order() -> None:
    early, late = csv_log(), csv_log().replace("2022-04-02", "2022-06-02")
    found = log_of([("b", late.encode()), ("a", early.encode())], LogSheet(), zone=UTC_ZONE)
    assert found.count == 2 * COUNT
    assert np.all(np.diff(found.time_s) >= 0.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no header line"),
        ("time,water_speed,revs[rpm]\n2022-04-02T10:00Z,6,2000", "water_speed[kn]"),
        ("time,water_speed[furlong],revs[rpm]\n2022-04-02T10:00Z,6,2000", "the unit 'furlong'"),
        ("time,revs[rpm]\n2022-04-02T10:00Z,2000", "no speed"),
        ("time,water_speed[kn]\n2022-04-02T10:00Z,6", "neither fuel nor revolutions"),
        ("time,water_speed[kn],revs[rpm]\nyesterday,6,2000", "'yesterday'"),
        ("time,water_speed[kn],revs[rpm]\n2022-04-02T10:00Z,six,2000", "'six'"),
        ("time,water_speed[kn],revs[rpm]\n2022-04-02T10:00Z,6,0,2000", "4 cells"),
        ("{}", "no moment of Signal K"),
        ('{"updates": [{"timestamp": "never", "values": [{"path": "propulsion.a.revolutions", "value": 3}]}]}',
         "no moment"),
        (sentence("IIVHW,,T,,M,6.0,N,11.1,K"), "no moment of NMEA 0183"),
        ("\0\0", "binary"),
    ],
)  # fmt: skip
def test_rubbish_is_told(text: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        _table(text)
    assert words in str(caught.value)


def test_impossible_readings_are_no_readings() -> None:
    text = "time,water_speed[kn],revs[rpm]\n2022-04-02T10:00Z,900,2000\n2022-04-02T10:01Z,,2000"
    assert np.isnan(_table(text).water_m_s).all()


def test_true_and_apparent_wind_are_not_mixed() -> None:
    apparent = nmea_log().replace(",T,9.0,N,A", ",T,9.0,N,V")
    with pytest.raises(InputError, match="one kind of wind"):
        log_of([("a", csv_log().encode()), ("b", apparent.encode())], LogSheet(), zone=UTC_ZONE)


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"nothing\.csv"):
        load_log([tmp_path / "nothing.csv"], LogSheet(), zone=UTC_ZONE)


def test_the_days_ashore_are_the_yard_s() -> None:
    job = load_job(DEMO_DIR / "job.toml")
    first, last = spans_of(job, "2022-04-25", "2022-05-13")
    zone = ZoneInfo("America/New_York")
    assert datetime.fromtimestamp(first, tz=zone).isoformat() == "2022-04-25T00:00:00-04:00"
    assert datetime.fromtimestamp(last, tz=zone).date() == date(2022, 5, 14)
    with pytest.raises(InputError, match="swapped"):
        spans_of(job, "2022-05-13", "2022-04-25")
    with pytest.raises(InputError, match="a date such as"):
        spans_of(job, "last week", "2022-05-13")
