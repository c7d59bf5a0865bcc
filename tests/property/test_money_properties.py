"""What must hold of money, drag and proof whatever is put in."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.money.decide import decide
from boottop.money.discount import capital_recovery, economic_life, real_rate, uniform_present_value
from boottop.money.draws import draw, likely
from boottop.money.fouling import Growth, roughness_um
from boottop.money.friction import LINES, in_range, rough_friction
from boottop.money.fuel import FUELS, Drive, added_litres_h
from boottop.money.value import value
from tests.money.made import case, inputs, item, sure, way

AMOUNT = st.floats(1.0, 1e6)
LIFE = st.floats(0.5, 30.0)
RATE = st.floats(0.0, 0.2)
YEARS = st.integers(1, 40)


@given(rate=RATE, years=YEARS)
def test_an_annuity_and_its_recovery_undo_each_other(rate: float, years: int) -> None:
    assert uniform_present_value(rate, years) * capital_recovery(rate, years) == pytest.approx(1.0)
    assert uniform_present_value(rate, years) <= years + 1e-9


@given(real=st.floats(-0.04, 0.2), inflation=st.floats(0.0, 0.2))
def test_fisher_undoes_itself(real: float, inflation: float) -> None:
    assert real_rate((1 + real) * (1 + inflation) - 1, inflation) == pytest.approx(real, abs=1e-12)


@given(paint=AMOUNT, life=LIFE, rate=RATE, years=YEARS)
def test_a_longer_life_never_costs_more(paint: float, life: float, *, rate: float, years: int) -> None:
    costs = []
    for one in (life, 1.3 * life):
        made = case(inputs(paint=sure(paint), life=sure(one)), way("a", item("renewal", "paint"), life="life"),
                    way("b"), rate=sure(rate), years=years)  # fmt: skip
        costs.append(float(value(made, likely(made)).cost[0, 0]))
    assert costs[1] <= costs[0] * (1.0 + 1e-9)
    assert costs[0] >= 0.0


@given(paint=AMOUNT, life=LIFE, rate=RATE, years=YEARS)
def test_a_horizon_cut_in_two_is_no_dearer_than_its_parts(
    paint: float, life: float, *, rate: float, years: int
) -> None:
    """What is spent is spent year by year: later years never take anything back but the unused life at the end."""
    made = case(inputs(paint=sure(paint), life=sure(life)), way("a", item("renewal", "paint"), life="life"),
                way("b"), rate=sure(rate), years=years)  # fmt: skip
    found = value(made, likely(made))
    assert np.all(np.diff(found.spent[0, 0]) >= -1e-9 * paint)
    assert 0.0 <= found.back[0, 0] <= paint


@given(scale=st.floats(0.01, 100.0), seed=st.integers(0, 99))
@settings(max_examples=20)
def test_the_choice_does_not_hang_on_the_currency(scale: float, seed: int) -> None:
    def made(by: float) -> object:
        known = inputs(paint=(500e2 * by, 700e2 * by, 900e2 * by), epoxy=(1500e2 * by, 2500e2 * by, 4000e2 * by),
                       life=sure(2.0), long=(8.0, 10.0, 14.0))  # fmt: skip
        one = case(known, way("soft", item("renewal", "paint"), life="life"),
                   way("hard", item("renewal", "epoxy"), life="long"), rate=(0.01, 0.02, 0.04))  # fmt: skip
        found = decide(one, draws=200, seed=seed)
        return found.best, [one.cheapest_share for one in found.outcomes]

    assert made(1.0) == made(scale)


@given(
    spans=st.lists(st.tuples(st.floats(-5, 5), st.floats(0, 3), st.floats(0, 3)), min_size=1, max_size=5),
    seed=st.integers(0, 9),
)
def test_draws_stay_within_their_ranges(spans: list[tuple[float, float, float]], seed: int) -> None:
    known = inputs(**{f"i{n}": (low, low + up, low + up + more) for n, (low, up, more) in enumerate(spans)})
    made = case(known, way("a", *(item("now", key) for key in known)), way("b"))
    for key, values in draw(made, draws=64, seed=seed).items():
        if key in known:
            low, _, high = known[key].span
            assert low - 1e-9 <= values.min()
            assert values.max() <= high + 1e-9


@given(first=AMOUNT, upkeep=st.lists(st.floats(0.0, 1e4), min_size=1, max_size=20), rate=RATE)
def test_the_best_interval_is_the_cheapest_one(first: float, upkeep: list[float], rate: float) -> None:
    found = economic_life(first, upkeep, rate=rate)
    assert found.annual[found.best_years - 1] == min(found.annual)


@given(
    log_re=st.floats(5.0, 10.0), log_ratio=st.floats(-7.0, -2.7), line=st.sampled_from(sorted(LINES)),
    more=st.floats(1.01, 10.0),
)  # fmt: skip
def test_rougher_is_never_slipperier(log_re: float, log_ratio: float, *, line: str, more: float) -> None:
    reynolds, ratio = 10.0**log_re, 10.0**log_ratio
    smooth, rough, rougher = (float(rough_friction(reynolds, one, line=line)) for one in (0.0, ratio, more * ratio))  # type: ignore[arg-type]  # drawn from the registry
    assert smooth <= rough <= rougher
    assert bool(in_range(reynolds, ratio))


@given(speed=st.floats(1.0, 8.0), um=st.floats(0.0, 10_000.0), area=st.floats(5.0, 200.0))
def test_litres_grow_with_area_and_speed(speed: float, um: float, *, area: float) -> None:
    drive = Drive(length_m=12.0, wetted_m2=area, cruise_m_s=4.0, burn_l_h=10.0, fuel=FUELS["diesel"])
    litres = float(added_litres_h(drive, speed, um))
    assert litres >= 0.0
    assert float(added_litres_h(replace(drive, wetted_m2=2 * area), speed, um)) == pytest.approx(2 * litres)
    assert float(added_litres_h(drive, 1.1 * speed, um)) >= litres


@given(
    clean=st.floats(1.0, 1000.0), foul=st.floats(1.0, 5000.0), after=st.floats(24.0, 9000.0), pace=st.floats(0.1, 10.0)
)
def test_fouling_never_shrinks_and_never_passes_its_worst(
    clean: float, foul: float, *, after: float, pace: float
) -> None:
    growth = Growth(clean_um=clean, foul_um=foul, after_h=after, worst_um=3000.0)
    um = roughness_um(growth, np.linspace(0.0, 4 * after, 50), pace)
    assert np.all(np.diff(um) >= -1e-9)
    assert um.max() <= max(3000.0, clean) + 1e-6
    assert um[0] == pytest.approx(min(clean, max(3000.0, clean)))
