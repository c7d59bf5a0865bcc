"""The plan's windows over years at a time: the same starts, found by two pointers and kept for the next who asks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numba import njit
from numpy.typing import NDArray

from boottop.plan.inputs import WindowKey
from boottop.windows.windows import Bools, Marks, Rule, ZoneWindows


@njit(cache=True, nogil=True)
def _next_true(mask, out):  # type: ignore[no-untyped-def] # arrays, typed by the compiler
    count = mask.shape[0]
    out[count] = count
    for slot in range(count - 1, -1, -1):
        out[slot] = slot if mask[slot] else out[slot + 1]


@njit(cache=True, nogil=True)
def _may_apply(nexts, safe, duration, out):  # type: ignore[no-untyped-def] # noqa: PLR0917 - arrays and a number, typed by the compiler
    closes, rains = nexts
    for start in range(out.shape[0] - duration + 1):
        end = start + duration
        out[start] = closes[start] >= end and rains[end] >= safe[end]


@dataclass(frozen=True, kw_only=True)
class LongWindows(ZoneWindows):
    """Windows that are asked the same thing by many options. Slack is not reckoned: nothing in the odds reads it."""

    @cached_property
    def _starts(self) -> dict[int, Bools]:
        return {}

    @cached_property
    def _nexts(self) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
        """First closed slot and first slot with rain from each mark on; under the tent no rain comes."""
        closes, rains = (np.empty(self.grid.count + 1, np.int32) for _ in range(2))
        _next_true(self.rule != Rule.OPEN, closes)
        _next_true(np.zeros_like(self.rain) if self.under_tent else self.rain, rains)
        return closes, rains

    @cached_property
    def _safe(self) -> Marks:
        return np.zeros(self.grid.count + 1, np.int32) if self.under_tent else self.rain_safe.late

    @cached_property
    def _no_slack(self) -> Marks:
        return np.zeros(self.grid.count, np.int32)

    def may_apply(self, duration: int) -> Bools:
        """As of the plan's windows, slot by slot."""
        if duration < 1:
            raise ValueError(f"a coat takes at least one slot, not {duration}")
        if duration not in self._starts:
            out = np.zeros(self.grid.count, np.bool_)
            _may_apply(self._nexts, self._safe, duration, out)
            self._starts[duration] = out
        return self._starts[duration].copy()

    def slack(self, duration: int) -> Marks:
        """Nothing to spare, whatever the duration."""
        return self._no_slack


def long_windows(windows: Mapping[WindowKey, ZoneWindows]) -> dict[WindowKey, ZoneWindows]:
    """The same windows for many options."""
    return {
        key: LongWindows(**{field.name: getattr(one, field.name) for field in fields(one)})
        for key, one in windows.items()
    }
