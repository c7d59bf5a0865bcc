"""SMHI: one real step where it is to be had, and a whole answer written by hand in its form."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Site
from boottop.services.failure import ServiceError
from boottop.services.members import judged
from boottop.services.smhi import covers, decode
from tests.services.answers import FALMOUTH, smhi, utc

SAMPLE = Path(__file__).parents[3] / "shared" / "data" / "forecasts" / "smhi-short.json"
ARKOSUND = Site(latitude_deg=58.58, longitude_deg=16.16, elevation_m=3.0, zone_name="Europe/Stockholm", bow_deg=0.0)


def test_the_one_step_of_the_real_sample() -> None:
    if not SAMPLE.exists():
        pytest.skip("the sample (Apache 2.0) is not carried in this repository and not beside it")
    issue = decode(json.loads(SAMPLE.read_text(encoding="utf-8")), elevation_m=0.0)
    (table,) = issue.tables
    got = {field: float(values[0]) for field, values in table.values.items()}
    assert got["air_c"] == 10.4
    assert got["cloud"] == 1.0  # eight eighths
    assert got["dew_c"] == pytest.approx(7.1, abs=0.05)  # 80 % at 10.4 degC
    assert got["pressure_pa"] == pytest.approx(101150)
    assert issue.issued == utc(2026, 4, 2, 10, 45)


def test_widening_steps() -> None:
    issue = decode(smhi(utc(2026, 4, 2, 10), [1, 1, 1, 3, 6, 12]), elevation_m=0.0)
    weather = judged(issue, ARKOSUND, start=utc(2026, 4, 2, 11), end=None)
    assert weather.start == utc(2026, 4, 2, 11)
    assert weather.hours == 24
    assert weather.rain_mm.sum() == pytest.approx(6 * 0.6)
    assert weather.rain_mm[0, 3:6] == pytest.approx(np.full(3, 0.2))
    assert weather.air_c[0, [0, 1, 2, 5, 11, 23]].tolist() == [10, 11, 12, 13, 14, 15]
    assert weather.filled["air_c"].sum() == 2 + 5 + 11
    assert weather.cloud == pytest.approx(np.full((1, 24), 0.5))


def test_a_step_over_half_a_day_is_too_long() -> None:
    issue = decode(smhi(utc(2026, 4, 2, 10), [1, 1, 13]), elevation_m=0.0)
    with pytest.raises(InputError, match="air, dew_point, wind, from 2026-04-02T13:00Z: found 12 h missing"):
        judged(issue, ARKOSUND, start=utc(2026, 4, 2, 11), end=None)


def test_9999_is_missing() -> None:
    payload = smhi(utc(2026, 4, 2, 10), [1] * 6)
    payload["timeSeries"][2]["data"]["wind_speed"] = 9999
    weather = judged(decode(payload, elevation_m=0.0), ARKOSUND, start=utc(2026, 4, 2, 11), end=None)
    assert weather.wind_m_s[0, 2] == 3.0
    assert np.flatnonzero(weather.filled["wind_m_s"]).tolist() == [2]


def test_rain_falls_back_on_the_mean_of_the_ensemble() -> None:
    payload = smhi(utc(2026, 4, 2, 10), [1] * 3)
    for step in payload["timeSeries"]:
        step["data"] |= {"precipitation_amount_mean_deterministic": 9999, "precipitation_amount_mean": 0.3}
    (table,) = decode(payload, elevation_m=0.0).tables
    assert table.values["rain_mm"].tolist() == [0.3] * 3


def test_no_rain_at_all_is_refused() -> None:
    payload = smhi(utc(2026, 4, 2, 10), [1] * 3)
    for step in payload["timeSeries"]:
        del step["data"]["precipitation_amount_mean_deterministic"]
    with pytest.raises(ServiceError, match="no hour with air, dew point or humidity, wind and rain"):
        decode(payload, elevation_m=0.0)


def test_reach() -> None:
    assert covers(ARKOSUND)
    assert not covers(FALMOUTH)
