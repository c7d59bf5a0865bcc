"""What the rules build: the solver's network, and beside it what each of its tasks is to a person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from boottop.base.errors import BoottopError
from boottop.climate.climate import Climate
from boottop.coating.sheet import System
from boottop.measure.hull import Hull, Zone
from boottop.plan.calendar import Calendar, worked
from boottop.plan.inputs import PlanInput, WindowKey
from boottop.plan.network import Apart, Link, Mode, Network, SameDay, Task
from boottop.plan.plan import TaskState
from boottop.plan.progress import Retreat
from boottop.plan.rules_cover import Cover, State
from boottop.plan.rules_drying import WETTING, dry_under, kept_wet, wet_until
from boottop.plan.rules_shared import Shared
from boottop.windows.windows import ZoneWindows

Marks = NDArray[np.int32]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Part:
    """One line of the person's plan inside a task of the solver. `slots` it lasts by mode key; `open` by mode key the
    slots (slot,) in which it goes on, empty when it runs straight through."""

    key: str
    kind: str
    zone: str | None
    slots: Mapping[str, int]
    open: Mapping[str, Bools] = field(default_factory=dict)
    coat: int | None = None
    product: str | None = None


@dataclass(frozen=True, kw_only=True)
class Closer:
    """Something that may close slots to a task: what is said of a closed slot and of the first open one after it, and
    the slots it leaves open (slot,). `weather`: the weather closes them, not the clock."""

    says: str
    opens: str
    open: Bools
    weather: bool = False


@dataclass(frozen=True, kw_only=True)
class Words:
    """A link in words: the rule, its family, and what is said once it is met."""

    rule: str
    group: str
    met: str


@dataclass(frozen=True, kw_only=True)
class PastPart:
    """A part that was done, taken as done, or is in hand (then what follows it in one go too): marks, the slots of
    work in it, by how many, and the times written down."""

    part: Part
    start: int
    end: int
    slots: int
    state: TaskState
    people: int = 0
    begun: datetime | None = None
    ended: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class TaskFacts:
    """What one task of the network is, for people.

    `closers` by mode key: what must leave a slot open for the task to be taken up (or, where it runs straight
    through, each slot of it). `covers` by mode key where the windows of a coating rule it. `people` of the crew by
    mode key. `past`: parts that were done, in order; with `pinned` these are all its parts, else `parts` are those
    still to do.
    """

    key: str
    label: str
    parts: tuple[Part, ...]
    closers: Mapping[str, tuple[Closer, ...]]
    people: Mapping[str, int]
    covers: Mapping[str, Cover] = field(default_factory=dict)
    past: tuple[PastPart, ...] = ()
    pinned: bool = False

    @property
    def kind(self) -> str:
        """Kind of the last part, which names the task."""
        return self.parts[-1].kind

    def spans(self, mode: str, start: int) -> list[tuple[Part, int, int]]:
        """Each part with the slot it starts at and the mark it ends at, for a task started at `start`."""
        found, at = [], start
        for part in self.parts:
            slots = part.slots[mode]
            first, end = worked(part.open[mode], at, slots) if part.open else (at, at + slots)
            found.append((part, first, end))
            at = end
        return found


@dataclass(frozen=True, kw_only=True)
class JobNetwork:
    """The network for the solver, and `facts` on each of its tasks by key; `drying` maps a strip task to the zone
    and, by mode, the array (mark,) of the mark from which the laminate is dry enough. `met`: by number of a link, what
    is said of its earliest start ("coat 1, port side is tacky at {when}"). `from_slot`: before it nothing is
    planned any more. `retreats`: ways back taken, by zone. `why`: by task, what made it necessary. `ahead`:
    zones in the middle of their coats."""

    network: Network
    facts: Mapping[str, TaskFacts]
    calendar: Calendar
    inputs: PlanInput
    findings: tuple[str, ...]
    drying: Mapping[str, tuple[str, Mapping[str, Marks]]]
    met: Mapping[int, str]
    tent_span: tuple[int, int] | None = None
    from_slot: int = 0
    retreats: Mapping[str, Retreat] = field(default_factory=dict)
    why: Mapping[str, str] = field(default_factory=dict)
    ahead: tuple[str, ...] = ()


@dataclass(kw_only=True)
class Draft:
    """A job under construction: what the rules read, and what they have laid down so far.

    `tent_climate` None: water is taken to dry under a tent as it does in the open. `bare_h`: hours that the copper
    laid bare by a task may wait. `why`: by task, what made it necessary. `from_slot`: nothing new starts before it.
    `shared`: arrays that tasks have in common.
    """

    inputs: PlanInput
    hull: Hull
    windows: Mapping[WindowKey, ZoneWindows]
    climate: Climate
    calendar: Calendar
    tent_climate: Climate | None = None
    shared: Shared = field(default_factory=Shared)
    tasks: dict[str, Task] = field(default_factory=dict)
    facts: dict[str, TaskFacts] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    same_day: list[SameDay] = field(default_factory=list)
    apart: list[Apart] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)
    drying: dict[str, tuple[str, Mapping[str, Marks]]] = field(default_factory=dict)
    met: dict[int, str] = field(default_factory=dict)
    known_covers: dict[tuple[str, str], tuple[Cover, ...]] = field(default_factory=dict)
    known_drying: dict[tuple[str, bool], Marks] = field(default_factory=dict)
    known_films: dict[tuple[object, ...], tuple[Bools, Marks, Marks | None]] = field(default_factory=dict)
    bare_h: dict[str, float] = field(default_factory=dict)
    why: dict[str, str] = field(default_factory=dict)
    ahead: tuple[str, ...] = ()
    from_slot: int = 0

    @property
    def count(self) -> int:
        """Slots of the grid."""
        return self.calendar.grid.count

    @cached_property
    def same_mark(self) -> Marks:
        """The mark itself, shape (mark,): `after` may start the moment `before` ends."""
        return np.arange(self.count + 1, dtype=np.int32)

    @cached_property
    def tent_span(self) -> tuple[int, int] | None:
        """First mark and end mark of the tent on offer, None without one (or with one outside the known weather)."""
        hire, grid = self.inputs.hire, self.calendar.grid
        if hire.tent_from is None or hire.tent_to is None:
            return None
        first, end = grid.mark_at_or_after(hire.tent_from), grid.mark_at_or_before(hire.tent_to)
        first, end = max(0, first), min(grid.count, end)
        return (first, end) if first < end else None

    def add(self, facts: TaskFacts, modes: tuple[Mode, ...], group: str, *, late: bool = False) -> str:
        """Lay down a task, `late` when it should be done no sooner than it must; gives its key."""
        if facts.key in self.tasks:
            raise BoottopError(f"task {facts.key!r} laid down twice")
        self.tasks[facts.key] = Task(key=facts.key, modes=modes, group=group, late=late)
        self.facts[facts.key] = facts
        return facts.key

    def follow(self, before: str, after: str, rule: str) -> None:
        """`after` starts no earlier than `before` ends."""
        group = f"order: {self.facts[before].label} before {self.facts[after].label}"
        self.met[len(self.links)] = f"{self.facts[before].label} is done at {{when}}"
        self.links.append(
            Link(before=before, after=after, earliest=self.same_mark, latest=None, rule=rule, group=group)
        )

    def lag(self, before: str, after: str, earliest: Marks, *, words: Words) -> None:
        """`after` starts no earlier than `earliest` (mark,) of the end of `before`."""
        rule, group, self.met[len(self.links)] = words.rule, words.group, f"{words.met} at {{when}}"
        self.links.append(Link(before=before, after=after, earliest=earliest, latest=None, rule=rule, group=group))

    def limit(self, before: str, after: str, latest: Marks, *, rule: str, group: str) -> None:
        """`after` starts no later than `latest` (mark,) of the end of `before`."""
        self.links.append(Link(before=before, after=after, earliest=None, latest=latest, rule=rule, group=group))

    def unlink(self, before: str, after: str) -> None:
        """Take away every link from one task to another."""
        kept = [
            (link, self.met.get(number))
            for number, link in enumerate(self.links)
            if (link.before, link.after) != (before, after)
        ]
        self.links[:] = [link for link, _ in kept]
        self.met = {number: said for number, (_, said) in enumerate(kept) if said is not None}

    def film_lag(self, before: str, after: str, *, state: State | None, words: Words) -> None:
        """`after` starts no earlier than the film of coat `before` is in `state` (None: may be sanded)."""
        by_mode: dict[str, tuple[Marks | None, Marks | None]] = {
            key: (cover.sandable() if state is None else cover.reached(state), None)
            for key, cover in self.facts[before].covers.items()
        }
        self.met[len(self.links)] = f"{words.met} at {{when}} (cautious edge)"
        self._film_link(before, after, by_mode=by_mode, words=(words.rule, words.group))

    def film_limit(self, before: str, after: str, *, rule: str, group: str) -> None:
        """`after` starts no later than the longest overcoat time of coat `before`."""
        covers = self.facts[before].covers
        by_mode: dict[str, tuple[Marks | None, Marks | None]] = {
            key: (None, cover.until()) for key, cover in covers.items()
        }
        self._film_link(before, after, by_mode=by_mode, words=(rule, group))

    def _film_link(
        self,
        before: str,
        after: str,
        *,
        by_mode: dict[str, tuple[Marks | None, Marks | None]],
        words: tuple[str, str],
    ) -> None:
        covers = self.facts[before].covers
        open_key = next((key for key, cover in covers.items() if cover.key == "open"), None)
        earliest, latest = by_mode[open_key] if open_key is not None else (None, None)
        tented = {key: pair for key, pair in by_mode.items() if covers[key].key == "tent"}
        self.links.append(
            Link(
                before=before,
                after=after,
                earliest=earliest,
                latest=latest,
                rule=words[0],
                group=words[1],
                by_mode=tented,
            )
        )

    def covers(self, zone: Zone, system: System) -> tuple[Cover, ...]:
        """The covers of one coating on one zone: in the open, and under the tent where one is on offer."""
        name = (zone.name, system.sheet.name)
        if name not in self.known_covers:
            open_ = self._windows(*name, under_tent=False)
            made: tuple[Cover, ...] = (Cover(key="open", open=open_),)
            if self.tent_span is not None:
                tent = self._under_tent(*name, span=self.tent_span)
                made += (Cover(key="tent", open=open_, tent=tent, span=self.tent_span),)
            self.known_covers[name] = made
        return self.known_covers[name]

    def dry_after(self, zone: Zone, *, tented: bool = False) -> Marks:
        """Mark at which the whole zone is dry if wetted at each mark, without or with the tent hired, shape (mark,)."""
        name, rows = (zone.name, tented), self.climate.rows(zone.name)
        if not rows:
            raise BoottopError(f"the climate knows no patch of zone {zone.name!r}")
        if name not in self.known_drying:
            marks = self.climate.dry_after[rows]
            if tented and self.tent_climate is not None and self.tent_span is not None:
                marks = dry_under(marks, self.tent_climate.dry_after[rows], self.tent_span)
            self.known_drying[name] = np.asarray(marks.max(axis=0), dtype=np.int32)
        return self.known_drying[name]

    def drying_after(self, before: str, zone: Zone, *, least: Marks | None = None) -> dict[str, Marks]:
        """Mark at which a zone that task `before` left wet is dry, by the mark it ends at, by its mode; shape (mark,).

        Water runs off from the end of the last wet part; what is done dry after it within the task gives it time.
        A mode that does not know whether the tent is hired waits for the slower. `least`: no earlier than that.
        """
        parts, found = self.facts[before].parts, dict[str, Marks]()
        wet = max((place for place, part in enumerate(parts) if part.kind in WETTING), default=len(parts) - 1)
        for mode in self.tasks[before].modes:
            since = sum(part.slots[mode.key] for part in parts[wet + 1 :])
            ways = [self.dry_after(zone, tented=tented) for tented in self._tented(mode)]
            dry = ways[0] if len(ways) == 1 else np.maximum(*ways)
            if since:
                dry = np.maximum(dry[np.maximum(self.same_mark - since, 0)], self.same_mark)
            found[mode.key] = dry if least is None else np.maximum(dry, least)
        return found

    def _tented(self, mode: Mode) -> tuple[bool, ...]:
        if self.tent_climate is None or self.tent_span is None or "tent" in mode.without:
            return (False,)
        return (True,) if "tent" in mode.needs else (False, True)

    def dry_lag(self, before: str, after: str, drying: Mapping[str, Marks], *, words: Words) -> None:
        """`after` starts no earlier than `drying` (by mode of `before`, mark) of the end of `before`."""
        self.met[len(self.links)] = f"{words.met} at {{when}}"
        first, *others = drying.values()
        alike = all(np.array_equal(first, other) for other in others)
        by_mode: dict[str, tuple[Marks | None, Marks | None]] = {key: (dry, None) for key, dry in drying.items()}
        self.links.append(
            Link(
                before=before,
                after=after,
                earliest=first if alike else None,
                latest=None,
                rule=words.rule,
                group=words.group,
                by_mode={} if alike else by_mode,
            )
        )

    def _under_tent(self, zone: str, product: str, *, span: tuple[int, int]) -> ZoneWindows:
        """Windows under the tent; she stays wet under it for a while if she was wet when it went up."""
        windows = self._windows(zone, product, under_tent=True)
        until = wet_until(self.climate, self.tent_climate or self.climate, zone=zone, span=span)
        return kept_wet(windows, span[0], until) if until > span[0] else windows

    def _windows(self, zone: str, product: str, *, under_tent: bool) -> ZoneWindows:
        key = WindowKey(zone, product, under_tent)
        if key not in self.windows:
            place = "under the tent" if under_tent else "in the open"
            raise BoottopError(f"no windows were made for {product!r} on {zone!r} {place}")
        return self.windows[key]
