"""Money: days ashore begun, lifts, lateness, hire."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from boottop.plan.inputs import PlanInput
from boottop.plan.network import Money
from boottop.plan.rules import network_for
from tests.plan import jobs


def money(job: PlanInput) -> Money:
    boat, sky = jobs.hull(), jobs.Sky()
    return network_for(job, boat, windows=sky.all_windows(job, boat), climate=sky.climate(boat)).network.money


def cost(terms: Money, start: int, finish: int) -> int:
    return int(terms.by_start[start]) + int(terms.by_finish[finish])


def test_each_day_ashore_begun_is_charged_and_both_lifts() -> None:
    terms = money(jobs.inputs())
    assert cost(terms, 36, 60) == 40_000 + 4_000
    assert cost(terms, 36, 96) == 44_000, "ends at midnight sharp: the day that is over"
    assert cost(terms, 36, 97) == 48_000
    assert cost(terms, 96 + 36, 97 + 60) == 44_000, "a later haul-out saves its day"


def test_late_days_count_from_the_day_after_the_one_wanted() -> None:
    wanted = jobs.FIRST_DAY + timedelta(days=2)
    terms = money(jobs.with_wishes(jobs.inputs(), wanted_launch=wanted, late_day_minor=12_000))
    plain = money(jobs.inputs())
    extra = terms.by_finish - plain.by_finish
    assert extra[: 3 * 96 + 1].max() == 0
    assert set(extra[3 * 96 + 1 : 4 * 96 + 1].tolist()) == {12_000}
    assert extra[-1] == 11 * 12_000


def test_time_never_gets_cheaper_by_waiting() -> None:
    terms = money(jobs.with_wishes(jobs.inputs(), wanted_launch=jobs.FIRST_DAY, late_day_minor=500))
    assert (np.diff(terms.by_finish) >= 0).all()
    assert (np.diff(terms.by_start) <= 0).all()
