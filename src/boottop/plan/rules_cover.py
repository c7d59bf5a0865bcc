"""A film in the open or under the tent: the windows of one coating on one zone as the plan may use them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from boottop.windows.windows import Band, Closed, Rule, ZoneWindows

Marks = NDArray[np.int32]
Bools = NDArray[np.bool_]
State = Literal["ready", "rain_safe", "stands_safe", "immersion"]

WATER = (Rule.NO_WEATHER, Rule.RAIN, Rule.WET_SURFACE)


@dataclass(frozen=True, kw_only=True)
class Cover:
    """Windows of one coating on one zone, with (`key` "tent") or without ("open") the tent being hired.

    With the tent, everything inside its span of marks (first, end] is under it: nothing can be done "in the open"
    that day by choosing so. A coat across either edge of the span is refused: nobody sets up or strikes a tent over
    a wet film. Cure that runs across either edge is taken at the later of both clocks, and the rain must keep off
    until the film is rain-safe. All arrays are the cautious edge and shared, so that equal arrays are the same object.
    """

    key: Literal["open", "tent"]
    open: ZoneWindows
    tent: ZoneWindows | None = None
    span: tuple[int, int] = (0, 0)
    made: dict[str, Marks] = field(default_factory=dict, compare=False)

    def may_start(self, slots: int) -> Bools:
        """Slots at which a coat of `slots` slots may start, shape (slot,)."""
        outside = self.open.may_apply(slots)
        if self.tent is None:
            return outside
        inside = self.tent.may_apply(slots) & self._kept_dry(slots)
        return np.where(self._inside(slots), inside, outside & self._outside(slots))

    def all_open(self) -> Bools:
        """Slots in which every limit of the sheet holds, shape (slot,)."""
        return self._slotwise(lambda windows: np.asarray(windows.rule == Rule.OPEN))

    def dry(self) -> Bools:
        """Slots with no rain and no water standing on the surface, shape (slot,)."""
        return self._slotwise(lambda windows: ~np.isin(windows.rule, WATER))

    def slack(self, slots: int) -> Marks:
        """Slots by which the weather could close in earlier before a coat fails, by start, shape (slot,)."""
        outside = self.open.slack(slots)
        if self.tent is None:
            return outside
        return np.where(self._inside(slots), self.tent.slack(slots), outside).astype(np.int32)

    def reached(self, state: State) -> Marks:
        """Mark at which a film finished at each mark surely is in `state`, shape (mark,)."""
        return self._banded(state, lambda band: band.late, np.maximum)

    def sandable(self) -> Marks:
        """Mark from which a film finished at each mark may be sanded, shape (mark,).

        A film that may carry a stand, or that may be launched, is hard enough to be sanded: whichever the sheet
        grants first (common practice, no source).
        """
        if "sandable" not in self.made:
            self.made["sandable"] = np.minimum(self.reached("stands_safe"), self.reached("immersion"))
        return self.made["sandable"]

    def until(self) -> Marks:
        """Last mark at which the next coat may surely start without sanding, shape (mark,)."""
        return self._banded("overcoat_until", lambda band: band.early, np.minimum)

    def why_not(self, start: int, slots: int) -> Closed | None:
        """What forbids a coat of `slots` slots at `start`, None if nothing does."""
        return self.windows_at(start).why_not(start, slots)

    def windows_at(self, slot: int) -> ZoneWindows:
        """The windows that hold in a slot: those under the tent while it stands."""
        under = self.span[0] <= slot < self.span[1]
        return self.tent if self.tent is not None and under else self.open

    def _banded(self, name: str, edge: Callable[[Band], Marks], past: Callable[[Marks, Marks], Marks]) -> Marks:
        if name not in self.made:
            outside = edge(getattr(self.open, name))
            self.made[name] = outside
            if self.tent is not None:
                inside = edge(getattr(self.tent, name))
                first, end = self.span
                mark = np.arange(outside.size)
                slower = past(inside, outside)
                before, under = np.where(outside > first, slower, outside), np.where(inside > end, slower, inside)
                made = np.where(mark <= first, before, np.where(mark <= end, under, outside))
                self.made[name] = made.astype(np.int32)
        return self.made[name]

    def _slotwise(self, read: Callable[[ZoneWindows], Bools]) -> Bools:
        outside = read(self.open)
        return outside if self.tent is None else np.where(self._inside(1), read(self.tent), outside)

    def _inside(self, slots: int) -> Bools:
        start = np.arange(self.open.rule.size)
        return (start >= self.span[0]) & (start + slots <= self.span[1])

    def _outside(self, slots: int) -> Bools:
        start = np.arange(self.open.rule.size)
        return (start + slots <= self.span[0]) | (start >= self.span[1])

    def _kept_dry(self, slots: int) -> Bools:
        """Starts whose film is rain-safe before the tent goes, or sees no rain from then until it is."""
        count, end = self.open.rule.size, self.span[1]
        reached = self.reached("rain_safe")
        safe = np.concatenate([reached[slots:count], np.full(min(slots, count), reached[count])])
        if end >= count:
            return np.asarray(safe <= end)
        rained = np.concatenate([np.zeros(1, dtype=np.int64), np.cumsum(self.open.rain, dtype=np.int64)])
        until = np.clip(safe, end, count)
        return np.asarray((safe <= end) | ((safe <= count) & (rained[until] == rained[min(end, count)])))
