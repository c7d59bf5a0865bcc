"""Small invented cases of cost for the tests of this room."""

from __future__ import annotations

from boottop.money.case import Alternative, CostCase, Group, Input, Item, When

Span = tuple[float, float, float]


def sure(value: float) -> Span:
    """A range of nothing."""
    return value, value, value


def inputs(**spans: Span) -> dict[str, Input]:
    """Inputs by key, without words of their own."""
    return {key: Input(key=key, words=key, unit="money", span=span) for key, span in spans.items()}


def item(when: When, *factors: str, group: Group = "other", times: float = 1.0, grows: str | None = None) -> Item:
    """One item."""
    return Item(what=when, group=group, when=when, factors=factors, times_factor=times, grows=grows)


def way(name: str, *items: Item, life: str | None = None, hauled_every: int = 0, choice: bool = True) -> Alternative:
    """One way."""
    return Alternative(name=name, life=life, hauled_every=hauled_every, items=items, choice=choice)


def case(
    known: dict[str, Input],
    *ways: Alternative,
    years: int = 10,
    rate: Span = (0.0, 0.0, 0.0),
    hauled_anyway: int = 0,
    count_unused: bool = True,
) -> CostCase:
    """A case that compares ways with the first of them."""
    return CostCase(
        currency="USD",
        horizon_years=years,
        inputs={**known, **inputs(discount=rate)},
        alternatives=ways,
        reference=ways[0].name,
        discount="discount",
        inflation_fraction=0.02,
        hauled_anyway=hauled_anyway,
        count_unused=count_unused,
    )
