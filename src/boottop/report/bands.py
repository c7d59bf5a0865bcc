"""Runs of slots that look alike: how a rule that closes a slot is drawn, and where each run begins and ends."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from boottop.windows.windows import Rule


@dataclass(frozen=True, kw_only=True)
class Look:
    """How a family of rules is drawn: a class name of the style sheet and the words of the legend."""

    name: str
    legend: str


OPEN = Look(name="open", legend="open for coating")
WET = Look(name="wet", legend="rain, or surface still wet")
DEW = Look(name="dew", legend="too near the dew point, or too humid")
COLD = Look(name="cold", legend="too cold")
HOT = Look(name="hot", legend="too hot")
DARK = Look(name="dark", legend="too dark")
UNKNOWN = Look(name="unknown", legend="no weather known")
LOOKS = (OPEN, WET, DEW, COLD, HOT, DARK, UNKNOWN)

LOOK_OF: Mapping[Rule, Look] = {
    Rule.OPEN: OPEN,
    Rule.NO_WEATHER: UNKNOWN,
    Rule.RAIN: WET,
    Rule.WET_SURFACE: WET,
    Rule.RAIN_BEFORE_SAFE: WET,
    Rule.DEW_MARGIN: DEW,
    Rule.HUMIDITY: DEW,
    Rule.FALLING_TO_DEW: DEW,
    Rule.SURFACE_COLD: COLD,
    Rule.AIR_COLD: COLD,
    Rule.SURFACE_HOT: HOT,
    Rule.AIR_HOT: HOT,
    Rule.OUTSIDE_HOURS: DARK,
    Rule.DARK: DARK,
}


@dataclass(frozen=True, kw_only=True)
class Span:
    """Slots `first` to before `end` that are drawn alike."""

    look: Look
    first: int
    end: int


def spans(rules: NDArray[np.int8]) -> Iterator[Span]:
    """Runs of equal look over `rules`, shape (slot,), in order, without gaps."""
    if rules.size == 0:
        return
    order = {look: number for number, look in enumerate(LOOKS)}
    codes = np.array([order[LOOK_OF[rule]] for rule in Rule], dtype=np.int8)[rules]
    edges = [0, *(np.flatnonzero(np.diff(codes)) + 1).tolist(), codes.size]
    for first, end in pairwise(edges):
        yield Span(look=LOOKS[codes[first]], first=first, end=end)


def runs(true: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First slot and the slot after the last of every run of true slots.

    >>> runs(np.array([True, True, False, True]))
    [(0, 2), (3, 4)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([False], true, [False])))).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))
