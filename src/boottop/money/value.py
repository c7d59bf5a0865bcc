"""What each alternative costs: present values of every item in every draw, year by year."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.money.case import Alternative, CostCase, Item, When
from boottop.money.discount import geometric_sum
from boottop.money.draws import Drawn

Floats = NDArray[np.float64]
HAIR = 1e-9
"""An event that would fall on the last day of the span by a rounding error only falls outside it."""


@dataclass(frozen=True, kw_only=True)
class Valued:
    """Present values in minor units. `spent`: paid within so many years from now, shape (alternative, draw, year) for
    years 1 to the horizon; `back`: given back at the horizon, shape (alternative, draw)."""

    spent: Floats
    back: Floats

    @property
    def cost(self) -> Floats:
        """Life-cycle cost, shape (alternative, draw)."""
        return self.spent[:, :, -1] - self.back


def value(case: CostCase, drawn: Drawn) -> Valued:
    """Every alternative in every draw.

    Renewals come when the film's life is over, not at the next whole year, so that no result hangs on rounding; they
    ride on the haul-outs that happen anyway where those are more frequent. What is left of the last renewal's life at
    the horizon is given back in proportion. Source: life-cycle costing as in NIST Handbook 135 and ASTM E917; the
    straight line for the unused life is common practice, no source.
    """
    both = [_value_one(case, one, drawn) for one in case.alternatives]
    return Valued(spent=np.stack([spent for spent, _ in both]), back=np.stack([back for _, back in both]))


def _value_one(case: CostCase, alternative: Alternative, drawn: Drawn) -> tuple[Floats, Floats]:
    sums: dict[tuple[When, str | None], Floats] = defaultdict(lambda: np.zeros(1))
    for item in alternative.items:
        sums[item.when, item.grows] = sums[item.when, item.grows] + amount(item, drawn)
    draws = drawn[case.discount].size
    spent, back = np.zeros((draws, case.horizon_years)), np.zeros(draws)
    times = Times(case, alternative, drawn)
    for (when, grows), minor in sums.items():
        spent = spent + minor[:, None] * times.worth(when, grows)
        back = back + minor * times.unused(when)
    return spent, back


def amount(item: Item, drawn: Drawn) -> Floats:
    """Minor units of an item each time it falls due, shape (draw,)."""
    product = np.full(1, item.times_factor)
    for key in item.factors:
        product = product * drawn[key]
    if item.curve is not None:
        product = product * np.interp(drawn[item.curve.key], item.curve.at, item.curve.values)
    return product


def _interval(years: int) -> Floats:
    return np.full((1, 1), float(years))


class Times:
    """When things fall due in one alternative, as worth today of 1 each time; shapes (draw, year)."""

    def __init__(self, case: CostCase, alternative: Alternative, drawn: Drawn) -> None:
        self._case, self._drawn = case, drawn
        self._years = np.arange(1, case.horizon_years + 1, dtype=np.float64)
        self._rate = drawn[case.discount][:, None]
        self._life = drawn[alternative.life][:, None] if alternative.life else None
        asked = [_interval(one) for one in (case.hauled_anyway, alternative.hauled_every) if one]
        self._anyway = _interval(case.hauled_anyway) if case.hauled_anyway else None
        intervals = [*asked, *([self._life] if self._life is not None else [])]
        self._hauled = np.min(np.broadcast_arrays(*intervals), axis=0) if intervals else None

    def worth(self, when: When, grows: str | None = None) -> Floats:
        """Worth today of 1 each time something falls due within so many years."""
        shape = (self._rate.size, self._years.size)
        if when == "yearly":
            step = (1.0 + (self._drawn[grows][:, None] if grows else 0.0)) / (1.0 + self._rate)
            return np.broadcast_to(step * geometric_sum(step, self._years), shape)
        if when == "end":
            last = self._years == self._years[-1]
            return np.broadcast_to(last * (1.0 + self._rate) ** -self._years, shape)
        return np.broadcast_to(self._events(when), shape)

    def _events(self, when: When) -> Floats:
        if when == "now":
            return np.ones((1, 1))
        hauled = ("haul-out", "extra lift", "wash visit")
        plus = self._hauled if when in hauled else self._anyway if when == "anyway" else self._life
        minus = {"extra lift": self._anyway, "wash visit": self._life}.get(when)
        first = 1.0 if when == "later renewal" and self._life is not None else 0.0
        return self._every(plus) - self._every(minus) - first

    def _every(self, interval_years: Floats | None) -> Floats:
        """Now and every so many years, before the end of the span."""
        if interval_years is None:
            return np.zeros((1, 1))
        count = np.ceil(self._years / interval_years - HAIR)
        return geometric_sum((1.0 + self._rate) ** -interval_years, count)

    def unused(self, when: When) -> Floats:
        """Worth today of what is left at the horizon of 1 spent at the last renewal, shape (draw,)."""
        if self._life is None or not self._case.count_unused or when not in ("renewal", "later renewal"):
            return np.zeros(1)
        life, horizon = self._life[:, 0], float(self._case.horizon_years)
        count = np.ceil(horizon / life - HAIR)
        share = np.where((when == "renewal") | (count > 1.0), (count * life - horizon) / life, 0.0)
        return np.maximum(share, 0.0) * (1.0 + self._rate[:, 0]) ** -horizon
