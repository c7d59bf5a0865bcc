"""What the numbers say: each alternative with its spread, savings, break-even, and the inputs that would turn it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boottop.money.case import Alternative, CostCase, Group, check_case
from boottop.money.discount import capital_recovery
from boottop.money.draws import DRAWS, SEED, Drawn, draw, likely
from boottop.money.turning import Swing, Turn, swings, turns
from boottop.money.value import Times, Valued, amount, value

Floats = NDArray[np.float64]
SPREAD = (0.05, 0.5, 0.95)


@dataclass(frozen=True, kw_only=True)
class Line:
    """One item in the likely case, minor units over the horizon: `worth_minor` discounted, `paid_minor` in today's
    money, `times_factor` how often it falls due."""

    what: str
    group: Group
    worth_minor: int
    paid_minor: int
    times_factor: float


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """One alternative. Minor units; `likely_minor` with every input at its likeliest, `spread_minor` the 5, 50 and 95 %
    points of the draws, `annual_minor` the equivalent annual cost of the likely case. `cheapest_share` of the draws in
    which it is the cheapest choice. `by_year_minor`: spent until then, likely case, discounted. `saving_*`: against the
    reference. `break_even_year`: first year from which it stays ahead of the reference, None when it does not within
    the horizon, 0 when it always is; `break_even_share` of the draws in which it gets there."""

    name: str
    choice: bool
    lines: tuple[Line, ...]
    back_minor: int
    likely_minor: int
    spread_minor: tuple[int, int, int]
    annual_minor: int
    paid_minor: int
    cheapest_share: float
    by_year_minor: tuple[int, ...]
    saving_minor: int
    saving_paid_minor: int
    saving_spread_minor: tuple[int, int, int]
    break_even_year: int | None
    break_even_share: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Decision:
    """All that is shown. `best`: name of the cheapest choice in the likely case, `rival` the next cheapest one.
    `turned_by`: the two inputs that turn it most easily, `all_turns` every input looked at, those first that turn it
    most easily."""

    case: CostCase
    draws: int
    seed: int
    outcomes: tuple[Outcome, ...]
    best: str
    rival: str
    swings: tuple[Swing, ...]
    turned_by: tuple[Turn, ...]
    all_turns: tuple[Turn, ...]

    def outcome(self, name: str) -> Outcome:
        """The outcome of one alternative."""
        return next(one for one in self.outcomes if one.name == name)


def decide(case: CostCase, *, draws: int = DRAWS, seed: int = SEED) -> Decision:
    """Compare the alternatives of a case; the same seed gives the same numbers."""
    check_case(case)
    middle, drawn = likely(case), draw(case, draws=draws, seed=seed)
    central, spread = value(case, middle), value(case, drawn)
    choices = [number for number, one in enumerate(case.alternatives) if one.choice] or [*range(len(case.alternatives))]
    order = sorted(choices, key=lambda number: float(central.cost[number, 0]))
    winners = np.asarray(choices)[np.argmin(spread.cost[choices], axis=0)]
    outcomes = tuple(
        _outcome(case, number, (middle, central), spread=spread, cheapest_share=float(np.mean(winners == number)))
        for number in range(len(case.alternatives))
    )
    all_turns = turns(case, choices=tuple(choices))
    best = case.alternatives[order[0]].name
    return Decision(
        case=case,
        draws=draws,
        seed=seed,
        outcomes=outcomes,
        best=best,
        rival=case.alternatives[order[1]].name if len(order) > 1 else best,
        swings=swings(case, best=order[0], rival=order[min(1, len(order) - 1)]),
        turned_by=tuple(one for one in all_turns if one.at)[:2],
        all_turns=all_turns,
    )


def _outcome(
    case: CostCase, number: int, likely_case: tuple[Drawn, Valued], *, spread: Valued, cheapest_share: float
) -> Outcome:
    middle, central = likely_case
    alternative, reference = case.alternatives[number], case.reference_index()
    lines = lines_of(case, alternative, middle)
    back = _paid_back(case, alternative, middle)
    saving = spread.cost[reference] - spread.cost[number]
    paid = sum(line.paid_minor for line in lines) - back
    years = break_even(spread.spent[reference], spread.spent[number])
    central_year = break_even(central.spent[reference], central.spent[number])[0]
    cost = float(central.cost[number, 0])
    rate = float(middle[case.discount][0])
    return Outcome(
        name=alternative.name,
        choice=alternative.choice,
        lines=lines,
        back_minor=-round(float(central.back[number, 0])),
        likely_minor=round(cost),
        spread_minor=_three(spread.cost[number]),
        annual_minor=round(cost * capital_recovery(rate, case.horizon_years)),
        paid_minor=paid,
        cheapest_share=cheapest_share if alternative.choice else 0.0,
        by_year_minor=tuple(round(float(one)) for one in central.spent[number, 0]),
        saving_minor=round(float(central.cost[reference, 0]) - cost),
        saving_paid_minor=_paid(case, reference, middle) - paid,
        saving_spread_minor=_three(saving),
        break_even_year=None if number == reference or central_year < 0 else int(central_year),
        break_even_share=float(np.mean(years >= 0)) if number != reference else 0.0,
        notes=alternative.notes,
    )


def _paid(case: CostCase, number: int, middle: Drawn) -> int:
    one = case.alternatives[number]
    return sum(line.paid_minor for line in lines_of(case, one, middle)) - _paid_back(case, one, middle)


def _three(values: Floats) -> tuple[int, int, int]:
    low, middle, high = (round(float(one)) for one in np.quantile(values, SPREAD))
    return low, middle, high


def lines_of(case: CostCase, alternative: Alternative, middle: Drawn) -> tuple[Line, ...]:
    """Every item of an alternative in the likely case."""
    dated, undated = Times(case, alternative, middle), Times(case, alternative, _undiscounted(case, middle))
    lines = []
    for item in alternative.items:
        each = float(amount(item, middle)[0])
        count = float(undated.worth(item.when)[0, -1])
        paid = each * float(undated.worth(item.when, item.grows)[0, -1])
        worth = each * float(dated.worth(item.when, item.grows)[0, -1])
        lines.append(
            Line(what=item.what, group=item.group, worth_minor=round(worth), paid_minor=round(paid), times_factor=count)
        )
    return tuple(lines)


def _undiscounted(case: CostCase, middle: Drawn) -> Drawn:
    return {**middle, case.discount: np.zeros(1)}


def _paid_back(case: CostCase, alternative: Alternative, middle: Drawn) -> int:
    """Given back at the horizon, today's money, not discounted."""
    undated = Times(case, alternative, _undiscounted(case, middle))
    return round(sum(float(amount(item, middle)[0] * undated.unused(item.when)[0]) for item in alternative.items))


def break_even(reference: Floats, other: Floats) -> NDArray[np.int64]:
    """First year after which `other` has cost less and stays so, per draw; 0 when it always has, -1 when it never does.

    Both shape (draw, year): spent within so many years. Discounted amounts give the discounted pay-back.

    >>> break_even(np.array([[1.0, 3.0, 5.0]]), np.array([[2.0, 2.0, 2.0]])).tolist()
    [2]
    """
    ahead = reference > other
    behind_last = ahead.shape[1] - np.argmax(~ahead[:, ::-1], axis=1)
    found = np.where(ahead.all(axis=1), 0, np.where(ahead[:, -1], behind_last + 1, -1))
    return found.astype(np.int64)


def without_fuel(case: CostCase) -> CostCase:
    """The same case without its fuel."""
    return replace(
        case,
        alternatives=tuple(
            replace(one, items=tuple(item for item in one.items if item.group != "fuel")) for one in case.alternatives
        ),
    )
