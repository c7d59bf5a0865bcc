"""What a job and its plan give to the cost: days ashore, person hours, order, area; and the odds from a file."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from boottop.base.errors import InputError, Problem
from boottop.base.quantities import shown
from boottop.files.cost_case import DaysAshore, JobFacts
from boottop.files.cost_sheet import CostSheet
from boottop.files.cost_template import Known
from boottop.plan.plan import Plan
from boottop.workflow import Ashore

LARGEST_ODDS_BYTES = 20_000_000
DAYS_MOST = 1000
SAMPLE_MOST = 100_000


def known_of(ashore: Ashore) -> Known:
    """What the job sheet says of prices, boat and coating, for the document that is written filled in."""
    job = ashore.job
    last = job.plan.systems[-1].sheet
    return Known(
        currency=job.plan.currency,
        lift_minor=2 * job.plan.yard.lift_charge_minor,
        day_minor=job.plan.yard.day_charge_minor,
        wage_minor=job.plan.crew.hour_cost_minor,
        system=last.name,
        hard=last.kind == "copper_epoxy",
        has_plan_prices=ashore.order.cost_minor is not None,
        length_m=job.boat.waterline_length_m,
        wetted_m2=ashore.hull.total_m2,
    )


def needs_plan(sheet: CostSheet) -> bool:
    """Whether a way asks for the plan's days or hours."""
    return any(way.days_renewing is None or way.work_hours is None for way in sheet.ways)


def facts_of(
    ashore: Ashore, plan: Plan | None, *, odds: DaysAshore | None = None, no_plan: str = "there is no plan yet"
) -> JobFacts:
    """What the job gives. Days come from the odds where there are some, else from the plan."""
    job, order = ashore.job, ashore.order
    planned = plan if plan is not None and plan.tasks else None
    unpriced = [line.product for line in order.orders if line.cost_minor is None]
    return JobFacts(
        currency=job.plan.currency,
        boat=job.boat.name,
        length_m=job.boat.waterline_length_m,
        wetted_m2=ashore.hull.total_m2,
        days=odds or (days_of(planned, ZoneInfo(job.plan.yard.zone_name)) if planned else None),
        work_hours=(work_hours(planned),) if planned else (),
        materials_minor=order.cost_minor,
        missing={"plan": no_plan, "order": f"the job sheet has no kit_price for {', '.join(unpriced)}"},
    )


def days_of(plan: Plan, zone: ZoneInfo) -> DaysAshore | None:
    """Days ashore begun, first and last counted, as the yard charges them."""
    if plan.haul_out is None or plan.launch is None:
        return None
    ends = (plan.haul_out.timestamp(), plan.launch.timestamp())
    return days_between(*ends, zone.key, from_where="the plan")


def days_between(hauled_s: float, launched_s: float, zone_name: str, *, from_where: str) -> DaysAshore:
    """Days ashore begun between two moments (seconds since 1970 UTC), by the yard's calendar."""
    zone = ZoneInfo(zone_name)
    out, afloat = (datetime.fromtimestamp(moment, tz=zone).date() for moment in (hauled_s, launched_s))
    return DaysAshore(days=((afloat - out).days + 1,), from_where=from_where)


def work_hours(plan: Plan) -> float:
    """Person hours of the bottom job itself, the owner's other jobs left out."""
    work = [task for task in plan.tasks if task.people and task.kind != "extra"]
    return sum(task.people * ((task.end - task.start) / timedelta(hours=1)) for task in work)


def load_odds(path: Path) -> DaysAshore:
    """Days ashore from a JSON file with "days_ashore": whole numbers, each as likely as the other, or an object that
    gives the probability of each number of days. InputError when it has none."""
    try:
        if path.stat().st_size > LARGEST_ODDS_BYTES:
            raise _bad(path, f"{path.stat().st_size / 1e6:.0f} MB")
        found: Any = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise _bad(path, f"a file that cannot be read as JSON ({type(error).__name__})") from None
    days = found.get("days_ashore") if isinstance(found, dict) else None
    sample = _sample(days)
    if not sample or not all(0 <= one <= DAYS_MOST for one in sample):
        raise _bad(path, "no days_ashore" if days is None else shown(days))
    return DaysAshore(days=tuple(sample), from_where=f"the odds in {path.name}")


def _sample(days: Any) -> list[int]:
    if isinstance(days, list) and len(days) <= SAMPLE_MOST and all(type(one) is int for one in days):
        return days
    if isinstance(days, dict) and len(days) <= DAYS_MOST:
        shares = {key: value for key, value in days.items() if isinstance(value, int | float) and 0.0 <= value <= 1.0}
        if len(shares) == len(days) and all(key.isdecimal() for key in days):
            return [int(key) for key, value in shares.items() for _ in range(round(1000 * value))]
    return []


def _bad(path: Path, found: str) -> InputError:
    return InputError(
        Problem(
            where=str(path),
            found=found,
            allowed='JSON with "days_ashore": [9, 9, 10, ...] or {"9": 0.6, "10": 0.4}',
            advice="Give the file that the odds were written to, or leave --odds out.",
        )
    )
