"""Cut a bound that depends on a time into the fewest pieces of constant lag or constant value.

A bound need only be met up to the next start the bounded task can really take. That play lets a lag that creeps
from slot to slot, or a night's worth of finishing times, fall into one piece.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
FAR = 1 << 40


@dataclass(frozen=True, kw_only=True)
class Piece:
    """From `opens` to `closes` (both among the times asked for) the bound is time + `value`, or just `value`."""

    opens: int
    closes: int
    value: int
    lag: bool


def play_above(bound: Ints, allowed: Ints) -> tuple[Ints, Ints]:
    """Least and greatest bound that mean the same as `start >= bound` for a start among `allowed` (sorted)."""
    at = np.searchsorted(allowed, bound, "left")
    padded = np.concatenate((allowed, [FAR]))
    below = np.concatenate(([-FAR], allowed + 1))
    return below[at], padded[at]


def play_below(bound: Ints, allowed: Ints) -> tuple[Ints, Ints]:
    """Least and greatest bound that mean the same as `start <= bound` for a start among `allowed` (sorted)."""
    at = np.searchsorted(allowed, bound, "right")
    padded = np.concatenate((allowed - 1, [FAR]))
    below = np.concatenate(([-FAR], allowed))
    return below[at], padded[at]


def cut(times: Ints, least: Ints, greatest: Ints) -> list[Piece]:
    """Fewest pieces over sorted `times` whose bound lies within least..greatest at each time.

    Taking the longest piece that still fits, from the left, is optimal: a piece that fits a stretch fits its parts.

    >>> cut(np.array([0, 1, 2, 9]), np.array([5, 6, 7, 30]), np.array([5, 6, 7, 40]))
    [Piece(opens=0, closes=2, value=5, lag=True), Piece(opens=9, closes=9, value=21, lag=True)]
    """
    rows = list(zip(times.tolist(), least.tolist(), greatest.tolist(), strict=True))
    pieces: list[Piece] = []
    at = 0
    while at < len(rows):
        piece, at = _longest(rows, at)
        pieces.append(piece)
    return pieces


def _longest(rows: Sequence[tuple[int, int, int]], at: int) -> tuple[Piece, int]:
    lag_low, lag_high = -2 * FAR, 2 * FAR
    flat_low, flat_high = -2 * FAR, 2 * FAR
    lag = flat = (0, at)
    lag_open = flat_open = True
    end = at
    while end < len(rows) and (lag_open or flat_open):
        time, low, high = rows[end]
        if lag_open:
            lag_low, lag_high = max(lag_low, low - time), min(lag_high, high - time)
            lag_open = lag_low <= lag_high
            if lag_open:
                lag = (_inner(lag_low, lag_high), end)
        if flat_open:
            flat_low, flat_high = max(flat_low, low), min(flat_high, high)
            flat_open = flat_low <= flat_high
            if flat_open:
                flat = (_inner(flat_low, flat_high), end)
        end += 1
    is_lag = lag[1] >= flat[1]
    value, last = lag if is_lag else flat
    return Piece(opens=rows[at][0], closes=rows[last][0], value=value, lag=is_lag), last + 1


def _inner(low: int, high: int) -> int:
    """The end of low..high that is a real time, not a far one (either will do)."""
    return low if abs(low) < FAR // 2 else high


def idle_above(bound: Ints, allowed: Ints) -> bool:
    """Whether `start >= bound` says nothing for a start among `allowed`."""
    return bool((bound <= allowed[0]).all())


def idle_below(bound: Ints, allowed: Ints) -> bool:
    """Whether `start <= bound` says nothing for a start among `allowed`."""
    return bool((bound >= allowed[-1]).all())
