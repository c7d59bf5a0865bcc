"""From the plan's own network to what the walk reads: one pool of arrays a stretch, one program a way."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numba import njit
from numpy.typing import NDArray

from boottop.base.errors import BoottopError
from boottop.plan.network import Link, Mode
from boottop.plan.odds_order import Order
from boottop.plan.odds_walk import I32, Program
from boottop.plan.rules_draft import JobNetwork

Marks = NDArray[np.int32]
_SAMPLED = 61
"""Every how many marks a row is looked at to find rows that may equal it; those are then compared whole."""


@njit(cache=True, nogil=True)
def _next_start(starts, finish, out):  # type: ignore[no-untyped-def] # arrays, typed by the compiler
    count = starts.shape[0]
    out[count], out[count + 1] = count + 1, count + 1
    for slot in range(count - 1, -1, -1):
        out[slot] = slot if starts[slot] and finish[slot] <= count else out[slot + 1]


def next_start(starts: NDArray[np.bool_], finish: Marks) -> I32:
    """First admissible start from each mark on, count + 1 where there is none, shape (count + 2,).

    >>> next_start(np.array([0, 1, 0, 1, 0], dtype=bool), np.array([1, 2, 3, 9, 5], dtype=np.int32)).tolist()
    [1, 1, 6, 6, 6, 6, 6]
    """
    out = np.empty(starts.size + 2, np.int32)
    _next_start(starts, finish, out)
    return out


@njit(cache=True, nogil=True)
def _first_reaching(marks, out):  # type: ignore[no-untyped-def] # arrays, typed by the compiler
    at, size = 0, marks.shape[0]
    for mark in range(size):
        while at < size and marks[at] < mark:
            at += 1
        out[mark] = min(at, size - 1)


def first_reaching(marks: I32) -> I32:
    """First place at which a rising row comes to each mark or past it, shape (mark,); of a row that falls somewhere,
    a place no later than the first that does.

    >>> first_reaching(np.array([0, 2, 2, 5, 5, 5], dtype=np.int32)).tolist()
    [0, 1, 1, 3, 3, 3]
    """
    out = np.empty(marks.size, np.int32)
    _first_reaching(marks, out)
    return out


@dataclass(frozen=True, kw_only=True)
class Choice:
    """An option as the walk takes it: people of the gang, the options taken, coats left off the sheet's number."""

    people: int
    options: tuple[str, ...] = ()
    fewer_coats: int = 0


@dataclass(kw_only=True)
class Pool:
    """Rows by mark, each array once. What was put in is kept, so that no other array can take its identity."""

    count: int
    used: int = 0
    table: I32 = field(init=False)
    known: dict[int, int] = field(default_factory=dict)
    started: dict[tuple[int, int], int] = field(default_factory=dict)
    chosen: dict[tuple[int, Choice], dict[str, Mode]] = field(default_factory=dict)
    by_sum: dict[int, list[int]] = field(default_factory=dict)
    reached: dict[int, int] = field(default_factory=dict)
    dated: dict[int, tuple[I32, I32]] = field(default_factory=dict)
    kept: list[object] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.table = np.empty((64, self.count + 2), np.int32)

    def rows(self) -> I32:
        """All rows so far, (row, mark)."""
        return self.table[: self.used]

    def row(self, marks: Marks) -> int:
        """Row of an array by mark or slot, `beyond` past its end."""
        if id(marks) not in self.known:
            place = self._free()
            np.minimum(marks, self.count + 1, out=place[: marks.size])
            place[marks.size :] = self.count + 1
            self.known[id(marks)] = self._placed()
            self.kept.append(marks)
        return self.known[id(marks)]

    def starts_of(self, mode: Mode) -> int:
        """Row of the next admissible start of a mode."""
        arrays = (id(mode.starts), id(mode.finish))
        if arrays not in self.started:
            self.started[arrays] = self.starts(mode.starts, mode.finish)
            self.kept.append(mode)
        return self.started[arrays]

    def starts(self, starts: NDArray[np.bool_], finish: Marks) -> int:
        """Row of the next of some starts."""
        _next_start(starts, finish, self._free())
        return self._placed()

    def reaching(self, row: int) -> int:
        """Row of the first place at which another row comes to each mark."""
        if row not in self.reached:
            place = self._free()
            _first_reaching(self.table[row], place)
            self.reached[row] = self._placed()
        return self.reached[row]

    def modes(self, job: JobNetwork, order: Order, choice: Choice) -> dict[str, Mode]:
        """The way of doing each task under an option, by task; looked up once for all orders of the whole crew."""
        if order.halves:
            return {
                task.key: mode_of(task.modes, _hands(choice, order.halves.get(task.key))) for task in job.network.tasks
            }
        if (id(job), choice) not in self.chosen:
            self.chosen[id(job), choice] = {task.key: mode_of(task.modes, choice) for task in job.network.tasks}
            self.kept.append(job)
        return self.chosen[id(job), choice]

    def days(self, job: JobNetwork) -> tuple[I32, I32]:
        """Local days of a job, see `local_days`; reckoned once."""
        if id(job) not in self.dated:
            self.dated[id(job)] = local_days(job)
            self.kept.append(job)
        return self.dated[id(job)]

    def _free(self) -> I32:
        """The place of the next row."""
        if self.used == self.table.shape[0]:
            table = np.empty((2 * self.used, self.count + 2), np.int32)
            table[: self.used] = self.rows()
            self.table = table
        return np.asarray(self.table[self.used])

    def _placed(self) -> int:
        """Number of the row just written; that of an equal one where there is one."""
        row = self.table[self.used]
        alike = self.by_sum.setdefault(zlib.adler32(row[::_SAMPLED].tobytes()), [])
        for other in alike:
            if np.array_equal(self.table[other], row):
                return other
        alike.append(self.used)
        self.used += 1
        return self.used - 1


