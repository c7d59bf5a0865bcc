"""Whether the known weather is long enough: the earliest each step could be, hands and shared days left aside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from boottop.plan.calendar import said
from boottop.plan.network import Link, Network, Task
from boottop.plan.rules_draft import JobNetwork


def earliest_starts(network: Network) -> dict[str, int]:
    """Slot before which each task cannot start, whatever the rest does; `beyond` where never in the known time.

    Masks, waiting times and order count; hands, shared days and last moments do not: a bound, never too late.
    """
    tasks = {task.key: task for task in network.tasks}
    found = {key: _next_start(task, 0, network.beyond) for key, task in tasks.items()}
    for _ in range(len(tasks)):
        moved = False
        for link in network.links:
            allowed = _released(link, tasks[link.before], start=found[link.before], beyond=network.beyond)
            start = _next_start(tasks[link.after], allowed, network.beyond)
            if start > found[link.after]:
                found[link.after], moved = start, True
        if not moved:
            break
    return found


def _next_start(task: Task, start: int, beyond: int) -> int:
    """First admissible slot of any mode from `start` on."""
    nexts = [start + int(np.argmax(mode.starts[start:])) for mode in task.modes if mode.starts[start:].any()]
    return min(nexts, default=beyond)


def _released(link: Link, before: Task, *, start: int, beyond: int) -> int:
    """Mark from which a link lets its later task start when the earlier one starts no sooner than `start`."""
    best = beyond
    for mode in before.modes:
        if not mode.starts[start:].any():
            continue
        at = start + int(np.argmax(mode.starts[start:]))
        array = link.by_mode.get(mode.key, (link.earliest, link.latest))[0]
        mark = at if link.from_start else int(mode.finish[at])
        best = min(best, 0 if array is None else int(array[mark]))
    return best


def horizon_says(job: JobNetwork) -> Iterator[str]:
    """The first step that cannot be reached before the known weather (or the list of lift slots) ends."""
    network, starts = job.network, earliest_starts(job.network)
    tasks = {task.key: task for task in network.tasks}
    lost = {key for key, start in starts.items() if start >= network.beyond}
    for key in lost:
        into = [link for link in network.links if link.after == key]
        if any(link.before in lost for link in into):
            continue
        released = [
            (link.rule, _released(link, tasks[link.before], start=starts[link.before], beyond=network.beyond))
            for link in into
        ]
        yield _lost_says(job, key, released)


def _lost_says(job: JobNetwork, key: str, released: Sequence[tuple[str, int]]) -> str:
    """Why a step is out of reach though all before it are done as early as they can be."""
    label, ends = job.facts[key].label, said(job.calendar.grid.end.astimezone(job.calendar.zone))
    late = [rule for rule, mark in released if mark > job.network.count]
    if late:
        return f"{late[0]}: not before the weather file ends on {ends}, were every step taken as early as it can be."
    first = job.calendar.said(max((mark for _, mark in released), default=0))
    what = "lift slot" if key in ("launch", "haul_out") else "admissible hour"
    return f"{label}: possible from {first} at the earliest, and then no {what} before the weather file ends on {ends}."


def longer_file_says(job: JobNetwork) -> str:
    """A longer weather file, as the way out that cannot be tried: what it holds is not known."""
    ends = said(job.calendar.grid.end.astimezone(job.calendar.zone))
    return f"A weather file that reaches past {ends}, with lift slots to match; what it would bring cannot be tried."
