"""What is not proven of a plan: how much better one may still be, in money and in days."""

from __future__ import annotations

from boottop.base.money import format_money
from boottop.plan.plan import Plan

MORE_TIME = "More time may find it: boottop plan --time-limit 600, or plan anew."


def proof_words(plan: Plan, *, days: int) -> str:
    """How sure it is that none is better: proven over the days that were looked at, and no further.

    A later haul-out than those days reach may still be cheaper.
    """
    looked = f"of the {days} days looked at"
    return {"optimal": f"proven best {looked}", "feasible": f"not proven best {looked}: the time ran out"}.get(
        plan.status, plan.status
    )


def gap_minor(plan: Plan) -> int | None:
    """The most that can still be saved, minor units: cost less the proven bound; None where nothing is proven."""
    bound = plan.report.bound_minor
    if plan.cost_minor is None or bound is None:
        return None
    return max(plan.cost_minor - bound, 0)


def gap_words(plan: Plan, *, day_charge_minor: int) -> str:
    """What a person should know of a plan that is not proven best, empty for any other.

    Days are the money divided by what the yard takes for one: what it would come to if days ashore were all that is
    saved.
    """
    if plan.status != "feasible":
        return ""
    gap = gap_minor(plan)
    begins = "Not proven best: the search ran out of time."
    if gap is None or plan.cost_minor is None:
        return f"{begins} Nothing is proven of how much could still be saved. {MORE_TIME}"
    if gap == 0:
        return f"{begins} No cheaper plan exists; one as cheap may be afloat sooner. {MORE_TIME}"
    money = f"{format_money(gap, plan.currency)} ({100 * gap / max(plan.cost_minor, 1):.0f} %)"
    return f"{begins} At most {money} could still be saved{_in_days(gap, day_charge_minor)}. {MORE_TIME}"


def _in_days(gap: int, day_charge_minor: int) -> str:
    if day_charge_minor <= 0:
        return "; days ashore cost nothing at this yard, and how many fewer there may be is not proven"
    days = gap // day_charge_minor
    if days == 0:
        return ", less than one day ashore costs"
    return f", as much as {days} {'day' if days == 1 else 'days'} ashore {'costs' if days == 1 else 'cost'}"
