"""Members stacked and stretches joined: nothing of one is lost in the other."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.climate.weather import Weather
from boottop.files.weather.quality import FIELDS
from boottop.services.failure import ServiceError
from boottop.services.members import joined, judged, stacked
from boottop.services.openmeteo import decode
from tests.services.answers import FALMOUTH, open_meteo, utc

START = utc(2026, 5, 4)


def made(hours: int, *, members: int = 1, later_h: int = 0, warmer_k: float = 0.0) -> Weather:
    begin = START + timedelta(hours=later_h)
    issue = decode(open_meteo(begin, hours, members=members, warmer_k=warmer_k))
    return judged(issue, FALMOUTH, start=begin, end=None)


def test_late_weather_follows_the_early_one_in_every_member() -> None:
    early, late = made(72), made(48, members=5, later_h=51, warmer_k=3.0)
    whole = joined(early, late)
    assert (whole.start, whole.members, whole.hours) == (START, 5, 51 + 48)
    assert whole.air_c[:, :51] == pytest.approx(np.repeat(early.air_c[:, :51], 5, axis=0))
    assert whole.air_c[:, 51:] == pytest.approx(late.air_c)
    assert whole.rain_mm[:, 51] == pytest.approx(
        np.full(5, early.rain_mm[0, 51])
    )  # the hour before belongs to the past
    assert whole.rain_mm[:, 52:] == pytest.approx(late.rain_mm[:, 1:])
    assert all(whole.filled[field].size == whole.hours for field in FIELDS)


def test_stretches_must_meet() -> None:
    with pytest.raises(ServiceError, match="one member that reaches 2026-05-07T00:00Z"):
        joined(made(48), made(48, later_h=72))
    with pytest.raises(ServiceError, match="found 3 members"):
        joined(made(72, members=3), made(48, later_h=48))


def test_what_was_found_of_some_members_says_of_how_many() -> None:
    one = made(48)
    other = replace(one, findings=(*one.findings, "leaps"))
    assert stacked([one, other, other]).findings[-1] == "2 of 3 members: leaps"
    assert stacked([one]).findings == one.findings


def test_half_of_an_optional_quantity_is_none() -> None:
    one = made(48)
    dark = replace(one, ghi_w_m2=np.full_like(one.ghi_w_m2, np.nan))
    both = stacked([one, dark])
    assert np.isnan(both.ghi_w_m2).all()
    assert np.isfinite(both.cloud).all()


def test_more_than_half_refused_is_refused() -> None:
    payload = open_meteo(START, 48, members=3)
    for key in ("temperature_2m", "temperature_2m_member02"):
        payload["hourly"][key][5] = 99.0
    with pytest.raises(InputError, match="found 99 degC"):
        judged(decode(payload), FALMOUTH, start=START, end=None)
