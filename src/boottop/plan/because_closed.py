"""What closes a slot to a task whatever the others do: hours, light, or the weather with its numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from boottop.base.errors import BoottopError
from boottop.plan.rules_draft import Closer, JobNetwork
from boottop.windows.windows import Closed, Rule

BlockKind = Literal["wait", "late", "push", "hands", "hours", "weather", "day", "free"]


@dataclass(frozen=True, kw_only=True)
class Block:
    """One rule that forbids a start.

    `kind`: "wait" for work or film before it, "late" after it, "push" of what comes later, "hands", "hours",
    "weather", "day" (not enough left of the day for all coats), "free" (nothing forbids it). `rule` is the family,
    for putting like with like. `says` the sentence; `needed`, `had` in `unit` where the rule has numbers.
    """

    kind: BlockKind
    rule: str
    says: str
    needed: float | None = None
    had: float | None = None
    unit: str = ""


def closed_block(job: JobNetwork, key: str, *, mode: str, start: int) -> Block:
    """What closes slot `start` to a task in a mode that has no admissible start there: hours first, then weather."""
    shut = shut_by(job, key, mode=mode, start=start)
    if shut is not None:
        closer, slot = shut
        says = f"{closer.says} at {job.calendar.hour_said(slot, beside=start)}"
        return Block(kind="weather" if closer.weather else "hours", rule=closer.says, says=says)
    if mode not in job.facts[key].covers:
        return Block(kind="weather", rule="no weather", says="it would not be done before the weather file ends")
    return _film_block(job, key, mode=mode, start=start)


def shut_by(job: JobNetwork, key: str, *, mode: str, start: int) -> tuple[Closer, int] | None:
    """The closer that shuts a start, and the slot that it shuts; a task that runs straight through asks every slot."""
    facts, last = job.facts[key], start + 1
    if mode in facts.covers:
        last = min(start + sum(part.slots[mode] for part in facts.parts), job.network.count)
    for closer in facts.closers[mode]:
        shut = np.flatnonzero(~closer.open[start:last])
        if shut.size:
            return closer, start + int(shut[0])
    return None


def _film_block(job: JobNetwork, key: str, *, mode: str, start: int) -> Block:
    """What the windows of the coating say against a start, part by part."""
    cover, at = job.facts[key].covers[mode], start
    for part in job.facts[key].parts:
        end = at + part.slots[mode]
        for slot in range(at, min(end, job.network.count)):
            closed = cover.windows_at(slot).closed_at(slot)
            if closed.rule != Rule.OPEN:
                when = job.calendar.hour_said(slot, beside=start)
                return _weather_block(closed, f"{closed_says(closed)} at {when}")
        if end > job.network.count:
            return Block(kind="weather", rule="no weather", says="it would not be done before the weather file ends")
        if part.kind != "wipe" and (film := cover.why_not(at, part.slots[mode])) is not None:
            return _weather_block(film, closed_says(film))
        at = end
    if cover.key == "tent":
        return Block(kind="weather", rule="tent", says="the tent would be set up or struck over a film not rain-safe")
    raise BoottopError(f"{key}: closed in slot {start}, yet no rule closes it")


def _weather_block(closed: Closed, says: str) -> Block:
    return Block(kind="weather", rule=closed.text, says=says, needed=closed.needed, had=closed.had, unit=closed.unit)


def closed_says(closed: Closed) -> str:
    """A closed slot in words and numbers.

    >>> closed_says(Closed(rule=Rule.DEW_MARGIN, needed=3.0, had=2.08, unit="K"))
    'too close to the dew point (2.1 K, needs 3 K)'
    >>> closed_says(Closed(rule=Rule.HUMIDITY, needed=0.85, had=0.912, unit="fraction"))
    'air too humid (91 %, limit 85 %)'
    """
    if closed.rule == Rule.RAIN_BEFORE_SAFE:
        return f"rain {closed.had:g} h after the coat, rain-safe only after {closed.needed:g} h"
    if closed.rule == Rule.NO_WEATHER:
        return "the weather file does not reach that far"
    if closed.rule == Rule.RAIN:
        return f"rain ({closed.had:.1f} mm in the quarter of an hour)"
    numbers = {
        "K": f"{closed.had:.1f} K, needs {closed.needed:g} K",
        "fraction": f"{100 * closed.had:.0f} %, limit {100 * closed.needed:.0f} %",
        "degC": f"{closed.had:.1f} degC, limit {closed.needed:g} degC",
    }.get(closed.unit)
    return closed.text if numbers is None else f"{closed.text} ({numbers})"