@dataclass(frozen=True, kw_only=True)
class Drafted:
    """A program without its pool, and what it stands for: keys in order, the mode of each, what its work costs."""

    program: Program
    keys: tuple[str, ...]
    modes: Mapping[str, Mode]
    choice: Choice
    work_minor: int

    def with_pool(self, pool: I32) -> Program:
        """The program, ready to walk."""
        return self.program._replace(pool=pool)


def draft_program(job: JobNetwork, order: Order, choice: Choice, *, pool: Pool) -> Drafted:
    """One option under one policy, its arrays put into `pool`."""
    keys = order.keys
    modes = pool.modes(job, order, choice)
    place = {key: index for index, key in enumerate(keys)}
    into: dict[str, list[Link]] = {key: [] for key in keys}
    for link in (*job.network.links, *_apart_links(job, place)):
        into[link.after].append(link)
    groups = [tuple(place[key] for key in group) for group in order.same_day]
    group_of = {member: index for index, group in enumerate(groups) for member in group}
    after = np.cumsum([len(into[key]) for key in keys])
    rows = [
        (
            pool.starts_of(modes[key]),
            (finish := pool.row(modes[key].finish)),
            pool.reaching(finish),
            min(modes[key].uses.get("crew", 0), choice.people),
            group_of.get(index, -1),
            after[index] - len(into[key]),
            after[index],
        )
        for index, key in enumerate(keys)
    ]
    day, day_first = pool.days(job)
    program = Program(
        pool=np.zeros((0, job.network.count + 2), np.int32),
        tasks=np.array(rows, dtype=np.int32).T.copy(),
        links=_link_rows([link for key in keys for link in into[key]], modes, place=place, pool=pool),
        crew=np.array([choice.people], dtype=np.int32),
        day=day,
        day_first=day_first,
        groups=_groups(groups),
    )
    work_minor = sum(mode.cost_minor for mode in modes.values())
    return Drafted(program=program, keys=keys, modes=modes, choice=choice, work_minor=work_minor)


def _hands(choice: Choice, half: int | None) -> Choice:
    """The choice as one half of a divided crew has it."""
    return choice if half is None else replace(choice, people=(choice.people + 1 - half) // 2)


def mode_of(modes: Sequence[Mode], choice: Choice) -> Mode:
    """The way of doing a task with the most hands that the gang has."""
    taken = set(choice.options)
    able = [
        mode
        for mode in modes
        if set(mode.needs) <= taken
        and not set(mode.without) & taken
        and (mode.uses.get("yard") or mode.uses.get("crew", 0) <= choice.people)
    ]
    if not able:
        raise BoottopError(f"{choice.people} people cannot do {modes[0].key} with {sorted(taken)}")
    return max(able, key=lambda mode: mode.uses.get("crew", 0))


def _apart_links(job: JobNetwork, place: Mapping[str, int]) -> list[Link]:
    """Sides kept on different days: whichever comes first in the order, the other starts on a later day."""
    found = []
    for apart in job.network.apart:
        one, other = sorted((apart.first, apart.second), key=lambda keys: min(place[key] for key in keys))
        before, after = max(one, key=lambda key: place[key]), min(other, key=lambda key: place[key])
        found.append(
            Link(before=before, after=after, earliest=next_day(job), latest=None, rule=apart.rule, group=apart.group)
        )
    return found


def next_day(job: JobNetwork) -> Marks:
    """First mark of the local day after that on which work ends at each mark, shape (mark,)."""
    day, day_first = local_days(job)
    ended = np.concatenate([day[:1], day[: job.network.count]])
    firsts = np.append(day_first, job.network.count + 1)
    return np.asarray(firsts[ended + 1], dtype=np.int32)


def local_days(job: JobNetwork) -> tuple[I32, I32]:
    """Local day number from 0 by mark (count + 2,), one more past the end; first mark of each day."""
    day = job.calendar.day - job.calendar.day[0]
    last = int(day[-1])
    by_mark = np.concatenate([day, [last + 1, last + 1]]).astype(np.int32)
    return by_mark, np.searchsorted(day, np.arange(last + 1)).astype(np.int32)


def _link_rows(links: Sequence[Link], modes: Mapping[str, Mode], *, place: Mapping[str, int], pool: Pool) -> I32:
    """Links as rows of a program."""
    rows = []
    for link in links:
        early, late = link.by_mode.get(modes[link.before].key, (link.earliest, link.latest))
        late_row = -1 if late is None else pool.row(late)
        rows.append(
            (
                place[link.before],
                -1 if early is None else pool.row(early),
                late_row,
                0 if late is None else pool.reaching(late_row),
                int(link.from_start),
            )
        )
    return np.array(rows, dtype=np.int32).reshape(-1, 5).T.copy()


def _groups(groups: Sequence[tuple[int, ...]]) -> I32:
    """Groups as rows, each in the order of its tasks."""
    found = np.full((len(groups), max((len(group) for group in groups), default=0)), -1, np.int32)
    for index, group in enumerate(groups):
        found[index, : len(group)] = sorted(group)
    return found
