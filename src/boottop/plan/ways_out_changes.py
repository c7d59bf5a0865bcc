"""What could be changed about a job that has no plan, each with what its price leaves out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import time
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from boottop.climate.climate import Climate
from boottop.coating.sheet import Limits
from boottop.plan.calendar import all_open, day_said
from boottop.plan.inputs import FirstSide, Hours, PlanInput, SidesRule, WindowKey
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.rules_modes import slots_up
from boottop.windows.windows import Rule, ZoneWindows

LONGER_BY_H = 2
WATER = (Rule.RAIN, Rule.WET_SURFACE)

Windows = Mapping[WindowKey, ZoneWindows]


@dataclass(frozen=True, kw_only=True)
class Change:
    """Something to change about a job: `says` to people, `price` what the cost does not hold.

    `part` names what it touches. `apply` gives the changed job; `windows` None: as before.
    """

    says: str
    part: str
    apply: Callable[[PlanInput], PlanInput]
    windows: Windows | None = None
    price: str = ""


def changes_for(job: JobNetwork, windows: Windows, climate: Climate) -> list[Change]:
    """Single changes worth trying on a job, those that cost nothing first."""
    lifts = [] if job.inputs.yard.tidal else [_more_slots(job)]
    found = [*_sides(job.inputs), *_earlier(job), _longer_days(), *lifts, _one_more(job.inputs)]
    if job.inputs.hire.tent_from is None:
        found.append(_tent(job, windows, climate))
    return found


def _sides(inputs: PlanInput) -> list[Change]:
    """The owner's own rules on sides, given up."""
    wishes, found = inputs.wishes, list[Change]()
    if wishes.sides == "one_day":
        found.append(Change(says="One side a day", part="sides", apply=lambda job: _wishing(job, sides="side_a_day")))
    if wishes.sides == "side_a_day":
        says = "The sides on one day or two, as it comes"
        found.append(Change(says=says, part="sides", apply=lambda job: _wishing(job, sides="either")))
    if wishes.first_side != "either":
        found.append(
            Change(says="Either side first", part="side", apply=lambda job: _wishing(job, first_side="either"))
        )
    return found


def _wishing(job: PlanInput, *, sides: SidesRule | None = None, first_side: FirstSide | None = None) -> PlanInput:
    wishes = job.wishes
    return replace(job, wishes=replace(wishes, sides=sides or wishes.sides, first_side=first_side or wishes.first_side))


def _earlier(job: JobNetwork) -> list[Change]:
    """Haul out as early as the weather is known, where that is earlier than asked."""
    asked, start = job.inputs.wishes.earliest_haul, job.calendar.grid.start
    if asked <= start:
        return []
    says = f"Haul out earlier than {day_said(asked.astimezone(job.calendar.zone).date())}"
    return [
        Change(says=says, part="haul", apply=lambda job: replace(job, wishes=replace(job.wishes, earliest_haul=start)))
    ]


def _longer_days() -> Change:
    def apply(job: PlanInput) -> PlanInput:
        hours = tuple(_widened(span) for span in job.crew.hours)
        return replace(job, crew=replace(job.crew, hours=hours))

    return Change(
        says=f"Work {LONGER_BY_H} h longer at both ends of the day, in daylight",
        part="hours",
        apply=apply,
        price="with longer days for everyone",
    )


def _widened(span: Hours) -> Hours:
    opens, closes = span.opens.hour - LONGER_BY_H, (span.closes.hour or 24) + LONGER_BY_H
    return Hours(
        weekday=span.weekday,
        opens=span.opens.replace(hour=opens) if opens >= 0 else time(0, 0),
        closes=span.closes.replace(hour=closes) if closes < 24 else time(0, 0),
    )


def _more_slots(job: JobNetwork) -> Change:
    """The crane at any full hour that the yard is open."""
    calendar, yard = job.calendar, job.inputs.yard
    open_ = np.flatnonzero(all_open(calendar.yard, max(1, slots_up(yard.lift_h))))
    slots = tuple(calendar.grid.time_of(int(slot)) for slot in open_ if calendar.local(int(slot)).minute == 0)
    return Change(
        says="A lift at another hour that the yard is open",
        part="lifts",
        apply=lambda job: replace(job, yard=replace(job.yard, lift_slots=slots)),
        price="at the usual charge, if the yard can",
    )


def _one_more(inputs: PlanInput) -> Change:
    people = inputs.crew.people + 1
    return Change(
        says=f"One more person ({people} instead of {people - 1})",
        part="people",
        apply=lambda job: replace(job, crew=replace(job.crew, people=people)),
        price="with the new hand's hours at the crew's rate",
    )


def _tent(job: JobNetwork, windows: Windows, climate: Climate) -> Change:
    """A roof over the boat all the time; without a climate of its own it is outdoors without the rain."""
    grid = job.calendar.grid
    limits = {system.sheet.name: system.sheet.limits for system in job.inputs.systems}
    roofed = dict(windows)
    for key, open_ in windows.items():
        sheltered = key._replace(under_tent=True)
        if not key.under_tent and sheltered not in windows:
            roofed[sheltered] = roofed_over(open_, limits[key.product], climate)

    def apply(job: PlanInput) -> PlanInput:
        return replace(job, hire=replace(job.hire, tent_from=grid.start, tent_to=grid.end, tent_cost_minor=0))

    return Change(
        says="A tent over the boat",
        part="tent",
        apply=apply,
        windows=roofed,
        price="without the price of the tent (a rough answer: rain kept off, all else as outdoors)",
    )


def roofed_over(open_: ZoneWindows, limits: Limits, climate: Climate) -> ZoneWindows:
    """Windows with the rain kept off: what was shut by water alone opens, unless another limit shuts it too."""
    wet = np.isin(open_.rule, WATER)
    rule, needed, had = open_.rule.copy(), open_.needed.copy(), open_.had.copy()
    tests: tuple[tuple[Rule, float, NDArray[np.float64], NDArray[np.bool_]], ...] = (
        (Rule.SURFACE_HOT, limits.surface_max_c, open_.surface_c, open_.surface_c > limits.surface_max_c),
        (Rule.SURFACE_COLD, limits.surface_min_c, open_.surface_c, open_.surface_c < limits.surface_min_c),
        (Rule.HUMIDITY, limits.humidity_max, climate.rh, climate.rh > limits.humidity_max),
        (Rule.DEW_MARGIN, limits.dew_margin_k, open_.margin_k, open_.margin_k < limits.dew_margin_k),
    )
    rule[wet], needed[wet], had[wet] = Rule.OPEN, limits.dew_margin_k, open_.margin_k[wet]
    for name, limit, values, broken in tests:
        shut = wet & broken
        rule[shut], needed[shut], had[shut] = name, limit, values[shut]
    dry = np.zeros_like(open_.rain)
    return replace(open_, under_tent=True, rule=rule, needed=needed, had=had, rain=dry)


def pairs_of(changes: list[Change]) -> list[Change]:
    """Two changes at once, of things that do not touch each other."""
    return [_both(one, other) for one, other in combinations(changes, 2) if one.part != other.part]


def _both(one: Change, other: Change) -> Change:
    return Change(
        says=f"{one.says}, and {other.says[0].lower()}{other.says[1:]}",
        part=f"{one.part} and {other.part}",
        apply=lambda job: other.apply(one.apply(job)),
        windows=other.windows if one.windows is None else one.windows,
        price=", ".join(price for price in (one.price, other.price) if price),
    )
