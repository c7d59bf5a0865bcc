"""Cure clocks: start at the end of the coat, worst patch, rounding to the safe side, the end of the weather."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from boottop.coating.sheet import Times
from boottop.windows.clocks import clock_marks
from boottop.windows.rates import LEAST_ENERGY_J_MOL, STALL_K, Lanes, nodes_c, rate_table
from tests.windows.windows_made import daily, naive_marks, steady

TIMES = Times(temperature_c=(10.0, 20.0, 30.0), hours=(3.0, 1.4, 0.8))
ONE = Lanes(time_factor=(1.0,), energy_shift_j_mol=(0.0,))


def _rates(times: Times = TIMES, lanes: Lanes = ONE, *, stalls_below_c: float | None = None) -> np.ndarray:
    return rate_table(times, lanes, energy_j_mol=None, stalls_below_c=stalls_below_c)


@pytest.mark.parametrize("not_after", [False, True])
def test_same_as_a_plain_loop_from_every_mark(not_after: bool) -> None:
    surface_c = daily(days=4)
    fast = clock_marks(surface_c.astype(np.float32), _rates(), not_after=not_after)[0]
    assert fast.tolist() == naive_marks(surface_c[0, 0], TIMES, not_after=not_after)


def test_a_printed_time_comes_out_to_the_slot() -> None:
    """1.4 h at 20 degC: not before 1 h 30 min (rounded up), not after 1 h 15 min (rounded down)."""
    twenty = steady(20.0, hours=10).astype(np.float32)
    assert clock_marks(twenty, _rates())[0, :3].tolist() == [6, 7, 8]
    assert clock_marks(twenty, _rates(), not_after=True)[0, :3].tolist() == [5, 6, 7]


def test_a_time_of_whole_slots_is_the_same_both_ways() -> None:
    whole = Times(temperature_c=(20.0,), hours=(0.3,))
    for hours, slots in ((0.25, 1), (1.5, 6), (72.0, 288)):
        table = _rates(Times(temperature_c=whole.temperature_c, hours=(hours,)))
        twenty = steady(20.0, hours=80).astype(np.float32)
        assert clock_marks(twenty, table)[0, 0] == slots
        assert clock_marks(twenty, table, not_after=True)[0, 0] == slots


def test_only_the_time_after_the_coat_counts() -> None:
    """A hot spell that ends as the coat ends does nothing for it."""
    surface_c = steady(10.0, hours=24)
    surface_c[0, 0, :40] = 35.0
    assert clock_marks(surface_c.astype(np.float32), _rates())[0, 40] == 52


def test_worst_patch_decides_both_ways() -> None:
    surface_c = np.concatenate([steady(10.0, hours=24), steady(30.0, hours=24)]).astype(np.float32)
    assert clock_marks(surface_c, _rates())[0, 0] == 12
    assert clock_marks(surface_c, _rates(), not_after=True)[0, 0] == 3


def test_beyond_is_one_past_the_last_mark() -> None:
    twenty = steady(20.0, hours=4).astype(np.float32)
    after, until = clock_marks(twenty, _rates()), clock_marks(twenty, _rates(), not_after=True)
    assert after[0, 9:12].tolist() == [15, 16, 17]
    assert until[0, 9:12].tolist() == [14, 15, 17]
    assert after[0, 16] == until[0, 16] == 17


def test_within_the_print_only_the_time_factor_moves_the_rate() -> None:
    wide = Lanes(time_factor=(1.0, 2.0), energy_shift_j_mol=(8000.0, 0.0))
    table = rate_table(TIMES, wide, energy_j_mol=None, stalls_below_c=None)
    printed = (nodes_c() >= 10.0) & (nodes_c() <= 30.0)
    plain = _rates()[0]
    assert table[0, printed] == pytest.approx(plain[printed], rel=1e-12)
    assert table[1] == pytest.approx(0.5 * plain, rel=1e-12)
    assert (table[0, nodes_c() < 9.9] < plain[nodes_c() < 9.9]).all()
    assert (table[0, nodes_c() > 30.1] > plain[nodes_c() > 30.1]).all()


def test_a_wild_draw_of_the_energy_still_cures_faster_when_warmer() -> None:
    wild = Lanes(time_factor=(1.0,), energy_shift_j_mol=(-80_000.0,))
    table = rate_table(Times(temperature_c=(20.0,), hours=(1.0,)), wild, energy_j_mol=None, stalls_below_c=None)[0]
    assert (np.diff(table) > 0.0).all()
    change = np.log(table[-1] / table[0]) * 8.314462618 / (1.0 / 233.15 - 1.0 / 373.15)
    assert change == pytest.approx(LEAST_ENERGY_J_MOL, rel=1e-6)


def test_the_stall_is_a_ramp_not_a_cliff() -> None:
    plain, ramped = _rates()[0], _rates(stalls_below_c=8.0)[0]
    node = nodes_c()
    assert ramped[node >= 8.0] == pytest.approx(plain[node >= 8.0], rel=1e-12)
    assert ramped[node <= 8.0 - STALL_K - 0.05].max() == 0.0
    halfway = int(np.argmin(abs(node - (8.0 - STALL_K / 2.0))))
    assert ramped[halfway] == pytest.approx(0.5 * plain[halfway], rel=1e-9)
    assert max(abs(after - before) for before, after in pairwise(ramped[node < 20.0])) < 0.01


def test_a_film_that_stalls_overnight_cures_in_the_morning() -> None:
    surface_c = steady(2.0, hours=48)
    surface_c[0, 0, 96:] = 20.0
    assert clock_marks(surface_c.astype(np.float32), _rates(stalls_below_c=8.0))[0, 20] == 96 + 6


def test_a_hairs_difference_in_temperature_moves_no_mark_far() -> None:
    """With a cut-off at the limit the mark would jump by the whole night."""
    surface_c = daily(days=4)
    low, high = (
        clock_marks((surface_c + shift_k).astype(np.float32), _rates(stalls_below_c=8.0))[0] for shift_k in (0.0, 0.02)
    )
    assert (low - high).min() >= 0
    assert (low - high).max() <= 1


def test_temperatures_off_the_table_are_held_at_its_ends() -> None:
    for temperature_c in (-60.0, 120.0):
        surface_c = steady(temperature_c, hours=4).astype(np.float32)
        assert clock_marks(surface_c, np.full((1, nodes_c().size), 1.0))[0, 0] == 4


def test_quarter_hours_lose_less_than_a_minute_against_single_minutes() -> None:
    """The same smooth days in minutes (the printed hours times 15) and in slots, each holding its middle."""
    minute = np.arange(4 * 1440) + 0.5
    fine_c = 16.0 + 9.0 * np.sin(2.0 * np.pi * minute / 1440.0) + 2.0 * np.sin(2.0 * np.pi * minute / 200.0)
    slots_c = fine_c.reshape(-1, 15)[:, 7]
    slow = Times(temperature_c=TIMES.temperature_c, hours=tuple(15.0 * hours for hours in TIMES.hours))
    minutes = clock_marks(fine_c[None, None].astype(np.float32), _rates(slow))[0, ::15]
    slots = clock_marks(slots_c[None, None].astype(np.float32), _rates())[0]
    within = (minutes <= fine_c.size) & (slots <= slots_c.size)
    rounded_up = (15 * slots - minutes)[within]
    assert within.sum() > 350
    assert rounded_up.min() >= -1
    assert rounded_up.max() <= 15
