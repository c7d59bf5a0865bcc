"""What is chosen here and now, walked through every member of an ensemble."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from boottop.measure.hull import Hull
from boottop.plan.inputs import PlanInput
from boottop.plan.odds_names import LEAST_PEOPLE, SIDES, Policy, Side
from boottop.plan.odds_order import Order, order_of, policies_for
from boottop.plan.odds_program import Choice, Drafted, Pool, draft_program
from boottop.plan.odds_walk import DONE, Loss, scenarios, walk
from boottop.plan.rules_draft import JobNetwork
from boottop.plan.rules_modes import HELPER, TENT

Minor = NDArray[np.int64]
Days = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """One choice: which lift slot she is hauled out at (by its slot on the grid), hired helper, tent, side first, and
    the policy that the crew keeps to whatever the weather brings."""

    haul: int
    helper: bool
    tent: bool
    first: Side
    policy: Policy

    @property
    def chosen(self) -> tuple[int, bool, bool, Side]:
        """What must be decided now; the policy goes with it."""
        return self.haul, self.helper, self.tent, self.first


@dataclass(frozen=True, kw_only=True)
class Results:
    """What came of each candidate in each member, (member, candidate): cost in minor units by the plan's own terms,
    local day ordinal of the launch (0 where she is not afloat within the known weather: then the cost is that up to
    its end, a least value), and whether that is late."""

    cost_minor: Minor
    launch_day: Days
    late: NDArray[np.bool_]


def candidates(inputs: PlanInput, hauls: Sequence[int], *, tent: bool) -> tuple[Candidate, ...]:
    """Every haul-out slot with and without helper and tent where they are on offer, either side first, every policy."""
    helpers = (False, True) if inputs.hire.helper_people else (False,)
    firsts = SIDES if inputs.wishes.first_side == "either" else (inputs.wishes.first_side,)
    return tuple(
        Candidate(haul=haul, helper=helper, tent=with_tent, first=first, policy=policy)
        for helper, with_tent, first, policy, haul in product(
            helpers, (False, True) if tent else (False,), firsts, policies_for(inputs.wishes.sides), hauls
        )
        if inputs.crew.people + helper * inputs.hire.helper_people >= LEAST_PEOPLE.get(policy, 1)
    )


class Table:
    """Walks candidates through one member after another; orders are worked out once, for members share their grid."""

    def __init__(self, hull: Hull, asked: Sequence[Candidate]) -> None:
        self.hull = hull
        self.asked = asked
        self.orders: dict[tuple[Policy, Side], Order] = {}

    def row(self, job: JobNetwork) -> tuple[Minor, Days]:
        """Cost and launch day of every candidate in one member."""
        pool = Pool(count=job.network.count)
        groups: dict[tuple[bool, bool, Side, Policy], list[int]] = {}
        for index, one in enumerate(self.asked):
            groups.setdefault((one.helper, one.tent, one.first, one.policy), []).append(index)
        drafts = {key: draft_program(job, self._order(job, key), _choice(job, key), pool=pool) for key in groups}
        rows = pool.rows()
        cost, day = np.zeros(len(self.asked), np.int64), np.zeros(len(self.asked), np.int64)
        for key, members in groups.items():
            hauls = np.array([self.asked[index].haul for index in members], dtype=np.int32)
            cost[members], day[members] = _walked(job, drafts[key], rows, hauls=hauls)
        return cost, day

    def _order(self, job: JobNetwork, key: tuple[bool, bool, Side, Policy]) -> Order:
        _, _, first, policy = key
        if (policy, first) not in self.orders:
            self.orders[policy, first] = order_of(job, self.hull, policy=policy, first=first)
        return self.orders[policy, first]


def results(rows: Sequence[tuple[Minor, Days]], *, deadline: int) -> Results:
    """The rows of all members together; late is a launch after the local day `deadline`, or none."""
    cost, day = (np.stack(column) for column in zip(*rows, strict=True))
    return Results(cost_minor=cost, launch_day=day, late=np.asarray((day == 0) | (day > deadline)))


def _choice(job: JobNetwork, key: tuple[bool, bool, Side, Policy]) -> Choice:
    helper, tent, _, _ = key
    people = job.inputs.crew.people + (job.inputs.hire.helper_people if helper else 0)
    return Choice(people=people, options=(TENT,) * tent + (HELPER,) * helper)


def _walked(
    job: JobNetwork, draft: Drafted, pool: NDArray[np.int32], *, hauls: NDArray[np.int32]
) -> tuple[Minor, Days]:
    """Cost and launch day for each haul-out slot; a slot that cannot be taken counts as never afloat."""
    count, money, calendar = job.network.count, job.network.money, job.calendar
    found = walk(draft.with_pool(pool), _NO_LOSS, scenarios(hauls, slots=count))
    done = (found.status == DONE) & (found.haul == hauls)
    end = np.where(done, found.launch, count)
    options = sum(option.cost_minor for option in job.network.options if option.key in draft.choice.options)
    cost = draft.work_minor + options + money.by_start[hauls] + money.by_finish[end]
    return cost.astype(np.int64), np.where(done, calendar.day_of_mark()[end], 0)


_NO_LOSS = Loss(
    task=np.zeros(0, np.int32),
    row=np.zeros(0, np.int32),
    cumulated=np.zeros((0, 0, 0), np.int32),
    work_from=np.zeros(0, np.int32),
)
