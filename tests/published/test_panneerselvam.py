"""R. Panneerselvam, Engineering Economics: Ex 4.2, 8.1, 8.4; read in a solved-examples copy, every value re-derived."""

from __future__ import annotations

import pytest

from boottop.money.discount import (
    capital_recovery,
    economic_life,
    equivalent_annual_cost,
    single_present_value,
)
from boottop.money.draws import likely
from boottop.money.interval import best_interval
from boottop.money.value import value
from tests.money.made import case, inputs, item, sure, way

P_F = (0.8929, 0.7972, 0.7118, 0.6355, 0.5674, 0.5066, 0.4524, 0.4039, 0.3606, 0.3220)
A_P = (1.1200, 0.5917, 0.4163, 0.3292, 0.2774, 0.2432, 0.2191, 0.2013, 0.1877, 0.1770)
ANNUAL_12 = (4480, 2461.14, 1850.10, 1588.54, 1464.50, 1407.15, 1386.65, 1387.83, 1402.36, 1425.00)
ANNUAL_0 = (4000, 2100, 1533.33, 1300, 1200, 1166.67, 1171.43)
UPKEEP = [200.0 * year for year in range(10)]


@pytest.mark.parametrize("years", range(1, 11))
def test_factors_at_twelve_per_cent(years: int) -> None:
    """Table of p. 103; the book works with four digits."""
    assert single_present_value(0.12, years) == pytest.approx(P_F[years - 1], rel=3e-4)
    assert capital_recovery(0.12, years) == pytest.approx(A_P[years - 1], rel=3e-4)


def test_economic_life_8_1() -> None:
    found = economic_life(4000.0, UPKEEP, rate=0.12)
    assert found.annual == pytest.approx(ANNUAL_12, rel=3e-4)
    assert found.best_years == 7


def test_economic_life_without_interest() -> None:
    found = economic_life(4000.0, UPKEEP[:7], rate=0.0)
    assert found.annual == pytest.approx(ANNUAL_0, rel=1e-5)
    assert found.best_years == 6


def test_the_interval_of_a_way_is_that_economic_life() -> None:
    known = inputs(paint=sure(4000.0), rises=(100.0, 200.0, 400.0), life=sure(2.0))
    one = case(known, way("a", item("renewal", "paint"), life="life"), way("b"), rate=sure(0.12))
    found = best_interval(one, one.alternatives[0], "rises")
    assert found is not None
    assert found.life.annual[:10] == pytest.approx(ANNUAL_12, rel=3e-4)
    assert (found.from_years, found.life.best_years, found.to_years) == (5, 7, 11)


@pytest.mark.parametrize(
    ("first", "salvage", "upkeep", "annual"),
    [(120_000, 25_000, 25_000, 51_106.443), (150_000, 20_000, 14_000, 48_019.343)],
)  # fmt: skip
def test_annual_equivalent_with_salvage_8_4(first: float, salvage: float, *, upkeep: float, annual: float) -> None:
    known = inputs(first=sure(first), upkeep=sure(upkeep), salvage=sure(salvage))
    machine = way("a", item("now", "first"), item("yearly", "upkeep"), item("end", "salvage", times=-1.0))
    one = case(known, machine, way("b"), years=6, rate=sure(0.12))
    worth = float(value(one, likely(one)).cost[0, 0])
    assert equivalent_annual_cost(worth, rate=0.12, years=6) == pytest.approx(annual, rel=1e-6)


def test_present_worth_4_2() -> None:
    known = inputs(dear=sure(450_000), dearer=sure(540_000), low=sure(27_000), high=sure(28_500))
    one = case(
        known,
        way("a", item("now", "dear"), item("yearly", "low")),
        way("b", item("now", "dearer"), item("yearly", "high")),
        years=15,
        rate=sure(0.15),
    )
    assert value(one, likely(one)).cost[:, 0] == pytest.approx([607_878.993, 706_650.048], rel=1e-7)
