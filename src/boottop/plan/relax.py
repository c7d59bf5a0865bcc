"""Why no plan exists, and what must give: a smallest set of clashing rules, and the cheapest rules to give up.

Rules are taken by group. Each question ("does a plan exist without these?") is answered by the same engine: narrowing
alone settles most, a quick serial plan some, CP-SAT the rest. A core is found by leaving out groups, halves first,
and keeping those without which a plan exists; where narrowing alone cannot see the clash, the groups that would each
do on their own come first (they belong to every core). A way out must break every core, so ways are sets that hit
all cores known, cheapest first; one that fails shows a new core. Order and waiting (a link that only says how soon)
are the trade and the film themselves: they stay in force unless the caller puts a weight on them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from time import perf_counter

import numpy as np

from boottop.base.errors import BoottopError
from boottop.plan.first import any_plan
from boottop.plan.model import solve
from boottop.plan.model_domains import propagate, start_masks, tabulate
from boottop.plan.network import Explanation, Link, Network, Solution, Way
from boottop.plan.relax_drop import CLOSED, KNOWN_TIME, dropped, pool_group, start_group, taken_back

WEIGHTS = {"apart": 1, "pool": 2, "same day": 2, "known time": 3, "starts": 3, "latest": 4}
MOST_WAYS = 4
MOST_GROUPS_IN_A_WAY = 3
QUESTION_S = 1.5
WAY_S = 0.6
CORE_SHARE = 0.6
Off = frozenset[str]


def explain(
    network: Network,
    *,
    time_limit_s: float,
    weights: Mapping[str, int] | None = None,
    firm: Collection[str] = (),
) -> Explanation:
    """Why the network has no plan and which rules, given up, would make one.

    `weights` (by group) says how dear it is to give a group up, in place of the built-in weight of its kind, and may
    name waiting times that could be given up too; groups in `firm` are never given up nor blamed.
    """
    asked = _Asked(network=network, time_limit_s=time_limit_s)
    groups = {name: weight for name, weight in (_weights(network) | dict(weights or {})).items() if name not in firm}
    empty = tuple(empty_tasks(network))
    if asked.exists(frozenset()):
        return _told(asked, _Found(), feasible=True, empty=())
    found = _Found()
    core = asked.core(frozenset(), groups)
    asked.limit_share = 1.0
    if core is None:
        found.complete = False
    else:
        found.core, found.minimal = core
        _find_ways(asked, groups, found)
    return _told(asked, found, feasible=False, empty=empty)


@dataclass(kw_only=True)
class _Found:
    """The answer while it grows."""

    core: tuple[str, ...] = ()
    minimal: bool = False
    ways: list[Way] = field(default_factory=list)
    complete: bool = True


def _told(asked: _Asked, found: _Found, *, feasible: bool, empty: tuple[str, ...]) -> Explanation:
    named = dict.fromkeys([*found.core, *(name for way in found.ways for name in way.groups)])
    return Explanation(
        feasible=feasible,
        empty=empty,
        core=found.core,
        minimal=found.minimal,
        rules={name: _rules_of(asked.network, name) for name in named},
        ways=tuple(found.ways),
        complete=found.complete,
        total_s=perf_counter() - asked.began_s,
    )


def empty_tasks(network: Network) -> Iterator[str]:
    """Sentences on tasks that no mode gives a single start, told without solving."""
    most = {
        pool.name: pool.capacity + sum(more for more in pool.extra.values() if more > 0) for pool in network.resources
    }
    for task in network.tasks:
        whys = []
        for mode in task.modes:
            short = [name for name, units in mode.uses.items() if units > most.get(name, 0)]
            if not bool((mode.starts & (mode.finish <= network.count)).any()):
                whys.append(f"no admissible start for task {task.key} in mode {mode.key}")
            elif short:
                whys.append(
                    f"task {task.key} in mode {mode.key} needs {mode.uses[short[0]]} of {short[0]}, "
                    f"there are {most.get(short[0], 0)} at most"
                )
        if len(whys) == len(task.modes):
            yield "; ".join(whys)


def _weights(network: Network) -> dict[str, int]:
    """Every group that may be blamed or given up, with the weight of its kind; the last kind wins a shared name."""
    found: dict[str, int] = {KNOWN_TIME: WEIGHTS["known time"]}
    for task in network.tasks:
        found[start_group(task)] = WEIGHTS["starts"]
    for pool in network.resources:
        found[pool_group(pool.name)] = WEIGHTS["pool"]
    for link in network.links:
        if _has_latest(link):
            found[link.group] = WEIGHTS["latest"]
    for group in network.same_day:
        found[group.group] = WEIGHTS["same day"]
    for apart in network.apart:
        found[apart.group] = WEIGHTS["apart"]
    return found


def _has_latest(link: Link) -> bool:
    return any(latest is not None for _, latest in ((link.earliest, link.latest), *link.by_mode.values()))


def _rules_of(network: Network, name: str) -> tuple[str, ...]:
    """The sentences behind a group."""
    rules = [link.rule for link in network.links if link.group == name]
    rules += [group.rule for group in network.same_day if group.group == name]
    rules += [apart.rule for apart in network.apart if apart.group == name]
    rules += [f"{pool.name}: {pool.capacity}" for pool in network.resources if pool_group(pool.name) == name]
    rules += [f"{task.key} starts only when it may" for task in network.tasks if start_group(task) == name]
    if name == KNOWN_TIME:
        rules.append("everything is done within the known time")
    return tuple(dict.fromkeys(rules))


@dataclass(kw_only=True)
class _Asked:
    """Questions put to the engine, their answers, and the stop-watch."""

    network: Network
    time_limit_s: float
    limit_share: float = CORE_SHARE
    began_s: float = field(default_factory=perf_counter)
    works: list[tuple[Off, Solution]] = field(default_factory=list)
    fails: list[Off] = field(default_factory=list)

    def left_s(self) -> float:
        """Seconds left of the share of the limit that may be spent so far."""
        return self.limit_share * self.time_limit_s - (perf_counter() - self.began_s)

    def exists(self, off: Off) -> bool | None:
        """Whether a plan exists without the rules of `off`; None when time ran out over it."""
        if self.plan_for(off) is not None:
            return True
        if any(off <= known for known in self.fails):
            return False
        if self.left_s() <= 0.0:
            return None
        one_more = self.one_more(off) if len(off) <= MOST_GROUPS_IN_A_WAY else {}
        answer = self._ask(dropped(self.network, off, one_more))
        if one_more and not answer.placed:
            answer = self._ask(dropped(self.network, off))
        if answer.placed:
            self.works.append((off, answer))
            return True
        if answer.status == "infeasible":
            self.fails.append(off)
            return False
        return None

    def one_more(self, off: Off) -> dict[str, int]:
        """One more unit of every pool among the groups."""
        return {pool.name: 1 for pool in self.network.resources if pool_group(pool.name) in off}

    def plan_for(self, off: Off) -> Solution | None:
        """A plan already found that gives up no more than `off`."""
        return next((plan for known, plan in self.works if off >= known), None)

    def _ask(self, network: Network) -> Solution:
        tables = tabulate(network)
        masks = start_masks(tables, None)
        if propagate(tables, masks):
            plan = any_plan(tables, masks, seed=1)
            if plan is not None:
                return plan
        return solve(network, time_limit_s=max(0.05, min(QUESTION_S, self.left_s())), secondary=False)

    def core(self, off: Off, groups: Collection[str]) -> tuple[tuple[str, ...], bool] | None:
        """Groups that clash even when every other one (and `off`) is given up, and whether each is known to matter.

        None when giving up everything else was not shown to leave a clash.
        """
        kept = [name for name in groups if name not in off]
        everything = frozenset(groups) | off
        if self.exists(everything - frozenset(kept)) is not False:
            return None
        needed: list[str] = []
        if self.narrows_to_nothing(everything - frozenset(kept)):
            kept = self._fewer(kept, lambda less: self.narrows_to_nothing(everything - frozenset(less)))
        else:
            needed = [name for name in kept if self.exists(off | {name}) is True]
            kept = [name for name in kept if name not in needed]
        kept = needed + self._fewer(kept, lambda less: self.exists(everything - {*needed, *less}) is False)
        sure = all(self.exists(everything - frozenset(kept) | {name}) is True for name in kept)
        return tuple(kept), sure

    def narrows_to_nothing(self, off: Off) -> bool:
        """Whether narrowing alone shows that no plan exists without the rules of `off`."""
        tables = tabulate(dropped(self.network, off))
        return not propagate(tables, start_masks(tables, None))

    def _fewer(self, kept: list[str], clashes: Callable[[list[str]], bool]) -> list[str]:
        """Fewer groups that still clash: leave out all, then halves, quarters, and at last single groups."""
        size = len(kept)
        while size:
            at = 0
            while at < len(kept) and self.left_s() > 0.0:
                less = kept[:at] + kept[at + size :]
                if clashes(less):
                    kept = less
                else:
                    at += size
            size //= 2
        return kept


def _find_ways(asked: _Asked, groups: Mapping[str, int], found: _Found) -> None:
    """Sets of groups to give up, cheapest first: each breaks every core known, and a plan was found without it."""
    cores = [frozenset(found.core)]
    tried: list[Off] = []
    while len(found.ways) < MOST_WAYS and asked.left_s() > 0.0:
        choice = _cheapest_hit(cores, groups, tried)
        if choice is None:
            return
        answer = asked.exists(choice)
        if answer is False:
            more = asked.core(choice, groups)
            if more is None or not more[0]:
                return
            cores.append(frozenset(more[0]))
            continue
        tried.append(choice)
        if answer:
            found.ways.append(_way(asked, choice, groups))
        found.complete = found.complete and answer is True
    if asked.left_s() <= 0.0:
        found.complete = False
        _known_ways(asked, groups, found)


def _known_ways(asked: _Asked, groups: Mapping[str, int], found: _Found) -> None:
    """When time is up: the ways that earlier answers already hold."""
    known = {off for off, _ in asked.works if 0 < len(off) <= MOST_GROUPS_IN_A_WAY}
    for off in sorted(known, key=lambda off: (sum(groups[name] for name in off), sorted(off))):
        if len(found.ways) < MOST_WAYS and not any(off >= set(way.groups) for way in found.ways):
            found.ways.append(_way(asked, off, groups))


def _cheapest_hit(cores: Sequence[Off], groups: Mapping[str, int], barred: Sequence[Off]) -> Off | None:
    """The cheapest set of groups that meets every core and contains no set already tried."""
    names = sorted({name for core in cores for name in core}, key=lambda name: (groups[name], name))
    hits = [
        frozenset(chosen)
        for size in range(1, MOST_GROUPS_IN_A_WAY + 1)
        for chosen in combinations(names, size)
        if all(core.intersection(chosen) for core in cores)
    ]
    fresh = [hit for hit in hits if not any(hit >= tried for tried in barred)]
    return min(fresh, key=lambda hit: (sum(groups[name] for name in hit), sorted(hit)), default=None)


def _way(asked: _Asked, off: Off, groups: Mapping[str, int]) -> Way:
    network = asked.network
    pools = asked.one_more(off)
    plan = _best_for_way(asked, off, pools)
    placed, out_of_line = taken_back(network, plan.placed)
    return Way(
        groups=tuple(sorted(off)),
        weight=sum(groups[name] for name in off),
        extra={name: _over(network, plan, name) for name in pools},
        placed=placed,
        options=plan.options,
        out_of_line=out_of_line,
    )


def _best_for_way(asked: _Asked, off: Off, pools: Mapping[str, int]) -> Solution:
    """The plan with fewest tasks out of line that time allows, with one more unit of a pool if that will do."""
    known = asked.plan_for(off)
    for more in [pools, {}] if pools else [{}]:
        if asked.left_s() > 0.0:
            seconds = min(WAY_S, asked.left_s())
            plan = solve(dropped(asked.network, off, more), time_limit_s=seconds, secondary=False)
            if plan.placed:
                return plan
    if known is None:
        raise BoottopError(f"a way out was named that no plan shows: {sorted(off)}")
    return known


def _over(network: Network, plan: Solution, name: str) -> int:
    """Units of a pool that the plan holds beyond its capacity, at the worst moment."""
    pool = next(pool for pool in network.resources if pool.name == name)
    modes = {task.key: {mode.key: mode for mode in task.modes} for task in network.tasks}
    held = np.zeros(network.count + 1, np.int64)
    for place in plan.placed:
        mode = modes[place.key].get(place.mode.removesuffix(CLOSED))
        held[place.start : place.finish] += mode.uses.get(name, 0) if mode is not None else 0
    capacity = pool.capacity + sum(more for key, more in pool.extra.items() if key in plan.options)
    return max(0, int(held.max()) - capacity)
