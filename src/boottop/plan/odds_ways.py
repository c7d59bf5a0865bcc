"""Options of a job and the ways of doing each: what a study walks through, and what one stretch of weather gives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR
from boottop.measure.hull import Hull
from boottop.plan.inputs import PlanInput, SidesRule
from boottop.plan.odds_forecast import SKILL, Blind, blind_of, known_days, walk_forecast
from boottop.plan.odds_names import LEAST_PEOPLE, SIDES, Policy, Side
from boottop.plan.odds_order import order_of, policies_for
from boottop.plan.odds_program import Choice, Drafted, Pool, draft_program
from boottop.plan.odds_reasons import losses
from boottop.plan.odds_walk import DONE, I32, Loss, Walked, scenarios, walk
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.rules_modes import TENT

SLOTS_A_DAY = 24 * SLOTS_PER_HOUR


@dataclass(frozen=True, kw_only=True)
class Option:
    """What is chosen before the crane is booked: hands, tent, antifouling coats (None: as the job sheet has them)."""

    people: int
    tent: bool = False
    coats: int | None = None

    @property
    def label(self) -> str:
        """For people: "2 people, tent, 3 coats"."""
        hands = "1 person" if self.people == 1 else f"{self.people} people"
        coats = "" if self.coats is None else f", {self.coats} coats"
        return f"{hands}, {'tent' if self.tent else 'no tent'}{coats}"


@dataclass(frozen=True, kw_only=True)
class Way:
    """One option done under one policy, one side first. `wait_days`: both sides together if a day that takes them
    comes within so many lost days, a side a day otherwise; None where there is nothing to wait for."""

    option: Option
    policy: Policy
    first: Side
    wait_days: int | None = None


@dataclass(frozen=True, kw_only=True)
class Outcomes:
    """What came of each start, by (way, start): days from the start to the launch and days ashore (both -1 where she
    is not afloat within the horizon), cost in minor units (of an unfinished job, up to the horizon), days lost (way,
    start, reason); and the same with the forecast only, with how often coats were spoilt and done again."""

    days: NDArray[np.int16]
    ashore: NDArray[np.int16]
    cost_minor: NDArray[np.int64]
    lost: NDArray[np.int16]
    forecast_days: NDArray[np.int16]
    forecast_ashore: NDArray[np.int16]
    forecast_cost_minor: NDArray[np.int64]
    spoilt: NDArray[np.int16]


@dataclass(frozen=True, kw_only=True)
class Terms:
    """The horizon in days from the start, and what the plan's cost terms are when a start may lie in any year.

    `wanted` (start,): local day ordinal of the launch that is wanted, 0 for none. `tent_days`: days that the price of
    the tent is for.
    """

    horizon_days: int
    wanted: NDArray[np.int64]
    tent_days: int = 1


def ways_for(
    options: Sequence[Option], sides: SidesRule, *, firsts: Sequence[Side] = SIDES, waits: Sequence[int] = ()
) -> tuple[Way, ...]:
    """Every option under every policy that keeps the wish about the sides."""
    found = [
        Way(option=option, policy=policy, first=first)
        for option, policy, first in product(options, policies_for(sides), firsts)
        if option.people >= LEAST_PEOPLE.get(policy, 1)
    ]
    if sides == "either":
        found += [
            Way(option=option, policy="together", first=first, wait_days=days)
            for option, first, days in product(options, firsts, waits)
        ]
    return tuple(found)


def with_coats(inputs: PlanInput, coats: int | None) -> PlanInput:
    """The job with another number of antifouling coats."""
    if coats is None:
        return inputs
    systems = tuple(
        replace(system, coats=coats) if system.role == "antifouling" else system for system in inputs.systems
    )
    return replace(inputs, systems=systems)


@dataclass(frozen=True, kw_only=True)
class Foresight:
    """The forecast that a crew goes by: the share of days for which it is right, the seed of which days those are, and
    the material of one coat by zone, minor units, lost when the coat is."""

    skill_share: float = SKILL
    seed: int = 20
    coat_minor: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Ready:
    """A way with its program, drafted but not yet given its pool."""

    way: Way
    job: JobNetwork
    drafted: Drafted
    loss: Loss
    blind: Blind | None
    fallback: tuple[Drafted, Loss] | None


def draft_ways(
    jobs: Mapping[int | None, JobNetwork], hull: Hull, ways: Sequence[Way], *, foresight: Foresight | None = None
) -> tuple[list[Ready], I32]:
    """Programs of all ways on one stretch, and the pool they share. `jobs` by number of coats; with `foresight` None
    the crew is not walked by its forecast."""
    pool = Pool(count=next(iter(jobs.values())).network.count)
    known: dict[int | None, dict[tuple[int, int], I32]] = {coats: {} for coats in jobs}
    rights: dict[int | None, I32] = {}
    found = []
    for way in ways:
        job = jobs[way.option.coats]
        choice = Choice(people=way.option.people, options=(TENT,) if way.option.tent else ())
        drafted = draft_program(job, order_of(job, hull, policy=way.policy, first=way.first), choice, pool=pool)
        loss, fallback = losses(job, drafted, known[way.option.coats]), None
        if way.wait_days is not None:
            other = draft_program(job, order_of(job, hull, policy="side_a_day", first=way.first), choice, pool=pool)
            fallback = other, losses(job, other, known[way.option.coats])
        blind = None
        if foresight is not None and fallback is None:
            right = rights.setdefault(
                way.option.coats, known_days(job, skill=foresight.skill_share, seed=foresight.seed)
            )
            blind = blind_of(job, drafted, pool=pool, known=right, coat_minor=foresight.coat_minor)
        found.append(Ready(way=way, job=job, drafted=drafted, loss=loss, blind=blind, fallback=fallback))
    return found, pool.rows()


def walk_way(ready: Ready, pool: I32, starts: I32, *, slots: int, workers: int = 1) -> Walked:
    """Walk one way from each start."""
    program = ready.drafted.with_pool(pool)
    walked = walk(program, ready.loss, scenarios(starts, slots=slots), workers=workers)
    if ready.fallback is None or ready.way.wait_days is None:
        return walked
    other, loss = ready.fallback
    until = np.minimum(walked.could + ready.way.wait_days * SLOTS_A_DAY, program.day.size - 1).astype(np.int32)
    in_time = (walked.status == DONE) & (program.day[walked.coated] <= program.day[until])
    case = scenarios(starts, slots=slots, not_before=until)
    return _chosen(in_time, walked, walk(other.with_pool(pool), loss, case, workers=workers))


def _chosen(first: NDArray[np.bool_], one: Walked, other: Walked) -> Walked:
    def pick(a: I32, b: I32) -> I32:
        return np.where(first if a.ndim == 1 else first[:, None], a, b)

    return Walked(
        status=pick(one.status, other.status),
        haul=pick(one.haul, other.haul),
        launch=pick(one.launch, other.launch),
        could=pick(one.could, other.could),
        coated=pick(one.coated, other.coated),
        lost=pick(one.lost, other.lost),
    )


def outcomes(readies: Sequence[Ready], pool: I32, starts: I32, *, terms: Terms, workers: int = 1) -> Outcomes:
    """Walk every way from every start and count days and money; the same for any number of workers."""
    each = [_outcome(ready, pool, starts, terms=terms, workers=workers) for ready in readies]
    return Outcomes(**{one.name: np.stack([getattr(row, one.name) for row in each]) for one in fields(Outcomes)})


def _outcome(ready: Ready, pool: I32, starts: I32, *, terms: Terms, workers: int) -> Outcomes:
    slots = terms.horizon_days * SLOTS_A_DAY
    walked = walk_way(ready, pool, starts, slots=slots, workers=workers)
    days, ashore, cost = _counted(ready, starts, (walked.status, walked.haul, walked.launch), terms=terms)
    never = np.full(starts.size, -1, np.int16)
    blind = (never, never, cost, np.zeros(starts.size, np.int16))
    if ready.blind is not None:
        told = walk_forecast(ready.drafted.with_pool(pool), ready.blind, scenarios(starts, slots=slots))
        counted = _counted(ready, starts, (told.status, told.haul, told.launch), terms=terms)
        blind = (counted[0], counted[1], counted[2] + told.cost_minor, told.spoilt.astype(np.int16))
    return Outcomes(
        days=days,
        ashore=ashore,
        cost_minor=cost,
        lost=walked.lost.astype(np.int16),
        forecast_days=blind[0],
        forecast_ashore=blind[1],
        forecast_cost_minor=blind[2],
        spoilt=blind[3],
    )


def _counted(
    ready: Ready, starts: I32, marks: tuple[I32, I32, I32], *, terms: Terms
) -> tuple[NDArray[np.int16], NDArray[np.int16], NDArray[np.int64]]:
    """Days to the launch, days ashore and cost of each start, from (status, haul, launch)."""
    status, haul, launch = marks
    program, day0, inputs = ready.drafted.program, int(ready.job.calendar.day[0]), ready.job.inputs
    done = status == DONE
    begun = program.day[starts]
    last = program.day[np.maximum(launch, 1) - 1]
    days = np.where(done, last - begun, terms.horizon_days)
    ashore = np.where(done, last - program.day[haul] + 1, terms.horizon_days)
    late = np.where(terms.wanted > 0, np.maximum(day0 + begun + days - terms.wanted, 0), 0)
    cost = (
        ready.drafted.work_minor
        + 2 * inputs.yard.lift_charge_minor
        + ashore * inputs.yard.day_charge_minor
        + late * inputs.wishes.late_day_minor
    )
    if ready.way.option.tent:
        cost = cost + tent_minor(inputs, ashore, terms.tent_days)
    told = (np.where(done, days, -1).astype(np.int16), np.where(done, ashore, -1).astype(np.int16))
    return *told, np.asarray(cost, dtype=np.int64)


def tent_minor(inputs: PlanInput, ashore: NDArray[np.int64], tent_days: int) -> NDArray[np.int64]:
    """Hire of the tent for each job, minor units: the sheet's price for the sheet's days, longer in proportion."""
    price = inputs.hire.tent_cost_minor
    return np.asarray((2 * price * np.maximum(ashore, tent_days) + tent_days) // (2 * tent_days))
