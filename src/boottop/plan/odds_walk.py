"""The walk: the crew takes the tasks of a job in a fixed order, each at the earliest moment that the windows leave.

A serial scheme over the arrays that the plan reads: a task starts at the first admissible start after all that it
waits for, in a gap of the crew's day where hands are free. A coat that misses the day of its group, or starts later
than a link allows, sends the walk back to the task that must be put off; holds only rise, so it ends.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

I32 = NDArray[np.int32]
MOST_STEPS = 20_000
MOST_TRIES = 16
"""How often coats of one day are put off within it before the day is given up."""
DONE, NEVER, GAVE_UP = 0, 1, 2


NEXT, FINISH, ENDS_BY, HANDS, GROUP, FIRST_LINK, AFTER_LINKS = range(7)
"""Rows of `Program.tasks`."""
BEFORE, EARLY, LATE, IN_TIME, BY_START = range(5)
"""Rows of `Program.links`."""


class Program(NamedTuple):
    """A job under one option and one policy, for the walk.

    `pool` (row, mark): arrays by mark 0..count + 1, `count + 1` standing for "not within the known weather".
    `tasks` (column, task) in order: NEXT (next admissible start), FINISH and ENDS_BY (first slot that ends at a mark
    or after it) name rows of the pool, HANDS says how many of the `crew` (1,) it takes, GROUP its group of one day or
    -1, FIRST_LINK and AFTER_LINKS its links.
    `links` (column, link): BEFORE the place of the task before, EARLY and LATE rows of its arrays (-1 for none),
    IN_TIME the row of the first mark whose LATE is a mark or after it, BY_START whether they go by its start.
    `day` (mark,) numbers the local days from 0, `day_first` (day,) is the first mark of each. `groups` (group, place):
    the tasks that share a day, the first of them in front, -1 after the last.
    """

    pool: I32
    tasks: I32
    links: I32
    crew: I32
    day: I32
    day_first: I32
    groups: I32


class State(NamedTuple):
    """Of each task: the mark before which it is held back, its start and finish, the latest finish of the crew's tasks
    before it, the mark from which it could first begin (-1 before it was looked at); of each group how often its
    coats were put off within the day."""

    hold: I32
    start: I32
    finish: I32
    most: I32
    ready: I32
    tries: I32


@njit(cache=True, nogil=True)
def _walk_one(program, until, state):  # type: ignore[no-untyped-def] # noqa: C901, PLR0912, PLR0915 - in one piece: a call counts references
    """Place every task so that she is afloat by `until`; DONE, NEVER or GAVE_UP."""
    pool, tasks, links, crew, day, day_first, groups = program
    hold, start, finish, most, ready, tries = state
    hands = tasks[HANDS]
    count = pool.shape[1] - 2
    until = min(until, count)
    ready[:] = -1
    tries[:] = 0
    i = 0
    for _ in range(MOST_STEPS):
        t = hold[i]
        for k in range(tasks[FIRST_LINK, i], tasks[AFTER_LINKS, i]):
            if links[EARLY, k] >= 0:
                b = links[BEFORE, k]
                t = max(t, pool[links[EARLY, k], start[b] if links[BY_START, k] else finish[b]])
        if ready[i] < 0:
            ready[i] = t
        s = pool[tasks[NEXT, i], min(t, count + 1)]
        f = pool[tasks[FINISH, i], s]
        while f <= count and hands[i] and s < most[i]:
            held, ends = hands[i], f
            j = i - 1
            while j >= 0 and most[j + 1] > s:  # all that lies further back has ended by then
                if hands[j] and start[j] < f and finish[j] > s:
                    held += hands[j]
                    ends = min(ends, finish[j])
                j -= 1
            if held <= crew[0]:
                break
            s = pool[tasks[NEXT, i], ends]
            f = pool[tasks[FINISH, i], s]
        if f > until:
            return NEVER
        missed = -1
        for k in range(tasks[FIRST_LINK, i], tasks[AFTER_LINKS, i]):
            if missed < 0 and links[LATE, k] >= 0:
                b = links[BEFORE, k]
                if s > pool[links[LATE, k], start[b] if links[BY_START, k] else finish[b]]:
                    missed = k
        g = tasks[GROUP, i]
        if g >= 0:
            d, lead, other = day[s], groups[g, 0], -1
            if day[f - 1] != d:
                other = d + 1
            elif i != lead and day[start[lead]] != d:
                other = max(d, day[start[lead]])
            elif missed >= 0:
                tries[g] += 1
                other = d + 1 if tries[g] > MOST_TRIES else -1
            if other >= day_first.shape[0]:
                return NEVER
            if other >= 0:
                tries[g] = 0
                for j in groups[g]:
                    if j >= 0:
                        hold[j] = max(hold[j], day_first[other])
                i = lead
                continue
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
                return NEVER
            hold[b] = u
            i = b
            continue
        start[i], finish[i] = s, f
        most[i + 1] = max(most[i], f) if hands[i] else most[i]
        i += 1
        if i == tasks.shape[1]:
            return DONE
    return GAVE_UP


@njit(cache=True, nogil=True)
def _scratch(program):  # type: ignore[no-untyped-def]
    tasks = program.tasks.shape[1]
    return State(
        np.zeros(tasks, np.int32), np.zeros(tasks, np.int32), np.zeros(tasks, np.int32), np.zeros(tasks + 1, np.int32),
        np.zeros(tasks, np.int32), np.zeros(program.groups.shape[0], np.int32),
    )  # fmt: skip


@njit(cache=True, nogil=True)
def _begin(program, case, state):  # type: ignore[no-untyped-def]
    """For (start, mark before which no grouped coat is begun): the holds a scenario begins with."""
    hold, groups = state.hold, program.groups
    hold[:] = 0
    for group in range(groups.shape[0]):
        for member in groups[group]:
            if member >= 0:
                hold[member] = case[1]
    hold[0] = case[0]


@njit(cache=True, nogil=True)
def _count_lost(program, loss, state, lost):  # type: ignore[no-untyped-def] # noqa: PLR0917 - what is read, and where it goes
    """Days on which a task could have been taken up and was not, by reason; each day once, for the first such task."""
    counted = 0
    for c in range(loss.task.shape[0]):
        i, row = loss.task[c], loss.row[c]
        first = program.day[state.ready[i]]
        if state.ready[i] > loss.work_from[first]:
            first += 1
        first, last = max(first, counted), program.day[state.start[i]]
        counted = max(counted, last)
        if last > first:
            for reason in range(lost.shape[0]):
                lost[reason] += loss.cumulated[row, reason, last] - loss.cumulated[row, reason, first]


@njit(cache=True, nogil=True)
def _walk_range(program, loss, case, out):  # type: ignore[no-untyped-def] # noqa: PLR0917 - what is read, and where it goes
    """Scenarios of one stretch; case (starts, until, not_before), out (status, haul, launch, could, coated, lost)."""
    starts, until, not_before = case
    tasks, beyond = program.tasks.shape[1], program.pool.shape[1] - 1
    lead = program.groups[0, 0] if program.groups.shape[0] > 0 else -1
    status, haul, launch, could, coated, lost = out
    state = _scratch(program)
    for scenario in range(status.shape[0]):
        _begin(program, (starts[scenario], not_before[scenario]), state)
        status[scenario] = _walk_one(program, until[scenario], state)
        haul[scenario] = launch[scenario] = could[scenario] = coated[scenario] = beyond
        if lead >= 0 and state.ready[lead] >= 0:
            could[scenario] = state.ready[lead]
        if status[scenario] == DONE:
            haul[scenario], launch[scenario] = state.start[0], state.finish[tasks - 1]
            if lead >= 0:
                coated[scenario] = state.start[lead]
            _count_lost(program, loss, state, lost[scenario])


@njit(cache=True, nogil=True)
def _walk_placed(program, case, out):  # type: ignore[no-untyped-def] # arrays, typed by the compiler
    starts, until, not_before = case
    status, begun, ended, could = out
    state = _scratch(program)
    for scenario in range(status.shape[0]):
        _begin(program, (starts[scenario], not_before[scenario]), state)
        status[scenario] = _walk_one(program, until[scenario], state)
        begun[scenario], ended[scenario], could[scenario] = state.start, state.finish, state.ready


class Loss(NamedTuple):
    """What a walk needs to name the days that were lost.

    `task` (counted,) places of the tasks whose waiting is counted, `row` (counted,) their row in `cumulated` (row,
    reason, day): days lost to each reason before each day. `work_from` (day,): a task ready later than that mark has
    not lost the day.
    """

    task: I32
    row: I32
    cumulated: I32
    work_from: I32


@dataclass(frozen=True, kw_only=True)
class Scenarios:
    """Where walks begin, (start,) each: slot of the earliest haul-out, mark by which she must be afloat to count, and
    the mark before which no coat of a group is begun (0 for no such wish)."""

    starts: I32
    until: I32
    not_before: I32

    def cut(self, part: slice) -> tuple[I32, I32, I32]:
        """The arrays of some of them."""
        return self.starts[part], self.until[part], self.not_before[part]


def scenarios(starts: I32, *, slots: int, not_before: I32 | None = None) -> Scenarios:
    """Starts that all have `slots` slots until the launch."""
    held = np.zeros_like(starts) if not_before is None else not_before
    return Scenarios(starts=starts, until=(starts + slots).astype(np.int32), not_before=held)


@dataclass(frozen=True, kw_only=True)
class Walked:
    """One entry a start: DONE, NEVER or GAVE_UP; slot of the haul-out and mark of the launch; mark from which the
    first group of coats could have been begun and slot at which it was (`beyond` where it was not); days lost
    (start, reason)."""

    status: I32
    haul: I32
    launch: I32
    could: I32
    coated: I32
    lost: I32


def walk(program: Program, loss: Loss, case: Scenarios, *, workers: int = 1) -> Walked:
    """Walk a job from each start, shared among `workers` threads; the result is the same for any number of them."""
    size = case.starts.shape[0]
    status, haul, launch, could, coated = (np.zeros(size, np.int32) for _ in range(5))
    lost = np.zeros((size, loss.cumulated.shape[1]), np.int32)
    cuts = [slice(int(part[0]), int(part[-1]) + 1) for part in np.array_split(np.arange(size), workers) if part.size]

    def run(cut: slice) -> None:
        out = (status[cut], haul[cut], launch[cut], could[cut], coated[cut], lost[cut])
        _walk_range(program, loss, case.cut(cut), out)

    if len(cuts) <= 1:
        for cut in cuts:
            run(cut)
    else:
        with ThreadPoolExecutor(len(cuts)) as threads:
            list(threads.map(run, cuts))
    return Walked(status=status, haul=haul, launch=launch, could=could, coated=coated, lost=lost)


@dataclass(frozen=True, kw_only=True)
class Placements:
    """Where each task came to lie, (start, task) each; meaningful where `status` is DONE. `ready`: the mark from which
    it could first have been taken up."""

    status: I32
    start: I32
    finish: I32
    ready: I32


def walk_placed(program: Program, case: Scenarios) -> Placements:
    """As `walk`, with every task's place."""
    size, tasks = case.starts.shape[0], program.tasks.shape[1]
    status = np.zeros(size, np.int32)
    begun, ended, could = (np.zeros((size, tasks), np.int32) for _ in range(3))
    _walk_placed(program, case.cut(slice(None)), (status, begun, ended, could))
    return Placements(status=status, start=begun, finish=ended, ready=could)
