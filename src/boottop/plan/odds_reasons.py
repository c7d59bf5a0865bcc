"""Why days were lost: the rule that closed most of the crew's hours of each day, by the windows' own rules."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boottop.plan.calendar import Calendar
from boottop.plan.odds_program import Drafted
from boottop.plan.odds_walk import I32, Loss
from boottop.plan.rules_cover import Cover
from boottop.plan.rules_draft import JobNetwork
from boottop.windows.windows import Rule

REASONS: tuple[str, ...] = (
    "rain",
    "dew",
    "damp air",
    "cold",
    "heat",
    "daylight",
    "yard or crew off",
    "coats do not fit",
    "no weather known",
)
"""Rain: falling, standing on her, or falling before the film is rain-safe. Daylight: the coats do not fit into the
day, whose hours darkness cuts short; coats do not fit: the film is not ready soon enough for the next within the
hours of the day."""

RAIN, DEW, DAMP, COLD, HEAT, DARK, SHUT, SHORT, UNKNOWN = range(len(REASONS))
_OF_RULE: Mapping[Rule, int] = {
    Rule.NO_WEATHER: UNKNOWN,
    Rule.RAIN: RAIN,
    Rule.WET_SURFACE: RAIN,
    Rule.RAIN_BEFORE_SAFE: RAIN,
    Rule.DEW_MARGIN: DEW,
    Rule.FALLING_TO_DEW: DEW,
    Rule.HUMIDITY: DAMP,
    Rule.SURFACE_COLD: COLD,
    Rule.AIR_COLD: COLD,
    Rule.SURFACE_HOT: HEAT,
    Rule.AIR_HOT: HEAT,
    Rule.DARK: DARK,
    Rule.OUTSIDE_HOURS: SHUT,
}
_FITS = len(REASONS)
_TABLE = np.array([_OF_RULE.get(rule, _FITS) for rule in Rule], dtype=np.int64)
_YARD_TASKS = ("haul_out", "move_stands", "launch")


def losses(job: JobNetwork, drafted: Drafted, known: dict[tuple[int, int], I32]) -> Loss:
    """What names the lost days of a program: its groups of coats by the zone of their first coat, and the waits for
    the yard (lifts, move of the stands). `known` keeps tables for the next program of the same network."""
    day_first = drafted.program.day_first
    leads = {int(place): drafted.keys[int(place)] for place in drafted.program.groups[:, 0]}
    waits = [place for place, key in enumerate(drafted.keys) if key in _YARD_TASKS]
    tables = [_cumulated(np.full(day_first.size, SHUT))]
    counted: list[tuple[int, int]] = [(place, 0) for place in waits]
    for place, key in leads.items():
        mode = drafted.modes[key].key
        cover, slots = job.facts[key].covers[mode], sum(part.slots[mode] for part in job.facts[key].parts)
        if (id(cover), slots) not in known:
            known[id(cover), slots] = _cumulated(day_reasons(job.calendar, cover, slots, day_first=day_first))
        counted.append((place, len(tables)))
        tables.append(known[id(cover), slots])
    counted.sort()
    return Loss(
        task=np.array([place for place, _ in counted], dtype=np.int32),
        row=np.array([row for _, row in counted], dtype=np.int32),
        cumulated=np.stack(tables),
        work_from=_work_from(job.calendar, day_first),
    )


def day_reasons(calendar: Calendar, cover: Cover, slots: int, *, day_first: I32) -> NDArray[np.int64]:
    """Reason for which a coat of `slots` slots had to wait on each day, shape (day,).

    Of the crew's hours of the day, the reason that closes most of them; where half of them or more would do for the
    coat, the coats of the group did not fit.
    """
    reason = _slot_reasons(calendar, cover, slots)
    day = calendar.day - calendar.day[0]
    kinds = _FITS + 1
    pairs = (day * kinds + reason)[calendar.hours]
    counts = np.bincount(pairs, minlength=day_first.size * kinds).reshape(day_first.size, kinds)
    hours, closed = counts.sum(axis=1), counts[:, :_FITS]
    fits = (2 * counts[:, _FITS] >= hours) | ~closed.any(axis=1)
    short = np.where(counts[:, DARK] > 0, DARK, SHORT)
    return np.where(hours == 0, SHUT, np.where(fits, short, np.argmax(closed, axis=1)))


def _slot_reasons(calendar: Calendar, cover: Cover, slots: int) -> NDArray[np.int64]:
    """What closes each slot to a coat of `slots` slots, `_FITS` where nothing does; of an open slot that is no start,
    what closes next, rain if that comes after the coat."""
    rule = cover.open.rule
    if cover.tent is not None:
        slot = np.arange(rule.size)
        rule = np.where((slot >= cover.span[0]) & (slot < cover.span[1]), cover.tent.rule, rule)
    reason = _TABLE[rule.astype(np.int64)]
    places = np.where(rule != Rule.OPEN, np.arange(rule.size), rule.size)
    closes = np.minimum.accumulate(places[::-1])[::-1]
    late = closes - np.arange(rule.size) >= slots
    follows = np.where(late | (closes >= rule.size), RAIN, np.append(reason, RAIN)[closes])
    reason = np.where(rule == Rule.OPEN, np.where(cover.may_start(slots), _FITS, follows), reason)
    return np.where(calendar.light, reason, DARK)


def _cumulated(reasons: NDArray[np.int64]) -> I32:
    """Days lost to each reason before each day, if all were lost, shape (reason, day + 2)."""
    table = np.zeros((len(REASONS), reasons.size + 2), np.int32)
    table[reasons, np.arange(reasons.size) + 1] = 1
    return np.asarray(np.cumsum(table, axis=1, dtype=np.int32))


def _work_from(calendar: Calendar, day_first: I32) -> I32:
    """Mark of each day from which the crew is at work; the last slot of the day where it is not."""
    count = calendar.hours.size
    first = np.minimum.reduceat(np.where(calendar.hours, np.arange(count), count), day_first)
    last = np.append(day_first[1:], count) - 1
    return np.append(np.minimum(first, last), [count, count]).astype(np.int32)
