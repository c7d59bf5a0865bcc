"""The time axis of the drawing: the yard's wall clock, with the nights drawn narrower than the working day."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR, Grid

DAY_FROM_MIN, DAY_TO_MIN = 6 * 60, 20 * 60
DAY_PX_PER_H, NIGHT_PX_PER_H = 16.0, 3.0


@dataclass(frozen=True, kw_only=True)
class Tick:
    """A mark on the axis: where, and what is written there."""

    x: float
    text: str


@dataclass(frozen=True, kw_only=True)
class Axis:
    """Marks `first`..`last` of a grid to pixels; `edges` has one x per mark of the whole grid."""

    grid: Grid
    zone: ZoneInfo
    first: int
    last: int
    edges: NDArray[np.float64]

    def x(self, mark: int) -> float:
        """Pixel of a mark, held inside the drawing."""
        held = min(max(mark, self.first), self.last)
        return float(self.edges[held] - self.edges[self.first])

    def at(self, when: datetime) -> float:
        """Pixel of a time, to the nearest mark."""
        return self.x(self.grid.mark_at_or_before(when))

    @property
    def width(self) -> float:
        return self.x(self.last)

    def days(self) -> list[tuple[Tick, float]]:
        """Each local day that shows: where it begins with its date, and where it ends."""
        ordinals, _ = self.grid.local(self.zone)
        shown = ordinals[self.first : self.last]
        edges = [0, *(np.flatnonzero(np.diff(shown)) + 1).tolist(), len(shown)]
        days = []
        for begin, end in itertools.pairwise(edges):
            local = self.grid.time_of(self.first + begin).astimezone(self.zone)
            tick = Tick(x=self.x(self.first + begin), text=f"{local:%a} {local.day} {local:%b}")
            days.append((tick, self.x(self.first + end)))
        return days

    def hours(self, every: tuple[int, ...] = (9, 12, 15, 18)) -> list[Tick]:
        """The hours that are written along each day."""
        _, minutes = self.grid.local(self.zone)
        return [
            Tick(x=self.x(slot), text=str(minutes[slot] // 60))
            for slot in range(self.first, self.last)
            if minutes[slot] % 60 == 0 and minutes[slot] // 60 in every
        ]


def make_axis(grid: Grid, zone: ZoneInfo, *, first: int, last: int) -> Axis:
    """Axis over marks first..last of a grid, in the yard's zone."""
    _, minutes = grid.local(zone)
    daytime = (minutes >= DAY_FROM_MIN) & (minutes < DAY_TO_MIN)
    widths = np.where(daytime, DAY_PX_PER_H, NIGHT_PX_PER_H) / SLOTS_PER_HOUR
    edges = np.concatenate(([0.0], np.cumsum(widths)))
    return Axis(grid=grid, zone=zone, first=max(first, 0), last=min(last, grid.count), edges=edges)
