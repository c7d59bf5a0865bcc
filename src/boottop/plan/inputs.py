"""The yard, the crew and what they may hire: input of the planning room, in SI and aware UTC."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Literal, NamedTuple

from boottop.coating.sheet import System

SidesRule = Literal["one_day", "side_a_day", "either"]
FirstSide = Literal["port", "starboard", "either"]


class WindowKey(NamedTuple):
    """Which ZoneWindows: of this product on this zone, in the open or under the tent."""

    zone: str
    product: str
    under_tent: bool


@dataclass(frozen=True, kw_only=True)
class Hours:
    """Opening or working hours of one weekday (0 Monday .. 6 Sunday), local wall clock.

    Several a weekday leave a break between them. `closes` 00:00 stands for the midnight that ends the day.
    """

    weekday: int
    opens: time
    closes: time


@dataclass(frozen=True, kw_only=True)
class Yard:
    """The yard's terms. `lift_slots`: aware UTC times the crane can take this boat (haul-out and launch alike).

    `stand_move_h`: hours it takes the yard to move all stands; `stand_lead_h`: notice it wants. `hours` open hours
    by weekday, `closed` holidays (local dates). `day_charge_minor` for each day ashore begun. `tidal`: the lift slots
    are those with the water for her, so that no other hour may be offered.
    """

    name: str
    zone_name: str
    hours: tuple[Hours, ...]
    closed: tuple[date, ...]
    lift_slots: tuple[datetime, ...]
    lift_h: float
    lift_charge_minor: int
    stand_move_h: float
    stand_lead_h: float
    day_charge_minor: int
    wash_h: float
    sanding_allowed: bool = True
    tidal: bool = False


@dataclass(frozen=True, kw_only=True)
class Crew:
    """Who works. `rates_m2_h`: m2 per hour and person by kind of work, `fixed_h`: set-up hours whatever the area.

    Keys of both are plan.tasks.WORK_KEYS (strip, abrade, mask, wipe, roll, activate); each of them that the job
    needs must stand in one of the two. `hour_cost_minor` per person hour (zero is a choice); a hired helper's hours
    are in his hire.
    """

    people: int
    hours: tuple[Hours, ...]
    rates_m2_h: Mapping[str, float]
    fixed_h: Mapping[str, float]
    hour_cost_minor: int


@dataclass(frozen=True, kw_only=True)
class Hire:
    """What may be hired if it pays: a tent over the boat from-to, an extra helper. None = not on offer."""

    tent_from: datetime | None = None
    tent_to: datetime | None = None
    tent_cost_minor: int = 0
    helper_people: int = 0
    helper_cost_minor: int = 0


@dataclass(frozen=True, kw_only=True)
class ExtraJob:
    """A job of the owner's own, done in the crew's hours between wash and launch; it may pause over a night.

    `after` / `before` name task kinds (plan.tasks.TASK_KINDS) or other extra jobs. `dry_weather`: not while it rains.
    """

    name: str
    duration_h: float
    people: int = 1
    after: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    dry_weather: bool = False


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What the owner wants. `wanted_launch` local date; `late_day_minor` what each day after it costs her.

    `strip`: old paint comes off. `dry_h`: hours the laminate is to dry after stripping. `caution` 0.5..0.95: which
    edge of the uncertainty band the plan uses.
    """

    earliest_haul: datetime
    wanted_launch: date | None
    late_day_minor: int
    strip: bool
    dry_h: float
    sides: SidesRule = "either"
    first_side: FirstSide = "either"
    caution: float = 0.8


@dataclass(frozen=True, kw_only=True)
class PlanInput:
    """All that planning takes beside the hull and the windows. `cleaner` None: each coating's own."""

    job_name: str
    currency: str
    yard: Yard
    crew: Crew
    hire: Hire
    wishes: Wishes
    systems: tuple[System, ...]
    extra_jobs: tuple[ExtraJob, ...] = ()
    cleaner: str | None = None
