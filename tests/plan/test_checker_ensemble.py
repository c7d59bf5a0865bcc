"""The checker reads the rain of an ensemble by itself, and comes to the same."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from boottop.climate.rain import rain_of_members
from boottop.plan.checker_facts import Sky
from tests.climate.made import START, weather


@pytest.mark.parametrize("members", [1, 2, 5, 6, 10, 11, 30, 51])
@pytest.mark.parametrize("caution", [0.5, 0.8, 0.95])
def test_rain_that_counts_is_that_of_the_climate(members: int, caution: float) -> None:
    rain = np.random.default_rng(members).gamma(0.3, 1.0, (members, 97))
    table = weather(rain_mm=rain)
    counted = rain_of_members(rain, caution)
    sky = Sky(weather=table, caution=caution)
    for hour in (0, 17, 95):
        begins = START + timedelta(hours=hour)
        assert sky.rain_mm(begins, begins + timedelta(hours=1)) == pytest.approx(counted[hour + 1])


def test_rain_in_one_member_of_ten_is_no_fault() -> None:
    rain = np.zeros((10, 97))
    rain[0] = 3.0
    sky = Sky(weather=weather(rain_mm=rain))
    assert sky.rain_mm(START, START + timedelta(hours=24)) == 0.0
