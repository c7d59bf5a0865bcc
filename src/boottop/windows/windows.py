"""What the weather and the film allow, for one zone and one product: the arrays that plan, board and record read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import Grid

Marks = NDArray[np.int32]


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


@dataclass(frozen=True, kw_only=True)
class Closed:
    """Why a slot is closed: the rule, what it needed and what it had (unit in `unit`)."""

    rule: Rule
    needed: float
    had: float
    unit: str


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
    `drying_decides` (mark,): the drying clock, not the cure clock, set `ready`.
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
    rain: NDArray[np.bool_]
    notes: tuple[str, ...] = ()

    def may_apply(self, duration: int) -> NDArray[np.bool_]:
        """Slots at which a coat lasting `duration` slots may start, shape (slot,): every slot of it open, and no
        rain between its end and the moment it is rain-safe."""
        raise NotImplementedError
