"""Life-cycle cost as a plain loop over events, draw by draw: what the arrays are held against, and measured against."""

from __future__ import annotations

import math

from boottop.money.case import Alternative, CostCase, Item
from boottop.money.draws import Drawn


def events(case: CostCase, one: Alternative, when: str, *, life_years: float | None) -> list[float]:
    """Years from now at which something falls due."""
    horizon = case.horizon_years
    anyway = float(case.hauled_anyway) or math.inf
    hauled = min(anyway, float(one.hauled_every) or math.inf, life_years or math.inf)

    def every(interval: float) -> list[float]:
        if math.isinf(interval):
            return []
        return [number * interval for number in range(math.ceil(horizon / interval - 1e-9))]

    renewals = every(life_years or math.inf)
    return {
        "now": [0.0],
        "renewal": renewals,
        "later renewal": renewals[1:],
        "anyway": every(anyway),
        "haul-out": every(hauled),
        "yearly": [float(year) for year in range(1, horizon + 1)],
        "end": [float(horizon)],
    }[when]


def item_cost(case: CostCase, one: Alternative, item: Item, *, at: dict[str, float]) -> float:
    """Present value of one item in one draw, its unused life taken off."""
    rate, life = at[case.discount], at[one.life] if one.life else None
    each = item.times_factor
    for key in item.factors:
        each *= at[key]
    due = {"extra lift": ("haul-out", "anyway"), "wash visit": ("haul-out", "renewal")}.get(item.when, (item.when, ""))
    worth = 0.0
    for sign, when in zip((1.0, -1.0), due, strict=True):
        for year in events(case, one, when, life_years=life) if when else []:
            grown = (1.0 + at[item.grows]) ** year if item.grows else 1.0
            worth += sign * grown * (1.0 + rate) ** -year
    renewals = events(case, one, "renewal", life_years=life)
    enough = len(renewals) > (1 if item.when == "later renewal" else 0)
    if case.count_unused and life and item.when in ("renewal", "later renewal") and enough:
        unused = (renewals[-1] + life - case.horizon_years) / life
        worth -= max(unused, 0.0) * (1.0 + rate) ** -case.horizon_years
    return each * worth


def costs(case: CostCase, drawn: Drawn) -> list[list[float]]:
    """Cost of every alternative in every draw."""
    draws = drawn[case.discount].size
    found = []
    for one in case.alternatives:
        row = []
        for number in range(draws):
            at = {key: float(values[number]) for key, values in drawn.items()}
            row.append(sum(item_cost(case, one, item, at=at) for item in one.items))
        found.append(row)
    return found
