"""A job as the solver sees it: tasks with modes, links with lags, groups, options and money. Knows nothing of boats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Marks = NDArray[np.int32]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Mode:
    """One way of doing a task.

    `people` used while it runs, per resource name in `uses`. `starts` (slot,): admissible start slots.
    `finish` (slot,): mark at which it ends when started there (constant duration or pre-emptive over yard hours;
    `beyond` when it would not end in the known time). `needs` / `without`: option keys that must be taken / not
    taken for this mode. `cost_minor`: labour and hire for using the mode. `slack` (slot,): slots by which the
    weather could close earlier before a start here fails, None where weather does not matter.
    """

    key: str
    starts: Bools
    finish: Marks
    uses: Mapping[str, int] = field(default_factory=dict)
    cost_minor: int = 0
    needs: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    slack: Marks | None = None


@dataclass(frozen=True, kw_only=True)
class Task:
    """One piece of work; exactly one of its modes is taken."""

    key: str
    modes: tuple[Mode, ...]


@dataclass(frozen=True, kw_only=True)
class Link:
    """`after` may start no earlier than `earliest[finish of before]` and no later than `latest[finish of before]`.

    Arrays by finishing mark, shape (mark,), values marks, `beyond` = not within the known time. Where the arrays
    depend on how `before` was done, `by_mode` gives (earliest, latest) per mode key of `before`. `rule` is the
    sentence for the person; `group` the family that explains infeasibility (for instance "longest overcoat: port").
    `from_start`: index by the start of `before` instead of its finish.
    """

    before: str
    after: str
    earliest: Marks | None
    latest: Marks | None
    rule: str
    group: str
    by_mode: Mapping[str, tuple[Marks | None, Marks | None]] = field(default_factory=dict)
    from_start: bool = False


@dataclass(frozen=True, kw_only=True)
class SameDay:
    """The listed tasks start and end within one local day; `day` (slot,) is the local day number of each slot."""

    tasks: tuple[str, ...]
    day: NDArray[np.int64]
    rule: str
    group: str


@dataclass(frozen=True, kw_only=True)
class Apart:
    """No task of `first` and none of `second` may start on the same local day."""

    first: tuple[str, ...]
    second: tuple[str, ...]
    day: NDArray[np.int64]
    rule: str
    group: str


@dataclass(frozen=True, kw_only=True)
class Resource:
    """A pool: `capacity` units, more when options are taken."""

    name: str
    capacity: int
    extra: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Option:
    """Something that may be bought or chosen, at a price; `excludes` other options that cannot go with it."""

    key: str
    cost_minor: int
    excludes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Money:
    """Cost of time: `by_finish` (mark,) cost of `last` ending at each mark, `by_start` (mark,) cost of `first`
    starting at each (negative = money saved by starting later). Both in minor units, integers."""

    first: str
    last: str
    by_start: NDArray[np.int64]
    by_finish: NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Network:
    """The whole job. Marks run 0..count; `beyond` = count + 1."""

    count: int
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    same_day: tuple[SameDay, ...]
    resources: tuple[Resource, ...]
    options: tuple[Option, ...]
    money: Money
    apart: tuple[Apart, ...] = ()

    @property
    def beyond(self) -> int:
        return self.count + 1


@dataclass(frozen=True, kw_only=True)
class Placed:
    """Where the solver put a task."""

    key: str
    mode: str
    start: int
    finish: int


@dataclass(frozen=True, kw_only=True)
class SolverReport:
    """What the solver says of itself; seconds are wall clock."""

    first_s: float | None
    proof_s: float | None
    total_s: float
    bound_minor: int | None
    branches: int
    variables: int


@dataclass(frozen=True, kw_only=True)
class Solution:
    """`status` is "optimal", "feasible", "infeasible" or "unknown" (time ran out with nothing found)."""

    status: str
    placed: tuple[Placed, ...]
    options: tuple[str, ...]
    cost_minor: int | None
    report: SolverReport
