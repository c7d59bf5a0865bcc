"""Present values against a plain loop over events, and against sums that can be done by hand."""

from __future__ import annotations

import numpy as np
import pytest

from boottop.base.errors import InputError
from boottop.money.case import Correlation, Curve, Input, Item, check_case
from boottop.money.draws import correlation_matrix, draw, likely, quantiles_of
from boottop.money.value import amount, value
from tests.money.made import case, inputs, item, sure, way
from tests.money.plain import costs

KNOWN = inputs(
    lift=(300.0, 400.0, 600.0), paint=(500.0, 700.0, 900.0), epoxy=(1800.0, 2200.0, 2600.0), dive=(80.0, 100.0, 150.0),
    soft=(1.2, 2.0, 2.9), hard=(7.0, 10.0, 14.0), growth=(-0.01, 0.0, 0.03),
)  # fmt: skip
ITEMS = (
    item("anyway", "lift"), item("extra lift", "lift"), item("haul-out", "dive"), item("wash visit", "dive"),
    item("yearly", "dive", grows="growth"), item("end", "lift", times=-0.5),
)  # fmt: skip
SOFT = way("soft", *ITEMS, item("renewal", "paint"), item("now", "paint"), life="soft")
HARD = way("hard", *ITEMS, item("renewal", "epoxy"), item("later renewal", "paint"), life="hard", hauled_every=1)
NONE = way("none", *ITEMS)


@pytest.mark.parametrize("anyway", [0, 2, 3])
@pytest.mark.parametrize("unused", [True, False])
@pytest.mark.parametrize("rate", [(0.0, 0.0, 0.0), (0.01, 0.02, 0.06)])
def test_arrays_are_the_plain_loop(anyway: int, unused: bool, *, rate: tuple[float, float, float]) -> None:
    one = case(KNOWN, SOFT, HARD, NONE, years=13, rate=rate, hauled_anyway=anyway, count_unused=unused)
    drawn = draw(one, draws=60, seed=4)
    assert value(one, drawn).cost == pytest.approx(np.array(costs(one, drawn)), rel=1e-9, abs=1e-6)


def test_five_renewals_in_ten_years_by_hand() -> None:
    one = case(inputs(paint=sure(700.0), life=sure(2.0)), way("a", item("renewal", "paint"), life="life"), NONE_AT_ALL)
    found = value(one, likely(one))
    assert found.cost[0, 0] == pytest.approx(3500.0)
    assert found.spent[0, 0].tolist() == pytest.approx([700, 700, 1400, 1400, 2100, 2100, 2800, 2800, 3500, 3500])


NONE_AT_ALL = way("nothing")


def test_the_unused_half_of_a_life_is_given_back() -> None:
    one = case(inputs(paint=sure(1000.0), life=sure(4.0)), way("a", item("renewal", "paint"), life="life"), NONE_AT_ALL)
    found = value(one, likely(one))
    assert (found.spent[0, 0, -1], found.back[0, 0]) == pytest.approx((3000.0, 500.0))


@pytest.mark.parametrize("at", [2.5, 10.0 / 3.0, 5.0, 10.0])
def test_cost_does_not_jump_where_a_renewal_drops_out(at: float) -> None:
    """Just before and after a life that divides the horizon the cost is the same: nothing hangs on rounding."""
    sides = []
    for life in (at * (1.0 - 1e-7), at, at * (1.0 + 1e-7)):
        known = inputs(paint=sure(1000.0), life=sure(life))
        one = case(known, way("a", item("renewal", "paint"), life="life"), NONE_AT_ALL, rate=sure(0.03))
        sides.append(float(value(one, likely(one)).cost[0, 0]))
    assert sides[0] == pytest.approx(sides[1], rel=1e-5)
    assert sides[2] == pytest.approx(sides[1], rel=1e-5)


def test_renewals_ride_on_haul_outs_that_happen_anyway() -> None:
    known = inputs(lift=sure(100.0), life=sure(4.0))
    one = case(known, way("a", item("extra lift", "lift"), life="life"), NONE_AT_ALL, hauled_anyway=2)
    assert value(one, likely(one)).cost[0, 0] == 0.0
    one = case(known, way("a", item("extra lift", "lift"), life="life"), NONE_AT_ALL, hauled_anyway=8)
    assert value(one, likely(one)).cost[0, 0] == pytest.approx(100.0)


def test_a_curve_is_straight_between_points_and_level_beyond() -> None:
    bent = Item(what="x", group="fuel", when="yearly", factors=(), curve=Curve(key="a", at=(1.0, 2.0), values=(10, 30)))
    found = amount(bent, {"a": np.array([0.5, 1.5, 9.0])})
    assert found.tolist() == [10.0, 20.0, 30.0]


def test_triangles_have_their_ends_and_their_mean() -> None:
    one = Input(key="a", words="a", unit="", span=(1.0, 2.0, 6.0))
    shares = (np.arange(200_000) + 0.5) / 200_000
    values = quantiles_of(one, shares)
    assert (values.min(), values.max()) == pytest.approx((1.0, 6.0), abs=0.02)
    assert values.mean() == pytest.approx(3.0, abs=1e-4)
    assert np.mean(values < 2.0) == pytest.approx(0.2, abs=1e-4)


def test_days_of_the_odds_are_drawn_as_often_as_they_came() -> None:
    one = Input(key="days", words="days", unit="days", span=(5.0, 6.0, 9.0), sample=(5.0, 6.0, 6.0, 9.0))
    values = quantiles_of(one, (np.arange(4000) + 0.5) / 4000)
    assert {day: int(np.sum(values == day)) for day in (5.0, 6.0, 9.0)} == {5.0: 1000, 6.0: 2000, 9.0: 1000}


def test_tied_inputs_go_together_and_others_do_not() -> None:
    one = case(inputs(a=(0.0, 1.0, 2.0), b=(0.0, 1.0, 2.0), c=(0.0, 1.0, 2.0)), way("x", item("now", "a")),
               way("y", item("now", "b", "c")))  # fmt: skip
    tied = type(one)(**{**vars(one), "correlations": (Correlation(between=("a", "b"), of_factor=0.6),)})
    drawn = draw(tied, draws=20_000, seed=1)
    matrix = np.corrcoef([drawn[key] for key in "abc"])
    assert matrix[0, 1] == pytest.approx(0.6, abs=0.03)
    assert abs(matrix[0, 2]) < 0.03


def test_ties_that_contradict_each_other_are_refused() -> None:
    doubtful = tuple(inputs(a=(0.0, 1.0, 2.0), b=(0.0, 1.0, 2.0), c=(0.0, 1.0, 2.0)).values())
    ties = (Correlation(between=("a", "b"), of_factor=0.9), Correlation(between=("b", "c"), of_factor=0.9),
            Correlation(between=("a", "c"), of_factor=-0.9))  # fmt: skip
    with pytest.raises(InputError, match="contradict each other"):
        correlation_matrix(doubtful, ties)


def test_the_seed_decides() -> None:
    one = case(KNOWN, SOFT, HARD, rate=(0.01, 0.02, 0.04))
    first, again, other = (value(one, draw(one, draws=50, seed=seed)).cost for seed in (1, 1, 2))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_everything_wrong_with_a_case_is_told_at_once() -> None:
    broken = case(inputs(a=(3.0, 2.0, 1.0), life=sure(0.0)), way("x", item("now", "b"), life="life"), years=99)
    with pytest.raises(InputError) as caught:
        check_case(broken)
    text = str(caught.value)
    assert all(words in text for words in ("rising order", "'b'", "a life of nothing", "1 to 40", "two or more"))
