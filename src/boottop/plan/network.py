"""A job as the solver sees it: tasks with modes, links with lags, groups, options and money. Knows nothing of boats.

Time is a grid of `count` equal slots. A slot is worked or not; a mark is a moment between slots, 0 .. count, and
`beyond` = count + 1 stands for "not within the known time". A task started in slot s and finished at mark f holds
its resources in slots s .. f - 1. Nothing here assumes that finishing earlier is better: arrays may fall as well as
rise. Day numbers never fall from one slot to the next.
"""

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

    `uses`: units held while it runs, by resource name. `starts` (slot,): admissible start slots.
    `finish` (slot,): mark at which it ends when started there (constant duration or pre-emptive over yard hours;
    `beyond` when it would not end in the known time), given for closed slots too, so that the explanation can ask
    what an open slot would have brought; a start with `finish` beyond is never taken. `needs` /
    `without`: option keys that must be taken / not taken for this mode. `cost_minor`: labour and hire for using the
    mode. `slack` (slot,): slots by which the weather could close earlier before a start here fails, None where
    weather does not matter.
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
    """One piece of work; exactly one of its modes is taken.

    `group` names the family that explains a want of admissible starts (for instance "weather: port" or "lift
    slots"); empty stands for the task's own key. `late`: where cost, finish and weather slack leave a choice, the
    task is put as late as it can be instead of as early.
    """

    key: str
    modes: tuple[Mode, ...]
    group: str = ""
    late: bool = False


@dataclass(frozen=True, kw_only=True)
class Link:
    """`after` may start no earlier than `earliest[finish of before]` and no later than `latest[finish of before]`.

    Arrays by finishing mark, shape (count + 1,), values marks, `beyond` = not within the known time: as earliest it
    forbids that finish, as latest it leaves the start free. None leaves that side free. Where the arrays depend on
    how `before` was done, `by_mode` gives (earliest, latest) per mode key of `before`, in place of both. `rule` is
    the sentence for the person; `group` the family that explains infeasibility (for instance "longest overcoat:
    port"). `from_start`: index by the start of `before` instead of its finish.
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
    """The listed tasks start and end within one local day; `day` (slot,) is the local day number of each slot.

    The last slot worked counts for the end: a task that ends at midnight sharp ends on the day that is over.
    """

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
    """Cost of time: `by_finish` (count + 1,) cost of `last` ending at each mark, `by_start` (count + 1,) cost of
    `first` starting at each (negative = money saved by starting later). Both in minor units, integers."""

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
    """What the solver says of itself; seconds are wall clock from the call on.

    `first_s`: the first plan that keeps every rule. `proof_s`: the best cost and finish proven, or proven that no
    plan exists. `bound_minor`: no plan can cost less (equal to the cost once proven). `variables`: of the solver's
    model after the job was narrowed; 0 when narrowing alone settled it.
    """

    first_s: float | None
    proof_s: float | None
    total_s: float
    bound_minor: int | None
    branches: int
    variables: int


@dataclass(frozen=True, kw_only=True)
class Solution:
    """`status` is "optimal", "feasible", "infeasible" or "unknown" (time ran out with nothing found).

    "optimal": proven in money, then in the finish of `money.last`. The weather slack of the plan is then made as
    large as the time left allows and is not claimed to be proven.
    """

    status: str
    placed: tuple[Placed, ...]
    options: tuple[str, ...]
    cost_minor: int | None
    report: SolverReport


@dataclass(frozen=True, kw_only=True)
class Way:
    """A way out: with the rules of `groups` given up, a plan exists.

    `extra`: units that plan holds beyond a pool given up, at its worst moment. One more was tried first; a larger
    number is what this plan happens to hold, not the least that would do.

    `placed` is that plan, the fewest tasks out of line first, then the earliest finish: it shows the day that came
    nearest. `out_of_line`: keys of the tasks that start where they may not, or are put off until `afterwards`.
    """

    groups: tuple[str, ...]
    weight: int
    extra: Mapping[str, int]
    placed: tuple[Placed, ...]
    options: tuple[str, ...]
    out_of_line: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Explanation:
    """Why no plan exists.

    `feasible`: a plan does exist, nothing to explain. `empty`: sentences on tasks without a single admissible start,
    found before solving. `core`: groups that cannot all be kept, whatever else is given up; `minimal` when each one
    of them is known to be necessary. `rules`: the sentences behind each group of `core` and of the ways. `ways`:
    cheapest first. `complete`: no way of less weight was left untried.
    """

    feasible: bool
    empty: tuple[str, ...]
    core: tuple[str, ...]
    minimal: bool
    rules: Mapping[str, tuple[str, ...]]
    ways: tuple[Way, ...]
    complete: bool
    total_s: float
