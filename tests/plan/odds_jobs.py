"""The small invented job under random weather, as the odds walk it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from random import Random

import numpy as np

from boottop.plan.inputs import PlanInput
from boottop.plan.network import Placed, Solution, SolverReport
from boottop.plan.odds_walk import DONE, I32, Placements, scenarios, walk_placed
from boottop.plan.odds_ways import Option, Ready, Way, draft_ways, ways_for
from boottop.plan.rules import network_for
from boottop.plan.rules_draft import JobNetwork
from boottop.windows.windows import Rule
from tests.plan import jobs

CLOCKS = ("00:00", "06:00", "10:00", "13:00", "16:00", "23:45")


def random_sky(seed: int, *, days: int = jobs.DAYS) -> jobs.Sky:
    """Showers, dew and cold at random clock times; cure times drawn too."""
    random = Random(seed)
    sky = jobs.Sky(
        tacky_h=random.choice([0.5, 0.75, 1.5]),
        overcoat_h=random.choice([2.0, 4.0, 9.0]),
        stands_h=random.choice([24.0, 48.0]),
        immersion_h=random.choice([24.0, 48.0, 72.0]),
        days=days,
    )
    for day in range(days):
        if random.random() < 0.45:
            first, last = sorted(random.sample(range(len(CLOCKS)), 2))
            rule = random.choice([Rule.RAIN, Rule.RAIN, Rule.DEW_MARGIN, Rule.AIR_COLD])
            sky.closes(rule, day, first=CLOCKS[first], last=CLOCKS[last])
    return sky


def job_under(sky: jobs.Sky, inputs: PlanInput) -> JobNetwork:
    """The network of a job under a sky, with a tent where the job has one on offer."""
    boat = jobs.hull()
    return network_for(inputs, boat, windows=sky.all_windows(inputs, boat), climate=sky.climate(boat))


def tented(inputs: PlanInput) -> PlanInput:
    """The job with a tent over the whole of the known time."""
    return jobs.with_tent(inputs, jobs.local(0), jobs.local(jobs.DAYS))


@dataclass(frozen=True, kw_only=True)
class Case:
    """One job's ways, ready to walk."""

    job: JobNetwork
    readies: list[Ready]
    pool: I32

    def placed(self, ready: Ready, starts: I32) -> Placements:
        """Every task's place from every start."""
        case = scenarios(starts, slots=self.job.network.count)
        return walk_placed(ready.drafted.with_pool(self.pool), case)

    def solutions(self, ready: Ready, starts: I32) -> Iterator[Solution]:
        """The finished walks as solutions of the network."""
        found = self.placed(ready, starts)
        for row in np.flatnonzero(found.status == DONE):
            yield self.solution(ready, found.start[row].tolist(), found.finish[row].tolist())

    def solution(self, ready: Ready, start: list[int], finish: list[int]) -> Solution:
        """One walk as a solution, its cost left open."""
        placed = tuple(
            Placed(key=key, mode=ready.drafted.modes[key].key, start=start[place], finish=finish[place])
            for place, key in enumerate(ready.drafted.keys)
        )
        report = SolverReport(first_s=None, proof_s=None, total_s=0.0, bound_minor=None, branches=0, variables=0)
        options = ("tent",) if ready.way.option.tent else ()
        return Solution(status="feasible", placed=placed, options=options, cost_minor=None, report=report)


def case_of(seed: int, *, people: int = 3, sides: str = "either", waits: tuple[int, ...] = ()) -> Case:
    """All ways with two people and with `people`, in the open and under a tent, under a random sky."""
    inputs = tented(jobs.with_wishes(jobs.inputs(people=people), sides=sides))
    job = job_under(random_sky(seed), inputs)
    options = [Option(people=hands, tent=tent) for hands in sorted({2, people}) for tent in (False, True)]
    readies, pool = draft_ways({None: job}, jobs.hull(), ways_for(options, inputs.wishes.sides, waits=waits))
    return Case(job=job, readies=readies, pool=pool)


def starts_of(case: Case, *, every: int = 24) -> I32:
    """Starts through the first week."""
    return np.arange(0, 7 * 96, every, dtype=np.int32)


def only(case: Case, **wanted: object) -> list[Ready]:
    """Ways of a case with these attributes."""
    return [ready for ready in case.readies if all(getattr(ready.way, name) == value for name, value in wanted.items())]


def way(policy: str, **more: object) -> Way:
    """A way of two people, port first."""
    made = Way(option=Option(people=2), policy="together", first="port")
    return replace(made, policy=policy, **more)  # type: ignore[arg-type]
