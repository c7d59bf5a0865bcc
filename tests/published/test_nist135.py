"""NIST Handbook 135 (2025): Example 7-1, pp. 94-95 (read), and the factors by their definition."""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from boottop.money.case import CostCase
from boottop.money.discount import single_present_value, uniform_present_value
from boottop.money.draws import likely
from boottop.money.value import Times, value
from tests.money.made import case, inputs, item, sure, way

GAS, POWER = 16.15, 15.48
"""Modified uniform present value factors of the example, 20 years at 3 % (read)."""


def _growth(factor: float) -> float:
    """By how much a price outruns inflation each year when its factor over 20 years at 3 % is this one."""

    def left(growth: float) -> float:
        known = inputs(growth=sure(growth))
        one = case(known, way("a"), way("b"), years=20, rate=sure(0.03))
        return float(Times(one, one.alternatives[0], likely(one)).worth("yearly", "growth")[0, -1]) - factor

    return float(brentq(left, -0.1, 0.1))


def _example() -> CostCase:
    known = inputs(
        therm=sure(1.05), kwh=sure(0.135), gas_base=sure(1500), gas_alt=sure(1300), power_base=sure(1200),
        power_alt=sure(1100), first=sure(2000), gas_growth=sure(_growth(GAS)), power_growth=sure(_growth(POWER)),
    )  # fmt: skip
    return case(
        known,
        way("base", item("yearly", "therm", "gas_base", grows="gas_growth"),
            item("yearly", "kwh", "power_base", grows="power_growth")),
        way("alternative", item("now", "first"), item("yearly", "therm", "gas_alt", grows="gas_growth"),
            item("yearly", "kwh", "power_alt", grows="power_growth")),
        years=20,
        rate=sure(0.03),
    )  # fmt: skip


def test_example_7_1() -> None:
    cost = value(_example(), likely(_example())).cost[:, 0]
    assert cost == pytest.approx([27_944, 26_344], rel=4e-5)


@pytest.mark.parametrize(("years", "uniform", "single"), [(10, 8.530, 0.7441), (20, 14.877, 0.5537)])
def test_factors_at_three_per_cent(years: int, uniform: float, *, single: float) -> None:
    """Computed from the definition (ours); the adjunct to ASTM E917 prints four digits."""
    assert uniform_present_value(0.03, years) == pytest.approx(uniform, abs=5e-4)
    assert single_present_value(0.03, years) == pytest.approx(single, abs=1.5e-4)
