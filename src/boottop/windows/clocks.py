"""Cure clocks: from the surface temperature to the mark at which a state is reached, for every finishing mark."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR
from boottop.windows.rates import LOW_C, STEP_K

Floats = NDArray[np.float64]
Marks = NDArray[np.int32]
ROUND_OFF = 1e-9


@njit(cache=True, nogil=True)
def _run_clock(surface_c, rates, cumulative):  # type: ignore[no-untyped-def] # arrays, typed by the compiler
    last = rates.shape[0] - 2
    total = 0.0
    cumulative[0] = 0.0
    for slot in range(surface_c.shape[0]):
        place = (np.float64(surface_c[slot]) - LOW_C) / STEP_K
        place = min(max(place, 0.0), last + 1.0)
        node = min(int(place), last)
        share = place - node
        total += ((1.0 - share) * rates[node] + share * rates[node + 1]) / SLOTS_PER_HOUR
        cumulative[slot + 1] = total


@njit(cache=True, nogil=True)
def _clock_marks(case, not_after, out):  # type: ignore[no-untyped-def] # arrays, typed by the compiler
    surface_c, rates = case
    patches, lanes, slots = surface_c.shape
    cumulative = np.empty(slots + 1)
    for lane in range(lanes):
        for patch in range(patches):
            _run_clock(surface_c[patch, lane], rates[lane], cumulative)
            reached = 0
            for mark in range(slots + 1):
                target = cumulative[mark] + 1.0
                while reached <= slots and cumulative[reached] < target - ROUND_OFF:
                    reached += 1
                if not not_after:
                    out[lane, mark] = max(out[lane, mark], reached)
                elif reached <= slots and cumulative[reached] > target + ROUND_OFF:
                    out[lane, mark] = min(out[lane, mark], reached - 1)
                else:
                    out[lane, mark] = min(out[lane, mark], reached)


def clock_marks(surface_c: NDArray[np.float32], rates: Floats, *, not_after: bool = False) -> Marks:
    """Mark at which a clock started at each finishing mark has run once round, shape (lane, mark).

    The clock is A(t) = integral of rate(T) dt from the END of the coat, the surface temperature holding through its
    slot. `surface_c` is (patch, lane, slot), `rates` (lane, node) from `rate_table`. The worst patch decides: the
    latest for a state to wait for, rounded up to a mark; with `not_after` the earliest, rounded down, for a moment
    that must not be missed. The number of slots plus one stands for "not within the known weather". All finishing
    marks come from one cumulative sum and two pointers, so a later finish is never reached earlier.

    Source: equivalent age, EN 1992-1-1:2004 Annex B Eq. B.10, B.11 (form read).

    >>> twenty_c = np.full((1, 1, 12), 20.0, dtype=np.float32)
    >>> clock_marks(twenty_c, np.full((1, 1401), 1.0)).tolist()
    [[4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 13, 13, 13]]
    """
    _, lanes, slots = surface_c.shape
    out = np.full((lanes, slots + 1), slots + 1 if not_after else 0, dtype=np.int32)
    _clock_marks((surface_c, rates), not_after, out)
    return out
