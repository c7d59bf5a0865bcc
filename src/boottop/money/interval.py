"""How long to let a film last: the best interval of renewal when upkeep rises with the film's age."""

from __future__ import annotations

from dataclasses import dataclass

from boottop.money.case import Alternative, CostCase
from boottop.money.discount import EconomicLife, economic_life
from boottop.money.draws import likely
from boottop.money.value import amount

LONGEST_YEARS = 20


@dataclass(frozen=True, kw_only=True)
class BestInterval:
    """Best years between renewals of one way: with upkeep rising as likely, and over its range (fewest to most)."""

    name: str
    life: EconomicLife
    from_years: int
    to_years: int


def best_interval(case: CostCase, alternative: Alternative, rises_key: str) -> BestInterval | None:
    """The interval with the least equivalent annual cost, up to 20 years; None for a way that is never renewed.

    A renewal with its extra lift where she is not hauled anyway; the first year of a film costs no upkeep, each further
    one `rises_key` more than the one before. Haul-outs that happen anyway are the same for every interval and left out.
    Source: economic life as in Panneerselvam, Engineering Economics, Ex 8.1 (read).
    """
    if alternative.life is None or rises_key not in case.inputs:
        return None
    middle = likely(case)
    due = ("renewal",) if case.hauled_anyway else ("renewal", "extra lift", "haul-out")
    first = sum(float(amount(item, middle)[0]) for item in alternative.items if item.when in due)
    rate = float(middle[case.discount][0])
    low, probable, high = (
        economic_life(first, [rise * year for year in range(LONGEST_YEARS)], rate=rate)
        for rise in case.inputs[rises_key].span
    )
    return BestInterval(name=alternative.name, life=probable, from_years=high.best_years, to_years=low.best_years)
