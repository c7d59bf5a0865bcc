"""A network with some of its rules given up: what the explanation asks the solver about.

A rule is given up by its group. Starts: every start with a known finish is open, at a price of one. A pool: more
units. The known time: any task but the first may be put off until afterwards, at a price of one. Everything else
costs nothing, so the cheapest plan has the fewest tasks out of line.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boottop.plan.network import Link, Marks, Mode, Money, Network, Placed, Resource, Task

KNOWN_TIME = "known time"
CLOSED = " (closed)"
AFTERWARDS = "afterwards"
MORE_SLOTS = 3


def pool_group(name: str) -> str:
    """The group of a pool's capacity."""
    return f"pool: {name}"


def start_group(task: Task) -> str:
    """The group of a task's admissible starts."""
    return task.group or task.key


def dropped(network: Network, off: Collection[str], more: Mapping[str, int] | None = None) -> Network:
    """The network without the rules of the groups `off`; pools among them get `more` units (unlimited if not said)."""
    opened = {task.key for task in network.tasks if start_group(task) in off}
    resources = tuple(_pool(network, pool, off, more=more or {}) for pool in network.resources)
    zeros = np.zeros(network.count + 1, np.int64)
    free = replace(
        network,
        tasks=tuple(_task(task, task.key in opened) for task in network.tasks),
        links=tuple(_link(network, link, opened) for link in network.links if link.group not in off),
        same_day=tuple(group for group in network.same_day if group.group not in off),
        apart=tuple(apart for apart in network.apart if apart.group not in off),
        resources=resources,
        options=tuple(replace(option, cost_minor=0) for option in network.options),
        money=replace(network.money, by_start=zeros, by_finish=zeros),
    )
    return _extended(free) if KNOWN_TIME in off else free


def _task(task: Task, opened: bool) -> Task:
    modes = [replace(mode, cost_minor=0, slack=None) for mode in task.modes]
    if opened:
        modes += [replace(m, key=m.key + CLOSED, starts=~m.starts, cost_minor=1, slack=None) for m in task.modes]
    return replace(task, modes=tuple(modes))


def _link(network: Network, link: Link, opened: Collection[str]) -> Link:
    if link.before not in opened:
        return link
    return replace(link, by_mode={**link.by_mode, **{key + CLOSED: pair for key, pair in link.by_mode.items()}})


def _pool(network: Network, pool: Resource, off: Collection[str], *, more: Mapping[str, int]) -> Resource:
    if pool_group(pool.name) not in off:
        return pool
    most = sum(max(mode.uses.get(pool.name, 0) for mode in task.modes) for task in network.tasks)
    return replace(pool, capacity=pool.capacity + more.get(pool.name, most))


def _extended(network: Network) -> Network:
    """Two slots beyond the known time, a day each, in which a task may be put off at no length and with no hands.

    Two, because tasks kept on different days must not meet there either.
    """
    count, first = network.count, network.money.first
    second = {key for apart in network.apart for key in apart.second}
    tasks = tuple(
        _longer(task, count, put_off=None if task.key == first else count + 1 + (task.key in second))
        for task in network.tasks
    )
    zeros = np.zeros(count + MORE_SLOTS + 1, np.int64)
    return Network(
        count=count + MORE_SLOTS,
        tasks=tasks,
        links=tuple(_longer_link(link, count) for link in network.links),
        same_day=tuple(replace(group, day=_longer_day(group.day)) for group in network.same_day),
        resources=network.resources,
        options=network.options,
        money=Money(first=first, last=network.money.last, by_start=zeros, by_finish=zeros),
        apart=tuple(replace(apart, day=_longer_day(apart.day)) for apart in network.apart),
    )


def _longer(task: Task, count: int, put_off: int | None) -> Task:
    never = count + MORE_SLOTS + 1
    tail = np.full(MORE_SLOTS, never, np.int32)
    modes = [
        replace(
            mode,
            starts=np.concatenate((mode.starts, np.zeros(MORE_SLOTS, np.bool_))),
            finish=np.concatenate((np.where(mode.finish > count, never, mode.finish), tail)).astype(np.int32),
        )
        for mode in task.modes
    ]
    if put_off is not None:
        slots = np.arange(count + MORE_SLOTS, dtype=np.int32)
        modes.append(Mode(key=AFTERWARDS, starts=slots == put_off, finish=slots, cost_minor=1))
    return replace(task, modes=tuple(modes))


def _longer_link(link: Link, count: int) -> Link:
    """What could not be within the known time may be afterwards; after a task put off, the next is put off too."""
    pairs = [(link.earliest, link.latest), *link.by_mode.values()]
    waits = any(earliest is not None for earliest, _ in pairs)
    after = np.full(count + MORE_SLOTS + 1, count + 1, np.int32) if waits else None
    by_mode = {key: _longer_pair(pair, count) for key, pair in link.by_mode.items()}
    earliest, latest = _longer_pair((link.earliest, link.latest), count)
    return replace(link, earliest=earliest, latest=latest, by_mode={**by_mode, AFTERWARDS: (after, None)})


def _longer_pair(pair: tuple[Marks | None, Marks | None], count: int) -> tuple[Marks | None, Marks | None]:
    never = np.full(MORE_SLOTS, count + MORE_SLOTS + 1, np.int32)
    earliest, latest = pair
    if earliest is not None:
        earliest = np.concatenate((np.minimum(earliest, count + 1), never)).astype(np.int32)
    if latest is not None:
        latest = np.concatenate((np.where(latest > count, never[0], latest), never)).astype(np.int32)
    return earliest, latest


def _longer_day(day: NDArray[np.int64]) -> NDArray[np.int64]:
    last = int(day[-1])
    return np.concatenate((day, np.array([last, last + 1, last + 2], np.int64)))


def taken_back(network: Network, placed: Collection[Placed]) -> tuple[tuple[Placed, ...], tuple[str, ...]]:
    """The plan of a dropped network in terms of `network`, and the keys of the tasks out of line.

    A task put off stands at `beyond`.
    """
    first_mode = {task.key: task.modes[0].key for task in network.tasks}
    plan, out = [], []
    for place in placed:
        if place.mode == AFTERWARDS:
            plan.append(replace(place, mode=first_mode[place.key], start=network.beyond, finish=network.beyond))
            out.append(place.key)
        elif place.mode.endswith(CLOSED):
            plan.append(replace(place, mode=place.mode.removesuffix(CLOSED)))
            out.append(place.key)
        else:
            plan.append(place)
    return tuple(plan), tuple(out)
