"""Read a resource-constrained project in Patterson form as a network: makespan as money, constant lags as arrays."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from boottop.plan.network import Link, Mode, Money, Network, Resource, Task


def read_rcp(path: Path) -> Network:
    """The project of a Patterson file: jobs, capacities, then per job its duration, demands and successors."""
    numbers = iter([int(word) for word in path.read_text(encoding="ascii").split()])
    jobs, kinds = next(numbers), next(numbers)
    capacities = [next(numbers) for _ in range(kinds)]
    durations, demands, successors = [], [], []
    for _ in range(jobs):
        durations.append(next(numbers))
        demands.append([next(numbers) for _ in range(kinds)])
        successors.append([next(numbers) - 1 for _ in range(next(numbers))])
    count = sum(durations) + 1
    marks = np.arange(count + 1, dtype=np.int32)
    tasks = tuple(_job(number, durations[number], demands[number], count=count) for number in range(jobs))
    links = tuple(
        Link(before=f"j{one}", after=f"j{two}", earliest=marks, latest=None, rule="precedence", group=f"{one}->{two}")
        for one in range(jobs)
        for two in successors[one]
    )
    return Network(
        count=count,
        tasks=tasks,
        links=links,
        same_day=(),
        resources=tuple(Resource(name=f"r{kind}", capacity=capacities[kind]) for kind in range(kinds)),
        options=(),
        money=Money(
            first="j0",
            last=f"j{jobs - 1}",
            by_start=np.zeros(count + 1, np.int64),
            by_finish=np.arange(count + 1, dtype=np.int64),
        ),
    )


def _job(number: int, duration: int, demands: list[int], *, count: int) -> Task:
    starts = np.ones(count, np.bool_)
    if number == 0:
        starts[1:] = False
    finish = np.minimum(np.arange(count) + duration, count + 1).astype(np.int32)
    uses = {f"r{kind}": units for kind, units in enumerate(demands) if units}
    return Task(key=f"j{number}", modes=(Mode(key="only", starts=starts, finish=finish, uses=uses),))
