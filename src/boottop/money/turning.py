"""What the decision hangs on: the tornado, and the value of each input at which another choice would be cheapest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from boottop.money.case import CostCase, Input
from boottop.money.draws import Drawn, likely
from boottop.money.value import value

Floats = NDArray[np.float64]
STEPS = 65
REACH = 3.0
"""Values are looked for as far as three times the likeliest one, and down to a third of it, outside the range too."""


@dataclass(frozen=True, kw_only=True)
class Swing:
    """One bar of the tornado: what the best choice saves against its rival with one input at its lowest and highest,
    the others at their likeliest; minor units. Inputs move one at a time here, also those that are correlated."""

    key: str
    words: str
    unit: str
    ends: tuple[float, float]
    saving_minor: tuple[int, int]

    @property
    def width_minor(self) -> int:
        return abs(self.saving_minor[1] - self.saving_minor[0])


@dataclass(frozen=True, kw_only=True)
class Turn:
    """Where one input turns the decision. `at`: the value, empty when there is none as far as was looked (`looked`).

    `inside`: it lies within the input's own range. `instead`: the choice that would be cheapest beyond it.
    `reach_share`: how far from the likeliest value, in shares of the range on that side (1: at its end).
    """

    key: str
    words: str
    unit: str
    likely: tuple[float, float, float]
    at: tuple[float, ...]
    inside: bool
    instead: str
    reach_share: float
    looked: tuple[float, float]


def swings(case: CostCase, *, best: int, rival: int) -> tuple[Swing, ...]:
    """The tornado, widest first."""
    doubtful = case.doubtful
    if not doubtful:
        return ()
    drawn = _one_at_a_time(case, [(one.key, end) for one in doubtful for end in ends_of(one)])
    cost = value(case, drawn).cost
    saving = cost[rival] - cost[best]
    found = [
        Swing(
            key=one.key,
            words=one.words,
            unit=one.unit,
            ends=ends_of(one),
            saving_minor=(round(float(saving[2 * number])), round(float(saving[2 * number + 1]))),
        )
        for number, one in enumerate(doubtful)
    ]
    return tuple(sorted(found, key=lambda one: (-one.width_minor, one.key)))


def ends_of(one: Input) -> tuple[float, float]:
    """Lowest and highest value of an input."""
    return (min(one.sample), max(one.sample)) if one.sample else (one.span[0], one.span[2])


def _one_at_a_time(case: CostCase, changes: list[tuple[str, float]]) -> Drawn:
    """Every input at its likeliest, shape (change,), but for the one of each change."""
    drawn = {key: np.full(len(changes), one[0]) for key, one in likely(case).items()}
    for number, (key, at) in enumerate(changes):
        drawn[key][number] = at
    return drawn


def turns(case: CostCase, *, choices: tuple[int, ...]) -> tuple[Turn, ...]:
    """Turning value of every doubtful input, those that turn the decision most easily first.

    The difference between the cheapest other choice and the best one is scanned and its sign change refined by Brent's
    method (scipy); of several values the nearest to the likeliest counts.
    """
    if len(choices) < 2:
        return ()
    found = [_turn(case, one, choices) for one in case.doubtful]
    return tuple(sorted(found, key=lambda one: (not one.at, one.reach_share, one.key)))


def _turn(case: CostCase, one: Input, choices: tuple[int, ...]) -> Turn:
    low, high = looked_at(one)
    values = np.unique(np.append(np.linspace(low, high, STEPS), one.span[1]))
    lead = _lead(case, one.key, values, choices=choices)
    crossings = np.flatnonzero(np.sign(lead[:-1]) != np.sign(lead[1:]))
    roots = [_root(case, one.key, (float(values[n]), float(values[n + 1])), choices=choices) for n in crossings]
    at = min(roots, key=lambda root: _reach(one, root), default=None)
    bottom, top = ends_of(one)
    return Turn(
        key=one.key,
        words=one.words,
        unit=one.unit,
        likely=one.span,
        at=() if at is None else (at,),
        inside=at is not None and bottom <= at <= top,
        instead="" if at is None else _instead(case, one, at, choices=choices),
        reach_share=np.inf if at is None else _reach(one, at),
        looked=(low, high),
    )


def looked_at(one: Input) -> tuple[float, float]:
    """Span of values in which a turning value is looked for: the range, and beyond it as far as makes sense."""
    low, high = ends_of(one)
    middle = one.span[1]
    if low < 0.0 or middle <= 0.0:
        return low, high
    return min(low, middle / REACH), max(high, middle * REACH)


def _reach(one: Input, at: float) -> float:
    low, high = ends_of(one)
    side = high - one.span[1] if at >= one.span[1] else one.span[1] - low
    return abs(at - one.span[1]) / side if side > 0.0 else abs(at - one.span[1]) / max(high - low, 1e-12) + 1.0


def _lead(case: CostCase, key: str, values: Floats, *, choices: tuple[int, ...]) -> Floats:
    """By how much the choice that is best in the likely case stays ahead of the others, shape of `values`."""
    middle = value(case, likely(case)).cost[list(choices), 0]
    best = int(np.argmin(middle))
    cost = value(case, _one_at_a_time(case, [(key, float(one)) for one in values])).cost[list(choices)]
    others = np.delete(cost, best, axis=0)
    return np.asarray(others.min(axis=0) - cost[best])


def _root(case: CostCase, key: str, between: tuple[float, float], *, choices: tuple[int, ...]) -> float:
    return float(
        brentq(lambda at: float(_lead(case, key, np.array([at]), choices=choices)[0]), *between, xtol=1e-9, rtol=1e-9)
    )


def _instead(case: CostCase, one: Input, at: float, *, choices: tuple[int, ...]) -> str:
    """The choice that is cheapest a little beyond the turning value."""
    step = 1e-3 * max(abs(at - one.span[1]), 1e-6 * max(abs(at), 1.0))
    beyond = at + step if at >= one.span[1] else at - step
    cost = value(case, _one_at_a_time(case, [(one.key, beyond)])).cost[list(choices), 0]
    return case.alternatives[choices[int(np.argmin(cost))]].name
