"""Equivalent age by our cure clock against EN 1992-1-1:2004 Annex B Eq. B.10 (formula read; numbers our own pins)."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from boottop.coating.sheet import Times
from boottop.coating.times import GAS_CONSTANT_J_MOLK
from boottop.windows.clocks import clock_marks
from boottop.windows.rates import Lanes, rate_table

ENERGY_J_MOL = 4000.0 * GAS_CONSTANT_J_MOLK
COUNTED_FROM = 0.15
"""The standard counts kelvins as 273 + T, we as 273.15 + T: its 10 degC is our 9.85."""
UNIT_AT_C = 4000.0 / 13.65 - 273.0 - COUNTED_FROM
"""Where its age factor is 1 (20.04 degC): the time at which an hour counts as an hour."""


def _marks(surface_c: list[float], age_h: float) -> int:
    """Slots until our clock reaches an equivalent age, started at the first slot."""
    table = rate_table(
        Times(temperature_c=(UNIT_AT_C,), hours=(age_h,)),
        Lanes(time_factor=(1.0,), energy_shift_j_mol=(0.0,)),
        energy_j_mol=ENERGY_J_MOL,
        stalls_below_c=None,
    )
    shifted: NDArray[np.float32] = (np.array(surface_c) - COUNTED_FROM).astype(np.float32)
    return int(clock_marks(shifted[None, None], table)[0, 0])


def _age_h(surface_c: list[float]) -> float:
    """Age that the clock has reached when the last slot ends: the largest it still reaches within them."""
    low, high = 0.0, 1000.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if middle > 0.0 and _marks(surface_c, middle) <= len(surface_c) else (low, middle)
    return low


@pytest.mark.parametrize(("temperature_c", "factor"), [(10, 0.61614), (15, 0.78750), (20, 0.99812), (30, 1.56624)])
def test_age_factor(temperature_c: float, factor: float) -> None:
    """100 h at one temperature; half the last digit, relative 2e-5."""
    assert _age_h([temperature_c] * 400) / 100.0 == pytest.approx(factor, rel=2e-5)


def test_a_history() -> None:
    """6 h at 10, 6 h at 15, 12 h at 20 degC: 20.399 h of equivalent age (our own history)."""
    assert _age_h([10.0] * 24 + [15.0] * 24 + [20.0] * 48) == pytest.approx(20.399, abs=5e-4)
