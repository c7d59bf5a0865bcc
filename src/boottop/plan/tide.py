"""Water over a sill: which lifts have enough of it, and when the high waters are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOT_S, SLOTS_PER_HOUR, Grid
from boottop.plan.tide_constants import TideStation
from boottop.plan.tide_heights import heights_m

Floats = NDArray[np.float64]
APART = 3 * SLOTS_PER_HOUR
"""Slots on either side within which only the higher of two high waters counts: double high waters stand two to three
hours apart, true ones six and more (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Sill:
    """What the keel must pass: the floor of dock, slip or cradle, `floor_m` above the `datum` of the station.

    `needed_m`: draft and clearance, the least water over it in which this boat is moved.
    """

    station: TideStation
    datum: str
    floor_m: float
    needed_m: float


@dataclass(frozen=True, kw_only=True)
class LiftWater:
    """A lift and the least water over the sill while it lasts."""

    slot: datetime
    least_m: float


def water_m(sill: Sill, epoch_s: NDArray[np.int64]) -> Floats:
    """Water over the sill, m, at times in seconds since 1970 UTC, shape (time,); negative where it falls dry.

    Height above a datum = mean sea level above that datum + height above mean sea level.
    """
    datums = sill.station.datums_m
    return heights_m(sill.station, epoch_s) + (datums["MSL"] - datums[sill.datum] - sill.floor_m)


def lifts_water(sill: Sill, slots: Sequence[datetime], *, lift_h: float) -> tuple[LiftWater, ...]:
    """The least water over the sill during a lift from each slot (aware UTC, on the quarter of an hour).

    Looked at every quarter of an hour, both ends included: between two of them a half-day tide of 3 m amplitude
    stands at most 6 mm lower (A w^2 dt^2 / 8).
    """
    if not slots:
        return ()
    starts = np.array([int(slot.timestamp()) for slot in slots], dtype=np.int64)
    times = starts[:, np.newaxis] + SLOT_S * np.arange(lift_slots(lift_h) + 1)
    unique, which = np.unique(times, return_inverse=True)
    least = water_m(sill, unique)[which.reshape(times.shape)].min(axis=1)
    return tuple(LiftWater(slot=slot, least_m=float(low)) for slot, low in zip(slots, least, strict=True))


def lift_slots(lift_h: float) -> int:
    """Whole slots that hold a lift, one at least."""
    return max(1, math.ceil(round(lift_h * SLOTS_PER_HOUR, 6)))


def high_water_lifts(sill: Sill, grid: Grid, *, lift_h: float) -> tuple[LiftWater, ...]:
    """For each high water the slot of the grid from which a lift has the most water at its least.

    On an even tide that lift has high water in its middle; of two high waters within three hours the higher counts.
    """
    slots = lift_slots(lift_h)
    first = int(grid.start.timestamp()) - SLOT_S * APART
    marks = first + SLOT_S * np.arange(grid.count + 2 * APART + slots, dtype=np.int64)
    least = np.lib.stride_tricks.sliding_window_view(water_m(sill, marks), slots + 1).min(axis=1)
    around = np.lib.stride_tricks.sliding_window_view(least, 2 * APART + 1)
    inner = least[APART : APART + grid.count]
    tops = (inner >= around.max(axis=1)) & (around.argmax(axis=1) == APART)
    return tuple(
        LiftWater(slot=datetime.fromtimestamp(int(marks[APART + top]), tz=UTC), least_m=float(inner[top]))
        for top in np.flatnonzero(tops)
    )
