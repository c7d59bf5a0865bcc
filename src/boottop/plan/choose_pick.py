"""Which choice: the cheapest that is late seldom enough, how sure that is, and what the next unit of money buys."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boottop.plan.choose_walk import Candidate, Results

CONFIDENCE = 0.975
"""One side of it: the upper end of the usual two-sided 95 % interval."""


@dataclass(frozen=True, kw_only=True)
class Rated:
    """A choice with its best policy: members in which it is late, mean cost and its standard deviation over members,
    and the upper confidence limit of the chance to be late."""

    candidate: Candidate
    index: int
    members: int
    late: int
    never: int
    cost_minor: int
    cost_sd_minor: int
    late_at_most_share: float

    @property
    def late_share(self) -> float:
        return self.late / self.members


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One choice against another on the same members: mean difference of cost and its standard error (minor units),
    members late here but not there, and there but not here."""

    other: Rated
    cost_minor: int
    error_minor: int | None
    later: int
    sooner: int

    @property
    def points(self) -> float:
        """Points of certainty gained, per hundred members."""
        return 100.0 * (self.sooner - self.later) / self.other.members


@dataclass(frozen=True, kw_only=True)
class Chosen:
    """The answer. `pick` the cheapest choice whose share of late members is at most the risk, None without one;
    `sure` the cheapest whose upper confidence limit is, None without one; `safest` the least late, the cheapest of
    equals. `table` best first; `against` the pick (else the safest) set against every choice that differs from it in
    one thing; `frontier` choices that no other one is both cheaper and safer than, the cheapest first."""

    risk_share: float
    pick: Rated | None
    sure: Rated | None
    safest: Rated
    table: tuple[Rated, ...]
    against: tuple[Difference, ...]
    frontier: tuple[Difference, ...]


def upper_limit(late: int, members: int, *, confidence: float = CONFIDENCE) -> float:
    """Chance to be late that `late` of `members` do not rule out: the one-sided upper limit of Clopper and Pearson.

    p with P(X <= late | p) = 1 - confidence, which is the beta quantile B(confidence; late + 1, members - late); 1
    when all are late. Source: Clopper & Pearson, Biometrika 26 (1934) 404-413 (from memory; the beta form is common).

    >>> round(upper_limit(0, 50), 4), round(upper_limit(2, 50), 4)
    (0.0711, 0.1371)
    """
    from scipy.special import betaincinv  # imported here: the command line starts without scipy

    return 1.0 if late >= members else float(betaincinv(late + 1, members - late, confidence))


def choose(asked: Sequence[Candidate], results: Results, *, risk: float) -> Chosen:
    """Rate every choice and pick one; of each choice the policy that is late least often, the cheapest of equals."""
    rated = _best_policies([rate(asked, results, index) for index in range(len(asked))])
    table = tuple(sorted(rated, key=lambda one: (one.late, one.cost_minor)))
    held = [one for one in rated if one.late_share <= risk]
    surely = [one for one in rated if one.late_at_most_share <= risk]
    pick = min(held, key=lambda one: one.cost_minor, default=None)
    base = pick or table[0]
    return Chosen(
        risk_share=risk,
        pick=pick,
        sure=min(surely, key=lambda one: one.cost_minor, default=None),
        safest=table[0],
        table=table,
        against=tuple(difference(results, base, other) for other in rated if _one_apart(base, other)),
        frontier=_frontier(rated, results),
    )


def rate(asked: Sequence[Candidate], results: Results, index: int) -> Rated:
    """One candidate over all members."""
    cost, late = results.cost_minor[:, index], results.late[:, index]
    members, late_in = cost.size, int(late.sum())
    return Rated(
        candidate=asked[index],
        index=index,
        members=members,
        late=late_in,
        never=int((results.launch_day[:, index] == 0).sum()),
        cost_minor=round(float(cost.mean())),
        cost_sd_minor=round(float(cost.std(ddof=1))) if members > 1 else 0,
        late_at_most_share=upper_limit(late_in, members),
    )


def difference(results: Results, base: Rated, other: Rated) -> Difference:
    """`other` against `base`, member by member."""
    cost = results.cost_minor[:, other.index] - results.cost_minor[:, base.index]
    here, there = results.late[:, other.index], results.late[:, base.index]
    error = round(float(cost.std(ddof=1) / np.sqrt(cost.size))) if cost.size > 1 else None
    return Difference(
        other=other,
        cost_minor=round(float(cost.mean())),
        error_minor=error,
        later=int((here & ~there).sum()),
        sooner=int((there & ~here).sum()),
    )


def _best_policies(rated: Sequence[Rated]) -> list[Rated]:
    best: dict[object, Rated] = {}
    for one in rated:
        known = best.get(one.candidate.chosen)
        if known is None or (one.late, one.cost_minor) < (known.late, known.cost_minor):
            best[one.candidate.chosen] = one
    return list(best.values())


def _one_apart(base: Rated, other: Rated) -> bool:
    pairs = zip(base.candidate.chosen, other.candidate.chosen, strict=True)
    return sum(one != same for one, same in pairs) == 1


def _frontier(rated: Sequence[Rated], results: Results) -> tuple[Difference, ...]:
    """From the cheapest up: each next choice is the cheapest that is late in fewer members; against the one before."""
    steps: list[Difference] = []
    base: Rated | None = None
    for one in sorted(rated, key=lambda one: (one.cost_minor, one.late)):
        if base is None or one.late < base.late:
            steps.append(difference(results, base or one, one))
            base = one
    return tuple(steps)
