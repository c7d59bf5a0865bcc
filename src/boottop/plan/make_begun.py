"""A plan for a job that has begun: as the sheet has it where that can be kept, else with the least falling back."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from time import perf_counter
from typing import Literal, Protocol

from boottop.plan.model import OnBetter, solve
from boottop.plan.network import Solution
from boottop.plan.progress import Progress, Retreat
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.rules_progress import Begun

Lay = Callable[[Begun | None], JobNetwork]
LEAST_S = 2.0


class Told(Protocol):
    """Who is told of a first plan, with the rules that it keeps."""

    def __call__(self, job: JobNetwork, solution: Solution, /) -> None: ...


@dataclass(frozen=True, kw_only=True)
class Solved:
    """A job with its solution, and what was done of it with the ways back that the solution takes."""

    job: JobNetwork
    solution: Solution
    begun: Begun | None = None


def solved(lay: Lay, progress: Progress | None, *, time_limit_s: float, told: Told | None = None) -> Solved:
    """Solve a job, begun or not.

    Where what was begun cannot be carried on in time whatever is done, first what was wiped is wiped again; then the
    day of a zone's coats is given up, then their window: one zone after the other is cured and sanded, then all.
    """
    began_s = perf_counter()
    begun = None if progress is None else Begun(progress=progress)
    first = found = _solved(lay, begun, time_limit_s=time_limit_s, told=told)
    if begun is None or first.solution.status != "infeasible":
        return first
    for retreats in ({}, *_fallbacks(first.job)):
        left_s = max(time_limit_s - (perf_counter() - began_s), LEAST_S)
        trying = Begun(progress=begun.progress, retreats=retreats, wipe_again=True)
        found = _solved(lay, trying, time_limit_s=left_s, told=told)
        if found.solution.status != "infeasible":
            return found
    return first


def _solved(lay: Lay, begun: Begun | None, *, time_limit_s: float, told: Told | None) -> Solved:
    job = lay(begun)
    better: OnBetter | None = None if told is None else lambda solution: told(job, solution)
    return Solved(job=job, solution=solve(job.network, time_limit_s=time_limit_s, on_better=better), begun=begun)


def _fallbacks(job: JobNetwork) -> Iterator[Mapping[str, Retreat]]:
    """Ways back to try, the least first."""
    zones = [zone for zone in job.ahead if zone not in job.retreats or job.retreats[zone].way != "sand"]
    if not zones:
        return
    days = {zone: _retreat(zone, "day") for zone in zones}
    yield days
    for zone in zones:
        yield days | {zone: _retreat(zone, "sand")}
    if len(zones) > 1:
        yield {zone: _retreat(zone, "sand") for zone in zones}


def _retreat(zone: str, way: Literal["day", "sand"]) -> Retreat:
    because = {
        "day": "the other coats cannot all follow on the day of the first",
        "sand": "the next coat cannot follow before the last is too hard to bond",
    }
    return Retreat(zone=zone, way=way, because=because[way])
