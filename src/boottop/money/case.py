"""What is compared: inputs with their ranges, alternatives with their cycles, and the items that carry the cost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

import numpy as np

from boottop.base.errors import InputError, Problem

Group = Literal[
    "lift", "days ashore", "wash", "strip", "material", "labour", "divers", "fuel", "resale", "other",
]  # fmt: skip
GROUPS: tuple[Group, ...] = get_args(Group)
When = Literal[
    "now", "renewal", "later renewal", "haul-out", "anyway", "extra lift", "wash visit", "yearly", "end",
]  # fmt: skip
WHENS: tuple[When, ...] = get_args(When)
HORIZON_MAX = 40


@dataclass(frozen=True, kw_only=True)
class Input:
    """A number somebody put in: lowest, likeliest and highest believable value, all in `unit` (shown, never computed).

    Drawn from a triangle over the three; from `sample` instead where there is one (days ashore from the odds), whose
    middle value then stands for the likeliest. Equal ends: the number is taken as certain.
    """

    key: str
    words: str
    unit: str
    span: tuple[float, float, float]
    sample: tuple[float, ...] = ()
    from_where: str = "the cost document"

    @property
    def certain(self) -> bool:
        return not self.sample and self.span[0] == self.span[2]


@dataclass(frozen=True, kw_only=True)
class Correlation:
    """Every two of some inputs go together: `of_factor` between their normal scores (Gaussian copula)."""

    between: tuple[str, ...]
    of_factor: float


@dataclass(frozen=True, kw_only=True)
class Curve:
    """A factor read from an input: straight between points, level beyond them."""

    key: str
    at: tuple[float, ...]
    values: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class Item:
    """One line of cost: the product of its inputs (`factors`), `times_factor` and `curve`, each time it falls due.

    When: "now" once; "renewal" now and each time the film's life is over, "later renewal" without the one now;
    "haul-out" at every one; "anyway" at those that happen whatever is on the hull, "extra lift" at the others; "wash
    visit" at haul-outs without a renewal; "yearly" at the end of each year; "end" at the end of the horizon. `grows`:
    key of the input that says by how much the price outruns inflation each year, for yearly items.
    """

    what: str
    group: Group
    when: When
    factors: tuple[str, ...]
    times_factor: float = 1.0
    curve: Curve | None = None
    grows: str | None = None


@dataclass(frozen=True, kw_only=True)
class Alternative:
    """One way to keep the bottom. `life`: key of the years between renewals, None when it is never renewed.

    `hauled_every`: years between haul-outs that this way asks for, 0 when it asks for none. `choice`: False when it is
    shown for comparison and never advised.
    """

    name: str
    life: str | None
    hauled_every: int
    items: tuple[Item, ...]
    choice: bool = True
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class CostCase:
    """All that is compared. `discount`: key of the real rate. `reference`: what the others are measured against.

    `hauled_anyway`: years between haul-outs that happen whatever is on the hull, 0 for none. `count_unused`: the part
    of the last renewal's life that lies beyond the horizon is given back there (straight line).
    """

    currency: str
    horizon_years: int
    inputs: Mapping[str, Input]
    alternatives: tuple[Alternative, ...]
    reference: str
    discount: str
    inflation_fraction: float
    hauled_anyway: int
    correlations: tuple[Correlation, ...] = ()
    count_unused: bool = True
    notes: tuple[str, ...] = field(default=())

    @property
    def doubtful(self) -> tuple[Input, ...]:
        """Inputs that have a range, in order."""
        return tuple(one for one in self.inputs.values() if not one.certain)

    def reference_index(self) -> int:
        """Place of the reference among the alternatives."""
        return next(number for number, one in enumerate(self.alternatives) if one.name == self.reference)


def check_case(case: CostCase) -> CostCase:
    """The case itself; InputError with everything in it that cannot be reckoned."""
    problems = [*_check_inputs(case), *_check_links(case)]
    if not 1 <= case.horizon_years <= HORIZON_MAX:
        problems.append(_problem("horizon", f"{case.horizon_years} years", f"1 to {HORIZON_MAX} years"))
    if len(case.alternatives) < 2:
        problems.append(_problem("alternatives", f"{len(case.alternatives)} of them", "two or more to compare"))
    if problems:
        raise InputError(problems)
    return case


def _check_inputs(case: CostCase) -> list[Problem]:
    problems = []
    for one in case.inputs.values():
        low, likely, high = one.span
        if not (np.all(np.isfinite(one.span)) and low <= likely <= high):
            found = f"{low:g}, {likely:g}, {high:g} {one.unit}".strip()
            problems.append(_problem(one.words, found, "low, likely, high in rising order"))
    return problems


def _check_links(case: CostCase) -> list[Problem]:
    """Every key that is named is an input, every life is longer than nothing, names are there once."""
    problems, known = [], set(case.inputs)
    for one in case.alternatives:
        keys = [key for item in one.items for key in (*item.factors, *([item.grows] if item.grows else []))]
        keys += [item.curve.key for item in one.items if item.curve] + ([one.life] if one.life else [])
        problems += [_problem(one.name, f"the input {key!r}", "an input that is given") for key in keys
                     if key not in known]  # fmt: skip
        if one.life in known and case.inputs[one.life].span[0] <= 0.0:
            problems.append(_problem(one.name, "a life of nothing", "more than 0 years between renewals"))
    names = [one.name for one in case.alternatives]
    if len(set(names)) != len(names):
        problems.append(_problem("alternatives", "a name that stands twice", "a name of its own for each"))
    if case.reference not in names:
        problems.append(_problem("compare against", repr(case.reference), ", ".join(map(repr, names))))
    problems += [_problem("correlations", repr(key), "inputs that are given") for one in case.correlations
                 for key in one.between if key not in known]  # fmt: skip
    return problems


def _problem(where: str, found: str, allowed: str) -> Problem:
    return Problem(where=where, found=found, allowed=allowed, advice="Correct it in the cost document.")
