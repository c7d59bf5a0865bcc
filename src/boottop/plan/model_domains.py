"""Narrow a job before it is solved: which starts each task can still take.

Every removal is safe for any arrays, rising or falling: a start goes only when no partner start is left for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boottop.plan.network import Link, Marks, Mode, Network, SameDay

Masks = list[NDArray[np.bool_]]


@dataclass(frozen=True, kw_only=True)
class Reach:
    """A link by the start of `before`: `after` starts within low..high, each shape (mode of before, slot).

    `hurries`: the link says how late `after` may start, not only how soon.
    """

    before: int
    after: int
    low: Marks
    high: Marks
    hurries: bool


@dataclass(frozen=True, kw_only=True)
class DayGroup:
    """Tasks of one local day: for every task the day of each start, -1 where it would not end on it."""

    tasks: tuple[int, ...]
    days: tuple[NDArray[np.int64], ...]
    group: SameDay


@dataclass(frozen=True, kw_only=True)
class ApartDays:
    """Two lists of tasks, and the day number of every slot, on which no two of them may meet."""

    sides: tuple[tuple[int, ...], tuple[int, ...]]
    day: NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Tables:
    """A network by number instead of by name. `finish` per task, shape (mode, slot)."""

    network: Network
    index: dict[str, int]
    finish: tuple[Marks, ...]
    reaches: tuple[Reach, ...]
    groups: tuple[DayGroup, ...]
    aparts: tuple[ApartDays, ...]
    touching: tuple[tuple[int, ...], ...]
    groups_of: tuple[tuple[int, ...], ...]


def tabulate(network: Network) -> Tables:
    """Number the tasks and lay every link out by the start of the task before it."""
    index = {task.key: number for number, task in enumerate(network.tasks)}
    finish = tuple(np.stack([mode.finish for mode in task.modes]).astype(np.int32) for task in network.tasks)
    groups = tuple(_day_group(group, index, finish) for group in network.same_day)
    reaches = tuple(_reach(network, link, index=index, finish=finish) for link in network.links)
    touching: list[list[int]] = [[] for _ in network.tasks]
    for number, reach in enumerate(reaches):
        touching[reach.before].append(number)
        touching[reach.after].append(number)
    groups_of: list[list[int]] = [[] for _ in network.tasks]
    for number, day_group in enumerate(groups):
        for task in day_group.tasks:
            groups_of[task].append(number)
    return Tables(
        network=network,
        index=index,
        finish=finish,
        reaches=reaches,
        groups=groups,
        aparts=tuple(
            ApartDays(
                sides=(tuple(index[key] for key in apart.first), tuple(index[key] for key in apart.second)),
                day=apart.day,
            )
            for apart in network.apart
        ),
        touching=tuple(map(tuple, touching)),
        groups_of=tuple(map(tuple, groups_of)),
    )


def _day_group(group: SameDay, index: dict[str, int], finish: Sequence[Marks]) -> DayGroup:
    tasks = tuple(index[key] for key in group.tasks)
    slots = np.arange(len(group.day))
    days = []
    for task in tasks:
        last = np.clip(np.maximum(finish[task] - 1, slots), 0, len(slots) - 1)
        days.append(np.where(group.day[last] == group.day, group.day, -1))
    return DayGroup(tasks=tasks, days=tuple(days), group=group)


def _reach(network: Network, link: Link, *, index: dict[str, int], finish: Sequence[Marks]) -> Reach:
    before, after, count = index[link.before], index[link.after], network.count
    low = np.zeros((len(network.tasks[before].modes), count), np.int32)
    high = np.full_like(low, count - 1)
    for row, mode in enumerate(network.tasks[before].modes):
        at = np.arange(count) if link.from_start else np.minimum(finish[before][row], count)
        earliest, latest = link.by_mode.get(mode.key, (link.earliest, link.latest))
        if earliest is not None:
            low[row] = np.clip(earliest[at], 0, count)
        if latest is not None:
            high[row] = np.clip(latest[at], -1, count - 1)
    hurries = bool((high < count - 1).any())
    for group in network.same_day:
        if link.before in group.tasks and link.after in group.tasks:
            np.maximum(low, np.searchsorted(group.day, group.day, "left")[None, :], out=low, casting="unsafe")
            np.minimum(high, np.searchsorted(group.day, group.day, "right")[None, :] - 1, out=high, casting="unsafe")
    return Reach(before=before, after=after, low=low, high=high, hurries=hurries)


def start_masks(tables: Tables, options: Iterable[str] | None) -> Masks:
    """Starts each task may take on its own, shape (mode, slot) per task, under the options taken (None: any set)."""
    taken = None if options is None else frozenset(options)
    capacity = {
        resource.name: resource.capacity
        + sum(extra for key, extra in resource.extra.items() if extra > 0 and (taken is None or key in taken))
        for resource in tables.network.resources
    }
    masks = []
    for task, finish in zip(tables.network.tasks, tables.finish, strict=True):
        mask = np.stack([mode.starts for mode in task.modes]) & (finish <= tables.network.count)
        for row, mode in enumerate(task.modes):
            short = any(units > capacity.get(name, 0) for name, units in mode.uses.items())
            barred = taken is not None and (not taken.issuperset(mode.needs) or bool(taken.intersection(mode.without)))
            if short or barred:
                mask[row] = False
        masks.append(mask)
    return masks


def drop_dominated(tables: Tables, masks: Masks) -> None:
    """Empty the modes that another mode of the same task replaces at no disadvantage, start for start."""
    for number, task in enumerate(tables.network.tasks):
        for worse in range(len(task.modes)):
            others = [other for other in range(len(task.modes)) if other != worse and masks[number][other].any()]
            if any(_replaces(tables, masks, number=number, pair=(other, worse)) for other in others):
                masks[number][worse] = False


def _replaces(tables: Tables, masks: Masks, *, number: int, pair: tuple[int, int]) -> bool:
    better, worse = pair
    one, two = tables.network.tasks[number].modes[better], tables.network.tasks[number].modes[worse]
    where = masks[number][worse]
    if not _no_dearer(one, two) or bool((where & ~masks[number][better]).any()):
        return False
    same = bool((tables.finish[number][better] == tables.finish[number][worse])[where].all())
    linked = all(
        bool((reach.low[better] == reach.low[worse])[where].all())
        and bool((reach.high[better] == reach.high[worse])[where].all())
        for reach in tables.reaches
        if reach.before == number
    )
    return same and linked and (one.slack is None or (two.slack is not None and bool((one.slack >= two.slack).all())))


def _no_dearer(one: Mode, two: Mode) -> bool:
    names = set(one.uses) | set(two.uses)
    return (
        one.cost_minor <= two.cost_minor
        and set(one.needs) <= set(two.needs)
        and set(one.without) <= set(two.without)
        and all(one.uses.get(name, 0) <= two.uses.get(name, 0) for name in names)
    )


def propagate(tables: Tables, masks: Masks, touched: Iterable[int] | None = None) -> bool:
    """Narrow `masks` in place until every link and day group supports every start; False when a task has none left.

    `touched`: only these tasks changed since the masks were last narrow.
    """
    waiting = dict.fromkeys(range(len(masks)) if touched is None else touched)
    sizes = [int(np.count_nonzero(mask)) for mask in masks]
    if 0 in sizes:
        return False
    while waiting:
        task = next(iter(waiting))
        del waiting[task]
        changed: set[int] = set()
        for number in tables.touching[task]:
            reach = tables.reaches[number]
            _forward(reach, masks)
            _backward(reach, masks)
            changed.update((reach.before, reach.after))
        for number in tables.groups_of[task]:
            _one_day(tables.groups[number], masks)
            changed.update(tables.groups[number].tasks)
        for apart in tables.aparts:
            changed |= _keep_apart(apart, task, masks)
        for other in changed:
            size = int(np.count_nonzero(masks[other]))
            if size == 0:
                return False
            if size != sizes[other]:
                sizes[other] = size
                waiting[other] = None
    return True


def _forward(reach: Reach, masks: Masks) -> None:
    masks[reach.after] &= reached(reach, masks)


def reached(reach: Reach, masks: Masks) -> NDArray[np.bool_]:
    """Starts of the task after that some start of the task before allows, shape (slot,)."""
    count = masks[reach.after].shape[1]
    valid = masks[reach.before]
    low, high = reach.low[valid], reach.high[valid]
    keep = low <= high
    opens = np.bincount(low[keep], minlength=count + 1)
    closes = np.bincount(high[keep] + 1, minlength=count + 1)
    return np.asarray(np.cumsum(opens - closes)[:count] > 0)


def _backward(reach: Reach, masks: Masks) -> None:
    some = masks[reach.after].any(axis=0)
    before = np.concatenate(([0], np.cumsum(some)))
    masks[reach.before] &= before[reach.high + 1] > before[reach.low]


def _one_day(group: DayGroup, masks: Masks) -> None:
    common: NDArray[np.int64] | None = None
    for task, days in zip(group.tasks, group.days, strict=True):
        mine = np.unique(days[masks[task]])
        common = mine if common is None else np.intersect1d(common, mine, assume_unique=True)
    if common is not None:
        common = common[common >= 0]
        for task, days in zip(group.tasks, group.days, strict=True):
            masks[task] &= np.isin(days, common)


def _keep_apart(apart: ApartDays, task: int, masks: Masks) -> set[int]:
    """Take the only day left to `task` from the tasks it must not meet; those tasks."""
    others = {other for one, two in (apart.sides, apart.sides[::-1]) if task in one for other in two}
    if others:
        days = apart.day[masks[task].any(axis=0)]
        if days.size and days.min() == days.max():
            for other in others:
                masks[other] &= apart.day != days[0]
            return others
    return set()
