"""Policies of a crew: in which order the tasks are taken up, by how many gangs, and which coats share a day."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from boottop.measure.hull import Hull
from boottop.plan.inputs import SidesRule
from boottop.plan.odds_names import POLICIES, SIDES, Policy, Side
from boottop.plan.rules_draft import JobNetwork, TaskFacts

BOTH_AT_ONCE = ("together", "each_a_side")
_LAST = 9
_ROLLING = ("wipe", "coat")
_FINISHING = ("move_stands", "activate", "extra", "launch")
Rank = tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Order:
    """The tasks in the order in which they are placed, and the groups of coats that must share one working day.

    `halves` by task key, where the crew works divided: which half does it, 0 (the larger) or 1.
    """

    keys: tuple[str, ...]
    same_day: tuple[tuple[str, ...], ...]
    halves: Mapping[str, int]


def policies_for(sides: SidesRule) -> tuple[Policy, ...]:
    """Policies that keep the owner's wish about the sides."""
    kept: dict[SidesRule, tuple[Policy, ...]] = {
        "either": tuple(POLICIES),
        "one_day": ("together", "each_a_side"),
        "side_a_day": ("side_a_day", "side_by_side", "leapfrog"),
    }
    return kept[sides]


def order_of(job: JobNetwork, hull: Hull, *, policy: Policy, first: Side) -> Order:
    """The order of a policy that begins with side `first`; every task comes after all that it waits for."""
    rank = _ranker(job, hull, policy=policy, first=first)
    ranks = {key: rank(key) for key in job.facts}
    keys = _sorted_by_links(job, ranks)
    groups = [tuple(sorted(group.tasks, key=keys.index)) for group in job.network.same_day]
    if policy in BOTH_AT_ONCE:
        groups = _joined(groups, job, hull, keys=keys)
    same_day = tuple(sorted(groups, key=lambda group: keys.index(group[0])))
    return Order(keys=tuple(keys), same_day=same_day, halves=_halves(job, hull, policy=policy, first=first))


def _halves(job: JobNetwork, hull: Hull, *, policy: Policy, first: Side) -> dict[str, int]:
    """Which half of a divided crew does what: the larger half has the side that goes first, the other half the other
    side and the gear; in leapfrog only the rolling of the first side and the preparation of the rest."""
    if policy not in ("each_a_side", "leapfrog"):
        return {}
    zones = {zone.name: zone for zone in hull.zones}
    found = {}
    for key, facts in job.facts.items():
        name = _zone(facts)
        if name is None or facts.kind == "activate" or zones[name].kind in ("pads", "sole"):
            continue
        half = int(zones[name].side != first)
        if policy == "each_a_side" or (facts.kind in _ROLLING) == (half == 0):
            found[key] = half
    return found


def _joined(
    groups: Sequence[tuple[str, ...]], job: JobNetwork, hull: Hull, *, keys: Sequence[str]
) -> list[tuple[str, ...]]:
    """The groups, with those of the sides made one: coat 1 of each, then coat 2 of each, and so on."""
    sides = {zone.name for zone in hull.zones if zone.side in SIDES}
    of_sides = [group for group in groups if all(_zone(job.facts[key]) in sides for key in group)]
    rest = [group for group in groups if group not in of_sides]
    if not of_sides:
        return rest
    return [*rest, tuple(sorted((key for group in of_sides for key in group), key=keys.index))]


def _ranker(job: JobNetwork, hull: Hull, *, policy: Policy, first: Side) -> Callable[[str], Rank]:
    zones = {zone.name: zone for zone in hull.zones}
    length = _rolling(job)
    longest = sorted(zones, key=lambda name: (-length.get(name, 0), zones[name].side != first))

    def place(name: str | None) -> int:
        """0 for the side that goes first, 1 for the other, 2 for gear and centreline, later for what is hidden."""
        if name is None:
            return 2
        zone = zones[name]
        if zone.kind in ("pads", "sole"):
            return 5
        return 2 if zone.side not in SIDES else int(zone.side != first)

    def rank(key: str) -> Rank:
        facts = job.facts[key]
        name, coat = _zone(facts), facts.parts[-1].coat or 0
        side = place(name)
        if facts.kind in _FINISHING or side == 5:
            return (_LAST, side, coat)
        rolling = facts.kind in _ROLLING
        if policy in ("side_by_side", "leapfrog"):
            return (side, int(rolling), coat)
        if not rolling:
            return (0, side, coat)
        if policy == "longest_first":
            return (1, longest.index(name or longest[-1]), coat)
        return (1, int(side == 2), coat, side) if policy in BOTH_AT_ONCE else (1, side, coat)

    return rank


def _rolling(job: JobNetwork) -> dict[str, int]:
    """Slots that the coats of each zone take one person at the most."""
    found: dict[str, int] = {}
    for facts in job.facts.values():
        for part in facts.parts:
            if part.coat is not None and part.zone is not None:
                found[part.zone] = found.get(part.zone, 0) + max(part.slots.values())
    return found


def _zone(facts: TaskFacts) -> str | None:
    return facts.parts[-1].zone or facts.parts[0].zone


def _sorted_by_links(job: JobNetwork, ranks: Mapping[str, Rank]) -> list[str]:
    """Kahn's order, the least rank first among what is free; as laid down where ranks are equal."""
    number = {key: index for index, key in enumerate(job.facts)}
    after: dict[str, set[str]] = {key: set() for key in job.facts}
    waits: dict[str, set[str]] = {key: set() for key in job.facts}
    for link in job.network.links:
        after[link.before].add(link.after)
        waits[link.after].add(link.before)
    free = [(ranks[key], number[key], key) for key in job.facts if not waits[key]]
    heapq.heapify(free)
    found: list[str] = []
    while free:
        _, _, key = heapq.heappop(free)
        found.append(key)
        for then in after[key]:
            waits[then].discard(key)
            if not waits[then]:
                heapq.heappush(free, (ranks[then], number[then], then))
    return found
