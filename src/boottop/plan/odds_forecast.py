"""A crew that knows only the forecast it would have had: it goes by it, and pays when rain falls on a film.

The model of the forecast: on a share `skill` of the days (drawn by day, the same days for every option) the crew knows
the day as it will be. On the others it expects the hours of the last working day again at the same clock times. It
begins the coats of a day when that forecast holds them all, and each coat when the slot is open then and there.
What goes wrong: a coat on which rain falls before it is rain-safe, or under which the window shuts; or a day that ends
before the coats of its group are done. Then the zones begun are let cure until they can be sanded, sanded again, and
coated anew; labour and material of the lost coats and the sanding are paid. Undercoats outside a group are placed with
foresight. Source: the persistence forecast is the usual yardstick of forecasting (common practice); that an imperfect
forecast is either right for the day or no better than persistence is our own simplification.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from boottop.plan.calendar import all_open
from boottop.plan.odds_program import Drafted, Pool
from boottop.plan.odds_walk import (
    AFTER_LINKS,
    BEFORE,
    BY_START,
    DONE,
    EARLY,
    ENDS_BY,
    FINISH,
    FIRST_LINK,
    GAVE_UP,
    HANDS,
    I32,
    IN_TIME,
    LATE,
    MOST_STEPS,
    NEVER,
    NEXT,
    Program,
    Scenarios,
)
from boottop.plan.rules_draft import JobNetwork

SKILL = 0.8
"""Share of days whose forecast is right, taken for want of a better figure (common practice: a forecast for the next
day is mostly right; no source for the number)."""


class Blind(NamedTuple):
    """What the walk of a crew without foresight needs beside its program.

    Of each task: `seen` the row of the next start as the crew sees it at the moment; `coat` whether it is a coat of a
    group; `sand` the task that sands its zone; `sandable` the row of the mark from which its film can be sanded; `paid`
    what doing it again costs, minor units. `chains` (group, 2) first task and after the last of what a day must hold,
    `known` (day,) whether the forecast of a day is right, `day_before` (day,) the last working day before it or -1.
    """

    seen: I32
    coat: I32
    sand: I32
    sandable: I32
    paid: NDArray[np.int64]
    chains: I32
    known: I32
    day_before: I32


@njit(cache=True, nogil=True)
def _chain(program, next_rows, chain, case, marks):  # type: ignore[no-untyped-def] # noqa: C901, PLR0917 - arrays, typed by the compiler
    """Try the tasks of a chain on the day of mark case[0]; the first task that does not get done on it, or the end of
    the chain. case[1]: slots by which the trial lies before the day that is meant, which what was placed before the
    chain is moved with."""
    pool, tasks, links, crew, day, _, _ = program
    start, finish = marks
    count, (t, shift) = pool.shape[1] - 2, case
    for i in range(chain[0], chain[1]):
        u = t
        for k in range(tasks[FIRST_LINK, i], tasks[AFTER_LINKS, i]):
            b = links[BEFORE, k]
            if links[EARLY, k] >= 0:
                moved = shift if b < chain[0] else 0
                u = max(u, pool[links[EARLY, k], start[b] if links[BY_START, k] else finish[b]] - moved)
        s = pool[next_rows[i], min(u, count + 1)]
        f = pool[tasks[FINISH, i], s]
        while f <= count:
            held, ends = tasks[HANDS, i], f
            for j in range(i):
                moved = shift if j < chain[0] else 0
                if tasks[HANDS, j] and start[j] - moved < f and finish[j] - moved > s:
                    held += tasks[HANDS, j]
                    ends = min(ends, finish[j] - moved)
            if held <= crew[0]:
                break
            s = pool[next_rows[i], ends]
            f = pool[tasks[FINISH, i], s]
        if f > count or day[s] != day[t] or day[f - 1] != day[t]:
            return i
        for k in range(tasks[FIRST_LINK, i], tasks[AFTER_LINKS, i]):
            b = links[BEFORE, k]
            at = start[b] if links[BY_START, k] else finish[b]
            if links[LATE, k] >= 0 and b >= chain[0] and s > pool[links[LATE, k], at]:
                return i
        start[i], finish[i] = s, f
    return chain[1]


@njit(cache=True, nogil=True)
def _goes(program, blind, chain, t, marks):  # type: ignore[no-untyped-def] # noqa: PLR0917 - arrays, typed by the compiler
    """Whether the forecast on the day of mark `t` promises the whole chain."""
    day, first = program.day, program.day_first
    d = day[t]
    next_rows = program.tasks[NEXT]
    if blind.known[d]:
        return _chain(program, next_rows, chain, (t, 0), marks) == chain[1]
    before = blind.day_before[d]
    if before < 0:
        return False
    shift = first[d] - first[before]
    return _chain(program, next_rows, chain, (t - shift, shift), marks) == chain[1]


@njit(cache=True, nogil=True)
def _spoilt(program, blind, span, start):  # type: ignore[no-untyped-def] # noqa: PLR0917 - arrays, typed by the compiler
    """First coat of a span that does not come through, the end of the span when all do."""
    for i in range(span[0], span[1]):
        if blind.coat[i] and program.pool[program.tasks[NEXT, i], start[i]] != start[i]:
            return i
    return span[1]


@njit(cache=True, nogil=True)
def _sanded(program, blind, span, marks):  # type: ignore[no-untyped-def] # noqa: PLR0917 - arrays, typed by the compiler
    """Mark from which the zones coated in a span are sanded again, and what that costs; past the end when never."""
    pool, tasks = program.pool, program.tasks
    start, finish = marks
    count, cures, cost = pool.shape[1] - 2, 0, 0
    for i in range(span[0], span[1]):
        if blind.coat[i]:
            cures = max(cures, pool[blind.sandable[i], finish[i]])
            cost += blind.paid[i]
    for i in range(span[0], span[1]):
        a = blind.sand[i]
        first = blind.coat[i] == 1
        for j in range(span[0], i):
            first = first and not (blind.coat[j] and blind.sand[j] == a)
        if first and cures <= count:
            s = pool[tasks[NEXT, a], cures]
            cures = pool[tasks[FINISH, a], s]
            start[a], finish[a] = s, cures
            cost += blind.paid[a]
    return cures, cost


@njit(cache=True, nogil=True)
def _coat_day(program, blind, case, marks):  # type: ignore[no-untyped-def] # noqa: PLR0917 - arrays, typed by the compiler
    """For (group, mark, mark to be afloat by): days that go by until a chain is done; DONE or NEVER, times it was
    spoilt, what that cost."""
    group, t, until = case
    chain = blind.chains[group]
    spoilt, cost = 0, 0
    trial = np.empty_like(marks[0]), np.empty_like(marks[1])
    while t < until and program.day[t] < program.day_first.shape[0]:
        trial[0][:], trial[1][:] = marks[0], marks[1]
        if _goes(program, blind, chain, t, trial):
            rows = program.tasks[NEXT] if blind.known[program.day[t]] else blind.seen
            end = _chain(program, rows, chain, (t, 0), marks)
            bad = _spoilt(program, blind, (chain[0], end), marks[0])
            if bad == chain[1]:
                return DONE, spoilt, cost
            begun = min(end, bad + 1)
            if blind.coat[chain[0] : begun].sum() > 0:
                t, more = _sanded(program, blind, (chain[0], begun), marks)
                spoilt, cost = spoilt + 1, cost + more
                continue
        d = program.day[t] + 1
        t = program.day_first[d] if d < program.day_first.shape[0] else until
    return NEVER, spoilt, cost


@njit(cache=True, nogil=True)
def _walk_blind(program, blind, case, marks):  # type: ignore[no-untyped-def] # noqa: C901, PLR0912, PLR0915, PLR0917 - as in odds_walk
    """Place every task; (status, times spoilt, cost of it)."""
    pool, tasks, links, crew, _, _, _ = program
    start, finish = marks
    count = pool.shape[1] - 2
    until, spoilt, cost, i = min(case[1], count), 0, 0, 0
    hold = np.zeros(tasks.shape[1], np.int32)
    hold[0] = case[0]
    for _ in range(MOST_STEPS):
        t = hold[i]
        for k in range(tasks[FIRST_LINK, i], tasks[AFTER_LINKS, i]):
            if links[EARLY, k] >= 0:
                b = links[BEFORE, k]
                t = max(t, pool[links[EARLY, k], start[b] if links[BY_START, k] else finish[b]])
        group = -1
        for g in range(blind.chains.shape[0]):
            if blind.chains[g, 0] == i:
                group = g
        if group >= 0:
            status, times, more = _coat_day(program, blind, (group, min(t, count), until), marks)
            spoilt, cost = spoilt + times, cost + more
            if status != DONE:
                return NEVER, spoilt, cost
            i = blind.chains[group, 1]
            continue
        s = pool[tasks[NEXT, i], min(t, count + 1)]
        f = pool[tasks[FINISH, i], s]
        while f <= count and tasks[HANDS, i]:
            held, ends = tasks[HANDS, i], f
            for j in range(i):
                if tasks[HANDS, j] and start[j] < f and finish[j] > s:
                    held += tasks[HANDS, j]
                    ends = min(ends, finish[j])
            if held <= crew[0]:
                break
            s = pool[tasks[NEXT, i], ends]
            f = pool[tasks[FINISH, i], s]
        if f > until:
            return NEVER, spoilt, cost
        missed = -1
        for k in range(tasks[FIRST_LINK, i], tasks[AFTER_LINKS, i]):
            if links[LATE, k] >= 0:
                b = links[BEFORE, k]
                missed = k if s > pool[links[LATE, k], start[b] if links[BY_START, k] else finish[b]] else missed
        if missed >= 0:
            b, row = links[BEFORE, missed], links[LATE, missed]
            u = pool[links[IN_TIME, missed], s]
            if not links[BY_START, missed]:
                u = pool[tasks[ENDS_BY, b], u]
            u = pool[tasks[NEXT, b], max(start[b] + 1, u)]
            f = pool[tasks[FINISH, b], u]
            while f <= count and pool[row, u if links[BY_START, missed] else f] < s:
                u = pool[tasks[NEXT, b], u + 1]
                f = pool[tasks[FINISH, b], u]
            if f > count or u >= until:
                return NEVER, spoilt, cost
            hold[b] = u
            i = b
            continue
        start[i], finish[i] = s, f
        i += 1
        if i == tasks.shape[1]:
            return DONE, spoilt, cost
    return GAVE_UP, spoilt, cost


@njit(cache=True, nogil=True)
def _walk_all(program, blind, case, out):  # type: ignore[no-untyped-def] # noqa: PLR0917 - arrays, typed by the compiler
    starts, until = case
    status, haul, launch, spoilt, cost = out
    tasks, beyond = program.tasks.shape[1], program.pool.shape[1] - 1
    marks = np.zeros(tasks, np.int32), np.zeros(tasks, np.int32)
    for scenario in range(starts.shape[0]):
        one = (starts[scenario], until[scenario])
        status[scenario], spoilt[scenario], cost[scenario] = _walk_blind(program, blind, one, marks)
        done = status[scenario] == DONE
        haul[scenario] = marks[0][0] if done else beyond
        launch[scenario] = marks[1][tasks - 1] if done else beyond


@dataclass(frozen=True, kw_only=True)
class Forecasted:
    """One entry a start, as `Walked`; `spoilt` how often coats were lost, `cost_minor` what that cost."""

    status: I32
    haul: I32
    launch: I32
    spoilt: I32
    cost_minor: NDArray[np.int64]


def walk_forecast(program: Program, blind: Blind, case: Scenarios) -> Forecasted:
    """Walk a job with the forecast only, from each start."""
    size = case.starts.size
    status, haul, launch, spoilt = (np.zeros(size, np.int32) for _ in range(4))
    cost = np.zeros(size, np.int64)
    _walk_all(program, blind, (case.starts, case.until), (status, haul, launch, spoilt, cost))
    return Forecasted(status=status, haul=haul, launch=launch, spoilt=spoilt, cost_minor=cost)


def known_days(job: JobNetwork, *, skill: float, seed: int) -> I32:
    """Whether the forecast of each local day is right, shape (day,): the same for every option and every piece."""
    days = np.unique(job.calendar.day)
    draws = [np.random.default_rng([seed, int(day)]).random() for day in days]
    return (np.array(draws) < skill).astype(np.int32)


def blind_of(
    job: JobNetwork, drafted: Drafted, *, pool: Pool, known: I32, coat_minor: Mapping[str, int]
) -> Blind | None:
    """What a crew without foresight needs; None where an order scatters the coats of a day. `coat_minor`: material of
    one coat by zone name."""
    keys, program = drafted.keys, drafted.program
    chains = _chains(job, drafted)
    if chains is None:
        return None
    size = len(keys)
    blind = Blind(
        seen=program.tasks[NEXT].copy(), coat=np.zeros(size, np.int32), sand=np.full(size, -1, np.int32),
        sandable=np.zeros(size, np.int32), paid=np.array([drafted.modes[key].cost_minor for key in keys], np.int64),
        chains=chains, known=known, day_before=_day_before(job, program),
    )  # fmt: skip
    for place in {int(place) for first, end in chains for place in range(first, end)}:
        facts, mode = job.facts[keys[place]], drafted.modes[keys[place]]
        cover, zone = facts.covers[mode.key], str(facts.parts[-1].zone)
        slots = sum(part.slots[mode.key] for part in facts.parts)
        admits = all_open(job.calendar.crew, slots) & cover.all_open() & (mode.finish <= job.network.count)
        blind.seen[place] = pool.starts(admits, mode.finish)
        if facts.parts[-1].coat is not None:
            blind.coat[place] = 1
            blind.sand[place] = _sander(keys, zone)
            blind.sandable[place] = pool.row(cover.sandable())
            blind.paid[place] += coat_minor.get(zone, 0)
    return blind


def _chains(job: JobNetwork, drafted: Drafted) -> I32 | None:
    """First task and after the last of what each group of coats needs on its day: the wipes before it belong to it."""
    found = []
    for members in drafted.program.groups:
        coats = [int(place) for place in members if place >= 0]
        first = coats[0]
        while first > 0 and job.facts[drafted.keys[first - 1]].kind == "wipe":
            first -= 1
        if coats[-1] - first + 1 != len(coats) + coats[0] - first:
            return None
        found.append((first, coats[-1] + 1))
    return np.array(found, dtype=np.int32).reshape(-1, 2)


def _sander(keys: tuple[str, ...], zone: str) -> int:
    """The task that abrades a zone: that after its undercoat where it has one."""
    last = [place for place, key in enumerate(keys) if key.startswith((f"abrade/{zone}", f"prepare/{zone}"))]
    return max(last)


def _day_before(job: JobNetwork, program: Program) -> I32:
    """The last day before each on which the crew works, -1 without one, shape (day,)."""
    days = program.day_first.size
    works = np.bincount(program.day[: job.network.count], weights=job.calendar.crew, minlength=days)[:days] > 0
    last = np.maximum.accumulate(np.where(works, np.arange(days), -1))
    return np.concatenate([[-1], last[:-1]]).astype(np.int32)
