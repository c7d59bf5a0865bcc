"""How far the work has come when a plan is made anew: facts, in aware UTC, whatever the rules say of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from boottop.plan.plan import Plan

Touch = Literal["", "wet", "tacky", "past tacky"]
Way = Literal["day", "days", "sand"]
Part = tuple[str, str | None, int | None]
"""Kind, zone and coat of a deed or of a line of the plan."""

TOUCH_HOLDS = timedelta(minutes=10)
"""A touch test speaks for ten minutes, as on the board (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Deed:
    """One piece of work that was done or is in hand.

    `kind` from plan.tasks.TASK_KINDS; `zone` None for the boat as a whole; `coat`, `product` of a coat. `end` None:
    in hand, begun at `start`. `start` None: not written down. `people` None: not written down. `touch` at `touched`:
    the last touch test of a finished coat, which goes before the clock. `rained`: rain fell on the film before it
    was rain-safe. `name` of one of the owner's own jobs.
    """

    kind: str
    zone: str | None = None
    start: datetime | None = None
    end: datetime | None = None
    coat: int | None = None
    product: str | None = None
    people: int | None = None
    touch: Touch = ""
    touched: datetime | None = None
    rained: bool = False
    name: str = ""

    @property
    def place(self) -> Part:
        """What was done, where, and which coat."""
        return self.kind, self.zone, self.coat

    @property
    def latest(self) -> datetime:
        """The last moment that is known of it."""
        when = self.end or self.start
        if when is None:
            raise ValueError(f"{self.kind} on {self.zone or 'the boat'}: neither start nor end")
        return when


@dataclass(frozen=True, kw_only=True)
class Progress:
    """The state of the work at a moment. `hired`: options that are paid for already. `before`: the plan followed so
    far; where no other is cheaper or sooner afloat, what is still to come of it stays where it was. `film`:
    by product, the factor on its clock that touch tests taught; the windows have it already.
    """

    at: datetime
    deeds: tuple[Deed, ...] = ()
    hired: tuple[str, ...] = ()
    before: Plan | None = None
    film: tuple[tuple[str, float], ...] = ()

    def of(self, kind: str, zone: str | None = None) -> list[Deed]:
        """Deeds of one kind on one zone, in order of time."""
        found = [deed for deed in self.deeds if deed.kind == kind and deed.zone == zone]
        return sorted(found, key=lambda deed: deed.latest)

    def own_job(self, name: str) -> Deed | None:
        """What is known of one of the owner's own jobs."""
        return next((deed for deed in self.deeds if deed.kind == "extra" and deed.name == name), None)

    @property
    def hauled(self) -> datetime | None:
        """When she was hauled out: as written down, else when the first thing ashore was begun; None before it."""
        lifted = self.of("haul_out")
        times = [deed.start or deed.latest for deed in lifted or self.deeds if deed.kind != "launch"]
        return min(times) if times else None


@dataclass(frozen=True, kw_only=True)
class Retreat:
    """How far a zone has to fall back from the sheet's way.

    "day": its other coats go on another day while the last still takes them; "days": on several days, each while the
    one before takes it; "sand": the last coat is let cure and sanded first.
    """

    zone: str
    way: Way
    because: str
