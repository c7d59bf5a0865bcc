"""What time costs: days ashore, lifts, days late, and what may be hired."""

from __future__ import annotations

import numpy as np

from boottop.plan.network import Money, Option
from boottop.plan.rules_draft import Draft
from boottop.plan.rules_modes import HELPER, TENT


def money_for(draft: Draft) -> Money:
    """Cost of time, minor units: each day ashore begun, both lifts, each day after the launch that is wanted.

    The days ashore count from the day of the haul-out to the day of the launch, both included: the charge up to the
    launch is in `by_finish`, what a later haul-out saves of it in `by_start`.
    """
    yard, wishes, calendar = draft.inputs.yard, draft.inputs.wishes, draft.calendar
    first_day = int(calendar.day[0])
    ended = calendar.day_of_mark() - first_day
    began = np.concatenate([calendar.day, calendar.day[-1:]]) - first_day
    by_finish = (ended + 1) * yard.day_charge_minor + 2 * yard.lift_charge_minor
    if wishes.wanted_launch is not None:
        late = np.maximum(0, ended + first_day - wishes.wanted_launch.toordinal())
        by_finish = by_finish + late * wishes.late_day_minor
    return Money(first="haul_out", last="launch", by_start=-began * yard.day_charge_minor, by_finish=by_finish)


def options_for(draft: Draft) -> tuple[Option, ...]:
    """What may be hired, at its price."""
    hire = draft.inputs.hire
    found: list[Option] = []
    if draft.tent_span is not None:
        found.append(Option(key=TENT, cost_minor=hire.tent_cost_minor))
    if hire.helper_people:
        found.append(Option(key=HELPER, cost_minor=hire.helper_cost_minor))
    return tuple(found)
