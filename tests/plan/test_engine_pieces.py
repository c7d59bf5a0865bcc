"""Pieces say exactly what the table says, for any table, and one lag is one piece."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from boottop.plan.model_pieces import cut, play_above, play_below

TOP = 30
tables = st.lists(
    st.tuples(st.integers(0, TOP), st.integers(0, TOP)), min_size=1, max_size=20, unique_by=lambda t: t[0]
)
open_starts = st.sets(st.integers(0, TOP), min_size=1, max_size=12)


def _bounds(pieces: list[tuple[int, int, int, bool]], time: int) -> int:
    return next(value + time if lag else value for opens, closes, value, lag in pieces if opens <= time <= closes)


@given(table=tables, open_set=open_starts)
def test_pieces_allow_the_same_starts(table: list[tuple[int, int]], open_set: set[int]) -> None:
    rows = sorted(table)
    times = np.array([time for time, _ in rows], np.int64)
    bound = np.array([value for _, value in rows], np.int64)
    allowed = np.array(sorted(open_set), np.int64)
    above = [(p.opens, p.closes, p.value, p.lag) for p in cut(times, *play_above(bound, allowed))]
    below = [(p.opens, p.closes, p.value, p.lag) for p in cut(times, *play_below(bound, allowed))]
    for time, value in rows:
        assert [s for s in allowed if s >= _bounds(above, time)] == [s for s in allowed if s >= value]
        assert [s for s in allowed if s <= _bounds(below, time)] == [s for s in allowed if s <= value]


def _fewest(rows: list[tuple[int, int]]) -> int:
    """Fewest pieces without play, by trying every place for the last cut."""
    best = [0]
    for end in range(1, len(rows) + 1):
        fits = [
            start
            for start in range(end)
            if len({v - t for t, v in rows[start:end]}) == 1 or len({v for _, v in rows[start:end]}) == 1
        ]
        best.append(1 + min(best[start] for start in fits))
    return best[-1]


@given(table=tables)
def test_no_fewer_pieces_would_do(table: list[tuple[int, int]]) -> None:
    rows = sorted(table)
    bound = np.array([value for _, value in rows], np.int64)
    assert len(cut(np.array([time for time, _ in rows], np.int64), bound, bound)) == _fewest(rows)


def test_play_swallows_a_creeping_lag() -> None:
    times = np.arange(8, dtype=np.int64)
    bound = times + np.array([10, 11, 10, 12, 11, 10, 12, 11])
    allowed = np.array([9, 25, 26], np.int64)
    assert len(cut(times, bound, bound)) == 4
    assert len(cut(times, *play_above(bound, allowed))) == 1
