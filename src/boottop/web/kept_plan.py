"""The plan that is followed, kept beside its board, so that a server begun anew goes on from it."""

from __future__ import annotations

from functools import cache
from typing import Any

from pydantic import TypeAdapter

from boottop.plan.plan import Plan


@cache
def _adapter() -> TypeAdapter[Plan]:
    return TypeAdapter(Plan)


def plan_values(plan: Plan) -> Any:
    """A plan as JSON values."""
    return _adapter().dump_python(plan, mode="json")


def plan_of_values(values: Any) -> Plan:
    """The plan from what `plan_values` gave; ValueError where it is something else."""
    return _adapter().validate_python(values)
