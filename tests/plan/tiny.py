"""Hand-made networks of a few tasks, for tests that can be checked by eye."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from boottop.plan.network import (
    Apart,
    Link,
    Mode,
    Money,
    Network,
    Option,
    Placed,
    Resource,
    SameDay,
    Solution,
    SolverReport,
    Task,
)

COUNT = 40
DAY = 10


def mode(key: str, starts: Iterable[int], length: int, **more: object) -> Mode:
    """A way of `length` slots that may start in `starts`."""
    slots = np.arange(COUNT)
    ends = slots + length
    return Mode(
        key=key,
        starts=np.isin(slots, list(starts)),
        finish=np.where(ends <= COUNT, ends, COUNT + 1).astype(np.int32),
        **more,  # type: ignore[arg-type]
    )


def task(key: str, starts: Iterable[int], length: int, **more: object) -> Task:
    """A task done in one way only."""
    return Task(key=key, modes=(mode("only", starts, length, **more),))


def link(before: str, after: str, lag: int = 0, *, longest: int | None = None, group: str = "") -> Link:
    """`after` at least `lag` and at most `longest` slots after the end of `before`."""
    marks = np.arange(COUNT + 1)
    latest = None if longest is None else np.minimum(marks + longest, COUNT + 1).astype(np.int32)
    earliest = np.minimum(marks + lag, COUNT + 1).astype(np.int32)
    name = group or f"{before} -> {after}"
    return Link(before=before, after=after, earliest=earliest, latest=latest, rule=name, group=name)


def days() -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Day number of every slot."""
    return (np.arange(COUNT) // DAY).astype(np.int64)


def same_day(*keys: str) -> SameDay:
    """The tasks within one day."""
    return SameDay(tasks=keys, day=days(), rule="in one day", group="one day")


def apart(first: str, second: str) -> Apart:
    """The two tasks on different days."""
    return Apart(first=(first,), second=(second,), day=days(), rule="on different days", group="apart")


def network(
    tasks: Iterable[Task],
    links: Iterable[Link] = (),
    *,
    groups: tuple[SameDay | Apart, ...] = (),
    crew: Mapping[str, int] | None = None,
    options: tuple[Option, ...] = (),
    per_day: tuple[int, int] = (0, 0),
) -> Network:
    """Tasks with the first and the last of them as the money's ends; `crew`: units, and more units by option."""
    all_tasks = tuple(tasks)
    marks = np.arange(COUNT + 1, dtype=np.int64)
    extra = dict(crew or {"": 1})
    capacity = extra.pop("", 1)
    return Network(
        count=COUNT,
        tasks=all_tasks,
        links=tuple(links),
        same_day=tuple(group for group in groups if isinstance(group, SameDay)),
        resources=(Resource(name="crew", capacity=capacity, extra=extra),),
        options=options,
        money=Money(
            first=all_tasks[0].key,
            last=all_tasks[-1].key,
            by_start=per_day[0] * (marks // DAY),
            by_finish=per_day[1] * (marks // DAY),
        ),
        apart=tuple(group for group in groups if isinstance(group, Apart)),
    )


def solution(*placed: Placed, options: tuple[str, ...] = (), cost: int = 0) -> Solution:
    """A solution as a solver might claim it."""
    report = SolverReport(first_s=None, proof_s=None, total_s=0.0, bound_minor=None, branches=0, variables=0)
    return Solution(status="optimal", placed=placed, options=options, cost_minor=cost, report=report)


def at(key: str, start: int, finish: int, *, way: str = "only") -> Placed:
    """A task placed."""
    return Placed(key=key, mode=way, start=start, finish=finish)
