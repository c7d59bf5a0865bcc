"""The plan as a person reads it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from boottop.plan.network import SolverReport

Status = Literal["optimal", "feasible", "infeasible", "unknown"]
TaskState = Literal["to do", "in hand", "done", "taken as done"]


@dataclass(frozen=True, kw_only=True)
class PlannedTask:
    """One line of the plan. `kind` comes from plan.tasks.TASK_KINDS; `because` says what binds the start.

    `people` of the crew at it (0: the yard's work, or nobody's). `under_tent`: done under the tent. `slack_h`: hours
    by which the weather could close in earlier before this coat fails, None where weather has no say. `state`: what the
    log says of it; "taken as done" where it does not, but later work was done.
    """

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
    under_tent: bool = False
    slack_h: float | None = None
    state: TaskState = "to do"


@dataclass(frozen=True, kw_only=True)
class UnusedHours:
    """Working hours of the crew, from `start` to `end`, in which nobody works, and the rule that closed them.

    `waits`: key of the task that would have come next. `needed`, `had` in `unit` where the rule has a number
    (for instance 3 K above the dew point needed, 2.1 K had), None elsewhere.
    """

    start: datetime
    end: datetime
    waits: str
    because: str
    needed: float | None = None
    had: float | None = None
    unit: str = ""


@dataclass(frozen=True, kw_only=True)
class CostLine:
    """One line of the bill, minor units."""

    what: str
    amount_minor: int


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Status, tasks, cost and solver report are four things.

    An infeasible plan has reasons and ways out instead of tasks. `tasks` in order of their start; `cost_lines` sum
    to `cost_minor`; `unused` lists every working hour between haul-out and launch in which the crew stands idle.
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
    unused: tuple[UnusedHours, ...] = ()
