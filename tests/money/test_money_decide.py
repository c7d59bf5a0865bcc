"""What is told of a case: savings, break-even, the tornado, and where the decision turns."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.money.decide import break_even, decide, without_fuel
from boottop.money.draws import likely
from boottop.money.value import value
from tests.money.made import case, inputs, item, sure, way

KNOWN = inputs(paint=(600.0, 700.0, 900.0), epoxy=(1500.0, 2000.0, 3000.0), life=sure(2.0), long=sure(10.0),
               fuel=(10.0, 20.0, 30.0))  # fmt: skip
SOFT = way("soft", item("renewal", "paint"), life="life")
HARD = way("hard", item("renewal", "epoxy"), item("yearly", "fuel", group="fuel"), life="long")
LEAVE = way("leave", choice=False)
CASE = case(KNOWN, SOFT, HARD, LEAVE)


def test_the_turning_value_is_where_both_cost_the_same() -> None:
    """Hard costs epoxy + 10 fuel, soft 5 paint: epoxy turns at 3300, paint at 440, fuel at 150 (beyond three times)."""
    found = decide(CASE, draws=500)
    assert (found.best, found.rival) == ("hard", "soft")
    turns = {one.key: one for one in found.all_turns}
    assert turns["epoxy"].at == pytest.approx((3300.0,))
    assert turns["paint"].at == pytest.approx((440.0,))
    assert turns["fuel"].at == ()
    assert turns["fuel"].looked == pytest.approx((20.0 / 3.0, 60.0))
    assert not turns["epoxy"].inside
    assert turns["epoxy"].instead == "soft"
    assert {one.key for one in found.turned_by} == {"epoxy", "paint"}


def test_a_turning_value_within_the_range_comes_first() -> None:
    wide = {**KNOWN, **inputs(epoxy=(1500.0, 2000.0, 4000.0))}
    found = decide(case(wide, SOFT, HARD), draws=500)
    assert (found.turned_by[0].key, found.turned_by[0].inside) == ("epoxy", True)
    assert found.turned_by[0].reach_share == pytest.approx(0.65)


def test_the_tornado_is_sorted_and_right() -> None:
    found = decide(CASE, draws=500)
    assert [one.key for one in found.swings] == ["epoxy", "paint", "fuel"]
    assert found.swings[0].saving_minor == (1800, 300)
    assert found.swings[1].saving_minor == (800, 2300)
    assert [one.width_minor for one in found.swings] == [1500, 1500, 200]


def test_what_is_compared_only_is_never_advised() -> None:
    found = decide(CASE, draws=500)
    leave = found.outcome("leave")
    assert leave.likely_minor < found.outcome("hard").likely_minor
    assert leave.cheapest_share == 0.0
    assert sum(one.cheapest_share for one in found.outcomes) == pytest.approx(1.0)


def test_outcomes_add_up() -> None:
    found = decide(CASE, draws=500)
    for one in found.outcomes:
        assert sum(line.worth_minor for line in one.lines) + one.back_minor == pytest.approx(one.likely_minor, abs=3)
        low, middle, high = one.spread_minor
        assert low <= middle <= high
    hard = found.outcome("hard")
    assert hard.saving_minor == 3500 - 2200
    assert hard.annual_minor == 220
    assert (hard.break_even_year, hard.break_even_share) == (7, 1.0)


@pytest.mark.parametrize(
    ("reference", "other", "year"),
    [
        ([1.0, 2.0, 3.0], [2.0, 2.0, 2.0], 3),
        ([3.0, 3.0, 3.0], [1.0, 2.0, 2.0], 0),
        ([1.0, 1.0, 1.0], [2.0, 2.0, 2.0], -1),
        ([3.0, 3.0, 9.0], [2.0, 5.0, 6.0], 3),
        ([3.0, 9.0, 9.0], [2.0, 5.0, 9.0], -1),
    ],
)
def test_break_even_is_where_it_stays_ahead(reference: list[float], other: list[float], *, year: int) -> None:
    assert break_even(np.array([reference]), np.array([other])).tolist() == [year]


def test_fuel_apart() -> None:
    apart = without_fuel(CASE)
    assert value(apart, likely(apart)).cost[1, 0] == pytest.approx(2000.0)


def test_a_case_without_doubt_has_no_tornado_and_no_turn() -> None:
    known = inputs(paint=sure(700.0), epoxy=sure(2000.0), life=sure(2.0), long=sure(10.0))
    found = decide(case(known, SOFT, way("hard", item("renewal", "epoxy"), life="long")), draws=200)
    assert (found.swings, found.all_turns, found.turned_by) == ((), (), ())
    assert found.outcome("hard").spread_minor == (2000, 2000, 2000)
