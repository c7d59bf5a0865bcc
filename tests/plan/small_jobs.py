"""Random small jobs, and the same job as a network for the engine."""

from __future__ import annotations

from random import Random

import numpy as np

from boottop.plan.network import Link, Mode, Money, Network, Option, Resource, SameDay, Task
from tests.plan.oracle import SmallJob, SmallZone, Way

SLOTS_A_DAY = 24
OPENS, CLOSES = 7, 19


def random_job(seed: int) -> SmallJob:
    """Two zones of two or three coats over four or five days, every slot a launch; a third have a tie coat."""
    random = Random(seed)
    days = random.choice([4, 5])
    count = days * SLOTS_A_DAY
    tent, helper = random.random() < 0.5, random.random() < 0.3
    hands = random.choice([1, 2, 2])
    zones = tuple(_zone(random, count, hands=hands, offers=(tent, helper)) for _ in range(2))
    ashore, late_from = random.choice([5, 20]), random.randrange(count)
    return SmallJob(
        count=count,
        day=tuple(slot // SLOTS_A_DAY for slot in range(count)),
        hauls=tuple(sorted(random.sample(range(30), 1 if tent and helper else random.choice([1, 2])))),
        launches=tuple(range(count)),
        hands=hands,
        prices=(("tent", random.choice([7, 30])),) * tent + (("helper", random.choice([7, 30])),) * helper,
        extra_hands=(("helper", 1),) * helper,
        zones=zones,
        ashore_by_start=tuple(-ashore * (slot // SLOTS_A_DAY) for slot in range(count + 1)),
        ashore_by_finish=tuple(
            ashore * (mark // SLOTS_A_DAY) + 9 * max(0, (mark - late_from) // SLOTS_A_DAY) for mark in range(count + 1)
        ),
    )


def _zone(random: Random, count: int, *, hands: int, offers: tuple[bool, bool]) -> SmallZone:
    coats = random.choice([2, 3, 3])
    tie = random.random() < 0.35
    wild = random.random() < 0.3
    ready = [_lags(random, count, (1, 12), wild=False)]
    late = [tuple([count + 1] * (count + 1))]
    for coat in range(1, coats):
        overnight = tie and coat == 1
        low = (10, 16) if overnight else (1, 3)
        ready.append(_lags(random, count, low, wild=wild))
        late.append(_lags(random, count, (low[1] + 1, low[1] + (8 if overnight else 4)), wild=wild))
    return SmallZone(
        ways=tuple(_ways(random, count, hands=hands, offers=offers) for _ in range(coats)),
        ready=tuple(ready),
        late=tuple(late),
        one_day=1 if tie else 0,
        cured=_lags(random, count, (6, 30), wild=wild),
    )


def _lags(random: Random, count: int, between: tuple[int, int], *, wild: bool) -> tuple[int, ...]:
    """A time for every mark: lags that creep from mark to mark, or jump when `wild` (then not rising throughout)."""
    lag, values = random.randint(*between), []
    for mark in range(count + 1):
        step = random.randint(*between) - lag if wild else random.choice([-1, 0, 0, 0, 1])
        if random.random() < 0.5:
            lag = min(max(lag + step, between[0]), between[1])
        values.append(min(mark + lag, count + 1))
    return tuple(values)


def _ways(random: Random, count: int, *, hands: int, offers: tuple[bool, bool]) -> tuple[Way, ...]:
    tent, helper = offers
    fair = {day: random.random() < 0.7 for day in range(count // SLOTS_A_DAY)}
    work = [slot for slot in range(count) if OPENS <= slot % SLOTS_A_DAY < CLOSES]
    dry = [slot for slot in work if fair[slot // SLOTS_A_DAY] and random.random() < 0.8]
    ways = []
    for crew in range(1, hands + helper + 1):
        slots = max(1, random.choice([2, 3]) // crew)
        open_air = frozenset(slot for slot in dry if slot % SLOTS_A_DAY + slots <= CLOSES)
        cost = random.choice([3, 4]) * crew * slots
        needs = "helper" if crew > hands else None
        bare = "tent" if tent and needs is None else None
        ways.append(Way(hands=crew, slots=slots, cost=cost, needs=needs, without=bare, starts=open_air))
        if tent and needs is None:
            covered = frozenset(slot for slot in work if slot % SLOTS_A_DAY + slots <= CLOSES)
            ways.append(Way(hands=crew, slots=slots, cost=cost, needs="tent", without=None, starts=covered))
    return tuple(ways)


def as_network(job: SmallJob) -> Network:
    """The job as the engine takes it."""
    tasks = [_crane("haul", job, job.hauls), _crane("launch", job, job.launches)]
    links, groups = [], []
    for number, zone in enumerate(job.zones):
        keys = [f"z{number} coat{coat}" for coat in range(len(zone.ways))]
        for coat, key in enumerate(keys):
            tasks.append(Task(key=key, modes=tuple(_mode(job, n, way) for n, way in enumerate(zone.ways[coat]))))
            before = "haul" if coat == 0 else keys[coat - 1]
            links.append(_link(before, key, zone.ready[coat], latest=zone.late[coat]))
        links.append(_link(keys[-1], "launch", zone.cured, latest=None))
        day = np.array(job.day, np.int64)
        groups.append(SameDay(tasks=tuple(keys[zone.one_day :]), day=day, rule="one day", group=f"day z{number}"))
    return Network(
        count=job.count,
        tasks=tuple(tasks),
        links=tuple(links),
        same_day=tuple(groups),
        resources=(Resource(name="crew", capacity=job.hands, extra=dict(job.extra_hands)),),
        options=tuple(Option(key=name, cost_minor=price) for name, price in job.prices),
        money=Money(
            first="haul",
            last="launch",
            by_start=np.array(job.ashore_by_start, np.int64),
            by_finish=np.array(job.ashore_by_finish, np.int64),
        ),
    )


def _crane(key: str, job: SmallJob, slots: tuple[int, ...]) -> Task:
    starts = np.isin(np.arange(job.count), slots)
    finish = (np.arange(job.count) + 1).astype(np.int32)
    return Task(key=key, modes=(Mode(key="crane", starts=starts, finish=finish),))


def _mode(job: SmallJob, number: int, way: Way) -> Mode:
    slots = np.arange(job.count)
    ends = slots + way.slots
    return Mode(
        key=f"way{number}",
        starts=np.isin(slots, list(way.starts)),
        finish=np.where(ends <= job.count, ends, job.count + 1).astype(np.int32),
        uses={"crew": way.hands},
        cost_minor=way.cost,
        needs=() if way.needs is None else (way.needs,),
        without=() if way.without is None else (way.without,),
    )


def _link(before: str, after: str, earliest: tuple[int, ...], *, latest: tuple[int, ...] | None) -> Link:
    return Link(
        before=before,
        after=after,
        earliest=np.array(earliest, np.int32),
        latest=None if latest is None else np.array(latest, np.int32),
        rule=f"{before} -> {after}",
        group=f"{before} -> {after}",
    )
