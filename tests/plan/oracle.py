"""An exact second opinion on small jobs: every reachable state, label by label, in the order of starts.

Why it is exact. Any plan can be carried out by running through the slots in order and starting, in each slot, some of
the zones' next coats. What the rest of a plan may do depends on the past only through: how many coats each zone has,
in which way its last coat was done, and when that coat ends (the film's windows, the day its coats fall on, and the
hands it holds all follow from these). A label is that state. All labels reachable at every slot are kept; two are
merged only when they are equal, so nothing is assumed about arrays that rise or fall, and no label is thrown away for
looking worse than another. Once all zones are coated only the earliest launch and the cost so far matter. Slots in
which no coat may start change nothing and are passed over. A label is dropped only when some zone's next coat could
no longer start later than this slot, which can never change again. The outer choices (options, haul-out slot) are
enumerated in full.

Nothing here is shared with the engine: it reads the job's plain lists, not the network built from them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

Lists = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Way:
    """A way of laying a coat: hands, slots it takes, cost, option it needs (or must do without), open start slots."""

    hands: int
    slots: int
    cost: int
    needs: str | None
    without: str | None
    starts: frozenset[int]


@dataclass(frozen=True, kw_only=True)
class SmallZone:
    """A chain of coats. `ready[k][t]`, `late[k][t]`: when coat k+1 may start after coat k ended at mark t.

    Before the first coat they count from the end of the haul-out. `one_day`: first coat of those that share a day.
    `cured[t]`: when the boat may be launched if the last coat ended at t.
    """

    ways: tuple[tuple[Way, ...], ...]
    ready: Lists
    late: Lists
    one_day: int
    cured: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class SmallJob:
    """A job small enough to try everything. `prices`: option -> cost; `extra_hands`: option -> more hands."""

    count: int
    day: tuple[int, ...]
    hauls: tuple[int, ...]
    launches: tuple[int, ...]
    hands: int
    prices: tuple[tuple[str, int], ...]
    extra_hands: tuple[tuple[str, int], ...]
    zones: tuple[SmallZone, ...]
    ashore_by_start: tuple[int, ...]
    ashore_by_finish: tuple[int, ...]


ZoneState = tuple[int, int, int]
"""(coats done, way of the last one, mark at which it ended)"""
Label = tuple[ZoneState, ...]


def best_plan(job: SmallJob) -> tuple[int, int] | None:
    """Least cost and, at that cost, the earliest finish of the launch; None when there is no plan."""
    names = [name for name, _ in job.prices]
    found = [
        result
        for size in range(len(names) + 1)
        for taken in combinations(names, size)
        for haul in job.hauls
        for result in _finishes(job, haul, frozenset(taken))
    ]
    return min(found, default=None)


def _finishes(job: SmallJob, haul: int, taken: frozenset[str]) -> Iterator[tuple[int, int]]:
    """(cost, finish) of the cheapest launch for every way in which all zones can end."""
    fixed = sum(price for name, price in job.prices if name in taken) + job.ashore_by_start[haul]
    complete: dict[int, int] = {}
    """By the earliest launch: the least cost of all zones coated."""
    labels: dict[Label, int] = {tuple((0, 0, haul + 1) for _ in job.zones): 0}
    opens = [{slot for ways in zone.ways for way in ways for slot in way.starts} for zone in job.zones]
    for slot in sorted(slot for slot in set().union(*opens) if slot > haul):
        zones = [number for number, mine in enumerate(opens) if slot in mine]
        grown = _grown(job, labels, at=(slot, zones), taken=taken)
        labels = {}
        for label, cost in grown.items():
            if all(state[0] == len(zone.ways) for zone, state in zip(job.zones, label, strict=True)):
                cured = max(zone.cured[state[2]] for zone, state in zip(job.zones, label, strict=True))
                complete[cured] = min(cost, complete.get(cured, cost))
            elif _alive(job, label, slot):
                labels[label] = cost
    for cured, cost in complete.items():
        for launch in (launch for launch in job.launches if launch >= cured):
            yield fixed + cost + job.ashore_by_finish[launch + 1], launch + 1


def _grown(
    job: SmallJob, labels: dict[Label, int], *, at: tuple[int, list[int]], taken: frozenset[str]
) -> dict[Label, int]:
    """The labels, and all that starting coats of some of the zones in this slot makes of them."""
    hands = job.hands + sum(more for name, more in job.extra_hands if name in taken)
    slot, zones = at
    grown = dict(labels)
    for number in zones:
        for label, cost in list(grown.items()):
            for state, price in _started(job, job.zones[number], at=(label[number], slot), taken=taken):
                fresh = (*label[:number], state, *label[number + 1 :])
                if _held(job, fresh, slot) <= hands:
                    grown[fresh] = min(cost + price, grown.get(fresh, cost + price))
    return grown


def _started(
    job: SmallJob, zone: SmallZone, *, at: tuple[ZoneState, int], taken: frozenset[str]
) -> Iterator[tuple[ZoneState, int]]:
    (done, _, ended), slot = at
    if done == len(zone.ways) or not max(ended, zone.ready[done][ended]) <= slot <= zone.late[done][ended]:
        return
    for number, way in enumerate(zone.ways[done]):
        ends = slot + way.slots
        barred = (way.needs is not None and way.needs not in taken) or way.without in taken
        if barred or slot not in way.starts or ends > job.count:
            continue
        if done >= zone.one_day and job.day[slot] != job.day[ends - 1]:
            continue
        if done > zone.one_day and job.day[slot] != job.day[ended - 1]:
            continue
        yield (done + 1, number, ends), way.cost


def _held(job: SmallJob, label: Label, slot: int) -> int:
    """Hands held in `slot` by the coats still being laid."""
    return sum(
        zone.ways[done - 1][way].hands
        for zone, (done, way, ended) in zip(job.zones, label, strict=True)
        if done and ended > slot
    )


def _alive(job: SmallJob, label: Label, slot: int) -> bool:
    """Whether every unfinished zone can still start its next coat after `slot`."""
    return all(
        done == len(zone.ways) or zone.late[done][ended] > slot
        for zone, (done, _, ended) in zip(job.zones, label, strict=True)
    )
