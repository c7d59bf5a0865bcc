"""Arrays that several tasks of a job have in common, or the networks of several members: made once.

Each is found again by all that it is made of, so that it is the same whoever asked first. Nobody writes into them.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from boottop.climate.climate import Climate
from boottop.plan.calendar import Calendar, all_open, calendar_for, finish_at_once, finish_of_work
from boottop.plan.inputs import Crew, PlanInput, Yard

Marks = NDArray[np.int32]
Bools = NDArray[np.bool_]
T = TypeVar("T")


@dataclass(kw_only=True)
class Shared:
    """What was made, by what it was made of."""

    made: dict[Hashable, Any] = field(default_factory=dict)

    def once(self, key: Hashable, make: Callable[[], T]) -> T:
        """What stands under `key`, made now if it is not there yet."""
        if key not in self.made:
            self.made[key] = make()
        found: T = self.made[key]
        return found

    def calendar(self, inputs: PlanInput, climate: Climate) -> Calendar:
        """The calendar of a job on the climate's grid."""
        yard, crew, sun_deg = inputs.yard, inputs.crew, climate.sun_elevation_deg

        def make() -> tuple[Calendar, Yard, Crew]:  # yard and crew are kept, so that no others take their identity
            return calendar_for(yard, crew, grid=climate.grid, sun_elevation_deg=sun_deg), yard, crew

        return self.once(("calendar", id(yard), id(crew), climate.grid, sun_deg.tobytes()), make)[0]

    def straight(self, open_: Bools, slots: int) -> tuple[Bools, Marks]:
        """Slots from which `slots` slots on end are open, and the marks at which such work ends, shape (slot,) each."""

        def make() -> tuple[Bools, Marks]:
            finish = finish_at_once(open_.size, slots)
            return all_open(open_, slots) & (finish <= open_.size), finish

        return self.once(("straight", open_.tobytes(), slots), make)

    def paused(self, parts: Sequence[tuple[Bools, int]]) -> tuple[Bools, Marks]:
        """Slots in which several works, each with its own open slots, may be taken up so that they end within the
        grid when done one after the other, and the marks at which they then end, shape (slot,) each."""

        def make() -> tuple[Bools, Marks]:
            finish = in_turn(parts)
            return parts[0][0] & (finish <= finish.size), finish

        return self.once(("paused", *((open_.tobytes(), slots) for open_, slots in parts)), make)


def in_turn(parts: Sequence[tuple[Bools, int]]) -> Marks:
    """Mark at which several works, each with its own open slots, are done one after the other, by start (slot,)."""
    (open_, slots), *others = parts
    at = finish_of_work(open_, slots)
    for open_, slots in others:
        ends = np.concatenate([finish_of_work(open_, slots), np.full(2, at.size + 1, dtype=np.int32)])
        at = ends[at]
    return at
