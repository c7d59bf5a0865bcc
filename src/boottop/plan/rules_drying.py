"""Until when a wetted hull is wet, in the open, under the tent, and where the one runs into the other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boottop.base.clock import SLOTS_PER_HOUR
from boottop.climate.climate import Climate
from boottop.windows.windows import Rule, ZoneWindows

Marks = NDArray[np.int32]

WETTING = ("wash", "strip", "abrade", "wipe")
"""Kinds of work that may leave the hull wet: abrading, because dust is best kept down with water."""


def dry_under(open_: Marks, tent: Marks, span: tuple[int, int]) -> Marks:
    """Mark at which a surface wetted at each mark is dry where a tent stands over `span`, shape as given (..., mark).

    `open_` and `tent` are the same in the open and under it. Wet still when the tent goes up, a surface counts as
    wetted afresh under it at that moment, and so again in the open when it is struck: the cautious side of both.
    """
    (first, end), mark = span, np.arange(open_.shape[-1])
    struck = np.where(tent > end, open_[..., end : end + 1], tent)
    raised = np.where(open_ > first, struck[..., first : first + 1], open_)
    return np.where(mark < first, raised, np.where(mark < end, struck, open_)).astype(np.int32)


def wet_until(open_: Climate, tent: Climate, *, zone: str, span: tuple[int, int]) -> int:
    """Mark until which a zone stays wet under a tent put up at the start of `span`; that mark itself if dry then.

    She is wet then if water stands on her in the last slot before. Each wet patch dries as one wetted afresh.
    """
    first = span[0]
    if first == 0:
        return first
    wet = [row for row in open_.rows(zone) if open_.wet[row, first - 1]]
    dry = dry_under(open_.dry_after, tent.dry_after, span)
    return max([first, *(int(dry[row, first]) for row in wet)])


def kept_wet(windows: ZoneWindows, first: int, until: int) -> ZoneWindows:
    """Windows under a tent with the surface still wet from one mark to another; rules named before it stay."""
    until = min(until, windows.grid.count)
    here = slice(first, until)
    wet = (windows.rule[here] == Rule.OPEN) | (windows.rule[here] > Rule.WET_SURFACE)
    rule, needed, had = windows.rule.copy(), windows.needed.copy(), windows.had.copy()
    rule[here][wet], needed[here][wet] = Rule.WET_SURFACE, 0.0
    had[here][wet] = ((until - np.arange(first, until)) / SLOTS_PER_HOUR)[wet]
    return replace(windows, rule=rule, needed=needed, had=had)
