"""A plan for a job that has begun: as the sheet has it where that can be kept, else with the least falling back."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from time import perf_counter
from typing import Protocol

from boottop.plan.evaluate import network_violations
from boottop.plan.model import OnBetter, solve
from boottop.plan.network import Placed, Solution
from boottop.plan.plan import Plan
from boottop.plan.progress import Progress, Retreat, Way
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
    one day of a zone's coats is given up, then their window: one zone after the other is cured and sanded, then all.
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
    return found


def _solved(lay: Lay, begun: Begun | None, *, time_limit_s: float, told: Told | None) -> Solved:
    job = lay(begun)
    better: OnBetter | None = None if told is None else lambda solution: told(job, solution)
    solution = solve(job.network, time_limit_s=time_limit_s, on_better=better)
    if begun is not None and begun.progress.before is not None and solution.placed:
        solution = _as_before(job, solution, begun.progress.before)
    return Solved(job=job, solution=solution, begun=begun)


def _as_before(job: JobNetwork, solution: Solution, before: Plan) -> Solution:
    """What is still to come as the plan before had it, where that keeps every rule and loses neither money nor time.

    Nobody wants her day turned round for nothing (common practice, no source).
    """
    lines, grid = {task.key: task for task in before.tasks}, job.calendar.grid
    found = {place.key: place for place in solution.placed}
    for task in job.network.tasks:
        line = lines.get(job.facts[task.key].parts[0].key)
        if job.facts[task.key].pinned:
            continue
        mode = next((mode for mode in task.modes if line is not None and mode.key == line.mode), None)
        if line is None or mode is None:
            return solution
        start = grid.mark_at_or_before(line.start)
        if not 0 <= start < grid.count:
            return solution
        found[task.key] = Placed(key=task.key, mode=mode.key, start=start, finish=int(mode.finish[start]))
    same = replace(solution, placed=tuple(found.values()))
    last = job.network.money.last
    afloat = next(place.finish for place in solution.placed if place.key == last)
    return same if found[last].finish == afloat and not network_violations(job.network, same) else solution


def _fallbacks(job: JobNetwork) -> Iterator[Mapping[str, Retreat]]:
    """Ways back to try, the least first."""
    zones = [zone for zone in job.ahead if zone not in job.retreats or job.retreats[zone].way != "sand"]
    if not zones:
        return
    yield {zone: _retreat(zone, "day") for zone in zones}
    days = {zone: _retreat(zone, "days") for zone in zones}
    yield days
    for zone in zones:
        yield days | {zone: _retreat(zone, "sand")}
    if len(zones) > 1:
        yield {zone: _retreat(zone, "sand") for zone in zones}


def _retreat(zone: str, way: Way) -> Retreat:
    because = {
        "day": "the other coats cannot all follow on the day of the first",
        "days": "the other coats cannot all follow on one day",
        "sand": "the next coat cannot follow before the last is too hard to bond",
    }
    return Retreat(zone=zone, way=way, because=because[way])
