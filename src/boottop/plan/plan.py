"""The plan as a person reads it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from boottop.plan.network import SolverReport

Status = Literal["optimal", "feasible", "infeasible", "unknown"]


@dataclass(frozen=True, kw_only=True)
class PlannedTask:
    """One line of the plan. `kind` comes from plan.tasks.TASK_KINDS; `because` says what binds the start."""

    key: str
    kind: str
    zone: str | None
    coat: int | None
    product: str | None
    start: datetime
    end: datetime
    people: int
    mode: str
    because: str


@dataclass(frozen=True, kw_only=True)
class CostLine:
    """One line of the bill, minor units."""

    what: str
    amount_minor: int


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Status, tasks, cost and solver report are four things.

    An infeasible plan has reasons and ways out instead of tasks.
    """

    status: Status
    tasks: tuple[PlannedTask, ...]
    options: tuple[str, ...]
    cost_minor: int | None
    cost_lines: tuple[CostLine, ...]
    currency: str
    haul_out: datetime | None
    launch: datetime | None
    reasons: tuple[str, ...]
    ways_out: tuple[str, ...]
    report: SolverReport
    findings: tuple[str, ...] = ()
