"""The walk: one gang takes the tasks of a job in a fixed order, each at the earliest moment that the windows leave.

A serial scheme over the arrays that the plan reads: a task starts at the first admissible start after all that it
waits for, in a gap of the gang's day where it fits. A coat that misses the day of its group, or starts later than a
link allows, sends the walk back to the task that must be put off; holds only rise, so it ends.
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


class Program(NamedTuple):
    """A job under one option and one policy, for the walk.

    `pool` (row, mark): arrays by mark 0..count + 1, `count + 1` standing for "not within the known weather".
    Of each task in order: `next_start` and `finish` name rows, `gang` which halves of the crew it holds (bits, 3 for
    all), `group` its group of one day or -1, `links` (first, after the last) its links. Of each link: the place of
    `before`, the rows of `early` and `late` (-1 for none), `by_start` whether they go by the start of `before`. `day`
    (mark,) numbers the local days from 0, `day_first` (day,) is the first mark of each. `members` (group, task) and
    `lead` (group,).
    """

    pool: I32
    next_start: I32
    finish: I32
    gang: I32
    group: I32
    links: I32
    before: I32
    early: I32
    late: I32
    by_start: I32
    day: I32
    day_first: I32
    members: I32
    lead: I32


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
def _at(program, link, state):  # type: ignore[no-untyped-def] # arrays, typed by the compiler
    """The mark of the task before a link by which the link goes."""
    b = program.before[link]
    return state.start[b] if program.by_start[link] else state.finish[b]


@njit(cache=True, nogil=True)
def _waits(program, i, state):  # type: ignore[no-untyped-def]
    """First mark at which task `i` may be taken up."""
    t = state.hold[i]
    for link in range(program.links[i], program.links[i + 1]):
        if program.early[link] >= 0:
            t = max(t, program.pool[program.early[link], _at(program, link, state)])
    return t


@njit(cache=True, nogil=True)
def _fits(program, place, state):  # type: ignore[no-untyped-def]
    """For (task, mark): first start from there on at which its hands are free throughout, and the finish; past the
    end when there is none."""
    i, t = place
    count = program.pool.shape[1] - 2
    s = program.pool[program.next_start[i], min(t, count + 1)]
    while s <= count:
        f = program.pool[program.finish[i], s]
        if f > count:
            return count + 1, count + 1
        busy = 0
        if program.gang[i] and s < state.most[i]:
            for j in range(i):
                if program.gang[j] & program.gang[i] and state.start[j] < f and state.finish[j] > s:
                    busy = max(busy, state.finish[j])
        if busy == 0:
            return s, f
        s = program.pool[program.next_start[i], busy]
    return count + 1, count + 1


@njit(cache=True, nogil=True)
def _too_late(program, place, state):  # type: ignore[no-untyped-def]
    """For (task, start): the first link that the start would be too late for, -1 when none is."""
    i, s = place
    for link in range(program.links[i], program.links[i + 1]):
        if program.late[link] >= 0 and s > program.pool[program.late[link], _at(program, link, state)]:
            return link
    return -1


@njit(cache=True, nogil=True)
def _put_off(program, place, state):  # type: ignore[no-untyped-def]
    """For (link, start of the task after): first later start of the task before that lets it be in time; past the end
    when none does."""
    link, s = place
    count = program.pool.shape[1] - 2
    b, row = program.before[link], program.late[link]
    u = program.pool[program.next_start[b], state.start[b] + 1]
    while u <= count:
        f = program.pool[program.finish[b], u]
        if f > count:
            return count + 1
        if program.pool[row, u if program.by_start[link] else f] >= s:
            return u
        u = program.pool[program.next_start[b], u + 1]
    return count + 1


@njit(cache=True, nogil=True)
def _other_day(program, place, state):  # type: ignore[no-untyped-def]
    """For (task, start, finish, link that it is too late for): the day to which its group must be put off, -1 when
    this start keeps its day."""
    i, s, f, link = place
    group = program.group[i]
    if group < 0:
        return -1
    d = program.day[s]
    if program.day[f - 1] != d:
        return d + 1
    lead = program.lead[group]
    if i != lead and program.day[state.start[lead]] != d:
        return max(d, program.day[state.start[lead]])
    if link < 0:
        return -1
    state.tries[group] += 1
    return d + 1 if state.tries[group] > MOST_TRIES else -1


@njit(cache=True, nogil=True)
def _hold_group(program, place, state):  # type: ignore[no-untyped-def]
    """For (group, mark): none of its coats before the mark."""
    group, until = place
    for j in program.members[group]:
        if j >= 0:
            state.hold[j] = max(state.hold[j], until)


@njit(cache=True, nogil=True)
def _step(program, place, state):  # type: ignore[no-untyped-def]
    """For (task, mark to be afloat by): place the task, or put off what must be; the task to go on with, -1 when
    nothing is left in time."""
    i, until = place
    t = _waits(program, i, state)
    if state.ready[i] < 0:
        state.ready[i] = t
    s, f = _fits(program, (i, t), state)
    if f > until:
        return -1
    link = _too_late(program, (i, s), state)
    d = _other_day(program, (i, s, f, link), state)
    if d >= 0:
        group = program.group[i]
        if d >= program.day_first.shape[0]:
            return -1
        state.tries[group] = 0
        _hold_group(program, (group, program.day_first[d]), state)
        return program.lead[group]
    if link >= 0:
        before = program.before[link]
        state.hold[before] = _put_off(program, (link, s), state)
        return before if state.hold[before] < until else -1
    state.start[i], state.finish[i] = s, f
    state.most[i + 1] = max(state.most[i], f) if program.gang[i] else state.most[i]
    return i + 1


@njit(cache=True, nogil=True)
def _walk_one(program, until, state):  # type: ignore[no-untyped-def]
    """Place every task so that she is afloat by `until`; DONE, NEVER or GAVE_UP."""
    state.ready[:] = -1
    state.tries[:] = 0
    i = 0
    for _ in range(MOST_STEPS):
        i = _step(program, (i, until), state)
        if i < 0:
            return NEVER
        if i == program.group.shape[0]:
            return DONE
    return GAVE_UP


@njit(cache=True, nogil=True)
def _scratch(program):  # type: ignore[no-untyped-def]
    tasks = program.group.shape[0]
    return State(
        np.zeros(tasks, np.int32), np.zeros(tasks, np.int32), np.zeros(tasks, np.int32), np.zeros(tasks + 1, np.int32),
        np.zeros(tasks, np.int32), np.zeros(program.lead.shape[0], np.int32),
    )  # fmt: skip


@njit(cache=True, nogil=True)
def _begin(program, case, state):  # type: ignore[no-untyped-def]
    """For (start, mark before which no grouped coat is begun): the holds a scenario begins with."""
    state.hold[:] = 0
    for group in range(program.lead.shape[0]):
        _hold_group(program, (group, case[1]), state)
    state.hold[0] = case[0]


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
    tasks, beyond = program.group.shape[0], program.pool.shape[1] - 1
    status, haul, launch, could, coated, lost = out
    state = _scratch(program)
    for scenario in range(status.shape[0]):
        _begin(program, (starts[scenario], not_before[scenario]), state)
        status[scenario] = _walk_one(program, until[scenario], state)
        haul[scenario] = launch[scenario] = could[scenario] = coated[scenario] = beyond
        if program.lead.shape[0] > 0 and state.ready[program.lead[0]] >= 0:
            could[scenario] = state.ready[program.lead[0]]
        if status[scenario] == DONE:
            haul[scenario], launch[scenario] = state.start[0], state.finish[tasks - 1]
            if program.lead.shape[0] > 0:
                coated[scenario] = state.start[program.lead[0]]
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
    size, tasks = case.starts.shape[0], program.group.shape[0]
    status = np.zeros(size, np.int32)
    begun, ended, could = (np.zeros((size, tasks), np.int32) for _ in range(3))
    _walk_placed(program, case.cut(slice(None)), (status, begun, ended, could))
    return Placements(status=status, start=begun, finish=ended, ready=could)
