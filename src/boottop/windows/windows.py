"""What the weather and the film allow, for one zone and one product: the arrays that plan, board and record read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR, Grid

Marks = NDArray[np.int32]
Bools = NDArray[np.bool_]


class Rule(IntEnum):
    """The rules that can close a slot, in the order in which they are reported when several hold."""

    OPEN = 0
    NO_WEATHER = 1
    RAIN = 2
    WET_SURFACE = 3
    DEW_MARGIN = 4
    HUMIDITY = 5
    SURFACE_COLD = 6
    SURFACE_HOT = 7
    AIR_COLD = 8
    AIR_HOT = 9
    FALLING_TO_DEW = 10
    OUTSIDE_HOURS = 11
    RAIN_BEFORE_SAFE = 12
    DARK = 13


RULE_TEXT: Mapping[Rule, str] = {
    Rule.OPEN: "open",
    Rule.NO_WEATHER: "no weather known",
    Rule.RAIN: "rain",
    Rule.WET_SURFACE: "surface still wet",
    Rule.DEW_MARGIN: "too close to the dew point",
    Rule.HUMIDITY: "air too humid",
    Rule.SURFACE_COLD: "surface too cold",
    Rule.SURFACE_HOT: "surface too hot",
    Rule.AIR_COLD: "air too cold",
    Rule.AIR_HOT: "air too hot",
    Rule.FALLING_TO_DEW: "surface falling towards the dew point",
    Rule.OUTSIDE_HOURS: "outside working hours",
    Rule.RAIN_BEFORE_SAFE: "rain before the film is rain-safe",
    Rule.DARK: "too dark to see the film",
}


RULE_UNIT: Mapping[Rule, str] = {
    Rule.OPEN: "K",
    Rule.NO_WEATHER: "h",
    Rule.RAIN: "mm",
    Rule.WET_SURFACE: "h",
    Rule.DEW_MARGIN: "K",
    Rule.HUMIDITY: "fraction",
    Rule.SURFACE_COLD: "degC",
    Rule.SURFACE_HOT: "degC",
    Rule.AIR_COLD: "degC",
    Rule.AIR_HOT: "degC",
    Rule.FALLING_TO_DEW: "K",
    Rule.OUTSIDE_HOURS: "",
    Rule.RAIN_BEFORE_SAFE: "h",
    Rule.DARK: "deg",
}
NOT_WEATHER = (Rule.OPEN, Rule.OUTSIDE_HOURS, Rule.DARK)
"""What no change of the weather brings on: the clock and the calendar do."""


@dataclass(frozen=True, kw_only=True)
class Closed:
    """Why a slot is closed: the rule, what it needed and what it had (unit in `unit`, from RULE_UNIT).

    RAIN: mm in the slot. WET_SURFACE: hours until it is dry. NO_WEATHER: hours of weather. RAIN_BEFORE_SAFE: hours
    without rain after the coat. An OPEN slot gives the dew margin, the limit most often nearest.
    """

    rule: Rule
    needed: float
    had: float
    unit: str

    @property
    def text(self) -> str:
        return RULE_TEXT[self.rule]


@dataclass(frozen=True, kw_only=True)
class Band:
    """Marks with their doubt, each shape (mark,) with mark 0..count: index = the mark at which a coat was finished,
    value = the mark at which the state is reached, `grid.beyond` when not within the known weather."""

    early: Marks
    middle: Marks
    late: Marks


@dataclass(frozen=True, kw_only=True)
class ZoneWindows:
    """Windows of one product on one zone, in the open or under the tent.

    `rule` (slot,) is the Rule that closes each slot for applying (OPEN = 0); `needed`, `had` (slot,) go with it.
    `surface_c`, `margin_k` (slot,): the governing (worst) patch, central lane. Bands by finishing mark: `ready`
    (next coat may start), `overcoat_until` (last moment for the next coat to start without sanding), `rain_safe`,
    `stands_safe`, `immersion`. Plans use the cautious edge: ready.late, overcoat_until.early, the others .late.
    All rise with the finishing mark. `overcoat_until` may lie before `ready` on a hot dry day: then no moment is
    right for the next coat, and the planner refuses. `rain` (slot,): rain falls on the zone. `dewy` (slot,): dew
    forms on some patch. `drying_decides` (mark,): in the central lane the drying clock, not the cure clock, set
    `ready`.
    """

    zone: str
    product: str
    under_tent: bool
    grid: Grid
    rule: NDArray[np.int8]
    needed: NDArray[np.float64]
    had: NDArray[np.float64]
    surface_c: NDArray[np.float64]
    margin_k: NDArray[np.float64]
    ready: Band
    overcoat_until: Band
    rain_safe: Band
    stands_safe: Band
    immersion: Band
    rain: Bools
    dewy: Bools
    drying_decides: Bools
    notes: tuple[str, ...] = ()

    def may_apply(self, duration: int) -> Bools:
        """Slots at which a coat lasting `duration` slots may start, shape (slot,): every slot of it open, and no
        rain between its end and the moment it is rain-safe (cautious edge). A longer coat never has a start that a
        shorter one has not."""
        closed = self._next(self.rule != Rule.OPEN)
        starts, ends = self._ends(duration)
        inside = starts + duration <= self.grid.count
        return inside & (closed[starts] >= ends) & (self._rain_free(ends) >= 0)

    def slack(self, duration: int) -> Marks:
        """Slots by which the weather could close in earlier before a coat started in each slot fails, shape (slot,).

        0 where it may not start at all, and where it only just may. Weather closes in when a slot shuts that the coat
        needs, or when rain falls on the film before it is rain-safe; dusk is not weather. The end of the known
        weather counts as closing.
        """
        weather = self._next(~np.isin(self.rule, NOT_WEATHER))
        starts, ends = self._ends(duration)
        spare = np.minimum(weather[starts] - ends, self._rain_free(ends))
        return np.where(self.may_apply(duration), np.maximum(spare, 0), 0).astype(np.int32)

    def closed_at(self, slot: int) -> Closed:
        """What closes one slot for applying; an open one says so, with its dew margin."""
        rule = Rule(int(self.rule[slot]))
        return Closed(rule=rule, needed=float(self.needed[slot]), had=float(self.had[slot]), unit=RULE_UNIT[rule])

    def why_not(self, start: int, duration: int) -> Closed | None:
        """The first thing that forbids a coat of `duration` slots at `start`; None when nothing does."""
        count = self.grid.count
        if start < 0 or start + duration > count:
            return _closed(Rule.NO_WEATHER, needed=duration, had=0 if start < 0 else max(count - start, 0))
        shut = np.flatnonzero(self.rule[start : start + duration] != Rule.OPEN)
        if shut.size:
            return self.closed_at(start + int(shut[0]))
        end = start + duration
        if self._rain_free(np.array([end]))[0] >= 0:
            return None
        rains = int(self._next(self.rain)[end])
        safe = int(self.rain_safe.late[end])
        if rains >= count:
            return _closed(Rule.NO_WEATHER, needed=safe - end, had=count - end)
        return _closed(Rule.RAIN_BEFORE_SAFE, needed=safe - end, had=rains - end)

    def open_spans(self, *, at_least: int = 1) -> tuple[tuple[int, int], ...]:
        """Runs of open slots as (first mark, last mark), those of `at_least` slots or more, in order of time."""
        padded = np.concatenate([[False], self.rule == Rule.OPEN, [False]])
        edges = np.flatnonzero(padded[1:] != padded[:-1])
        return tuple(
            (int(first), int(last))
            for first, last in zip(edges[::2], edges[1::2], strict=True)
            if last - first >= at_least
        )

    def dew_before_safe(self, finish: int) -> int | None:
        """Mark at which dew first forms on a film finished at `finish` that is not yet rain-safe; None if it stays
        clear. No rule of its own: sheets seldom limit it, yet dew on a green film blushes and spots it."""
        until = min(int(self.rain_safe.late[finish]), self.grid.count)
        wet = np.flatnonzero(self.dewy[finish:until])
        return finish + int(wet[0]) if wet.size else None

    def _ends(self, duration: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        if duration < 1:
            raise ValueError(f"a coat takes at least one slot, not {duration}")
        starts = np.arange(self.grid.count)
        return starts, np.minimum(starts + duration, self.grid.count)

    def _next(self, mask: Bools) -> NDArray[np.int64]:
        """First slot from each mark on where `mask` holds, `count` where none does, shape (mark,)."""
        places = np.where(mask, np.arange(mask.size), mask.size)
        return np.append(np.minimum.accumulate(places[::-1])[::-1], mask.size)

    def _rain_free(self, ends: NDArray[np.int64]) -> NDArray[np.int64]:
        """Slots by which the next rain comes after films finished at `ends` are rain-safe; negative: too early, or
        not known. Under the tent the rain does not matter."""
        count = self.grid.count
        if self.under_tent:
            return count - ends
        return self._next(self.rain)[ends] - self.rain_safe.late[ends]


def _closed(rule: Rule, *, needed: int, had: int) -> Closed:
    return Closed(rule=rule, needed=needed / SLOTS_PER_HOUR, had=had / SLOTS_PER_HOUR, unit=RULE_UNIT[rule])
