"""The work on one zone, from bare to coated: abrade, wipe, undercoats, coats, each within what its film allows."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from boottop.coating.cleaners import leaves_water
from boottop.coating.scope import zones_for
from boottop.coating.sheet import System
from boottop.measure.hull import Hull, Zone
from boottop.plan.inputs import PlanInput
from boottop.plan.rules_draft import Draft, Marks, Words
from boottop.plan.rules_modes import Work, crew_task, film_task, slots_up
from boottop.plan.tasks import COAT_KIND

WIPE_HOLDS_H = 6.0
"""A wiped surface is coated within six hours or wiped again (common practice, no source)."""

ROLES = ("primer", "barrier", "antifouling")
COAT_LABEL = {"primer": "primer coat", "barrier": "barrier coat", "antifouling": "coat"}


@dataclass(frozen=True, kw_only=True)
class Chain:
    """The tasks of one zone. `first` may begin once the hull is bare there, `wiped` once it is dry and masked.

    `coats` by role are the coat tasks in order; `last` is the last of them all, of product `system`.
    """

    zone: Zone
    first: str
    wiped: str
    coats: tuple[tuple[System, tuple[str, ...]], ...]

    @property
    def last(self) -> str:
        """The task of the last coat of all."""
        return self.coats[-1][1][-1]

    @property
    def system(self) -> System:
        """The coating that lies outermost."""
        return self.coats[-1][0]

    @property
    def antifouling(self) -> tuple[str, ...]:
        """The antifouling coats, none where the zone carries an undercoat only."""
        return self.coats[-1][1] if self.system.role == "antifouling" else ()


def systems_for(inputs: PlanInput, hull: Hull, zone: Zone) -> list[System]:
    """The coatings a zone gets, innermost first."""
    return [
        system
        for role in ROLES
        for system in inputs.systems
        if system.role == role and zone.name in [reached.name for reached in zones_for(system, hull)]
    ]


def is_small(zone: Zone) -> bool:
    """Gear, pad spots and keel sole: prepared in one go, and wiped straight before the first coat."""
    return zone.kind == "gear" or is_hidden(zone)


def is_hidden(zone: Zone) -> bool:
    """Covered until the yard moves what the boat stands on: pad spots, and the keel sole where it is coated."""
    return zone.kind in ("pads", "sole")


def lay_chain(draft: Draft, zone: Zone) -> Chain:
    """Lay down the tasks of one zone and what links them to each other."""
    systems = systems_for(draft.inputs, draft.hull, zone)
    first = _prepare(draft, zone, systems[0])
    runs: list[tuple[System, tuple[str, ...]]] = []
    wiped = ""
    for system in systems:
        entry, coats = _run(draft, zone, system)
        if runs:
            _sand_between(draft, zone, before=runs[-1], entry=entry)
        else:
            wiped = entry
        runs.append((system, coats))
    if is_small(zone):
        draft.dry_lag(first, wiped, draft.drying_after(first, zone), words=sanded_dry(zone, "wiped"))
    return Chain(zone=zone, first=first, wiped=wiped, coats=tuple(runs))


def _prepare(draft: Draft, zone: Zone, system: System) -> str:
    """Abrading; on gear and pad spots with the old paint off first and, on gear, the masking after."""
    covers = draft.covers(zone, system)
    kinds = ["abrade"]
    if is_small(zone):
        kinds = (["strip"] if draft.inputs.wishes.strip else []) + kinds + (["mask"] if zone.kind == "gear" else [])
    works = [
        Work(key=f"{kind}/{zone.name}", kind=kind, zone=zone.name, area_m2=zone.area_m2, covers=covers)
        for kind in kinds
    ]
    if len(works) == 1:
        return crew_task(draft, works[0].key, label=f"abrading, {zone.name}", works=works)
    return crew_task(draft, f"prepare/{zone.name}", label=f"preparing, {zone.name}", works=works)


def _run(draft: Draft, zone: Zone, system: System) -> tuple[str, tuple[str, ...]]:
    """Wipe and coats of one product; gives the task that opens the run, and the coats."""
    kind, covers = COAT_KIND[system.role], draft.covers(zone, system)
    wipe = Work(key=wipe_key(zone, system), kind="wipe", zone=zone.name, area_m2=zone.area_m2, covers=covers)
    works = [
        Work(key=f"{kind}/{zone.name}/{coat}", kind=kind, zone=zone.name, area_m2=zone.area_m2, coat=coat,
             product=system.sheet.name, covers=covers)
        for coat in range(1, system.coats + 1)
    ]  # fmt: skip
    labels = [f"{COAT_LABEL[system.role]} {work.coat}, {zone.name}" for work in works]
    if is_small(zone) and not leaves_water(_cleaner(draft, system)):
        coats = [film_task(draft, works[0].key, label=labels[0], works=[wipe, works[0]])]
        entry = coats[0]
    else:
        entry = film_task(draft, wipe.key, label=f"wiping, {zone.name}", works=[wipe])
        coats = [film_task(draft, works[0].key, label=labels[0], works=[works[0]])]
        coat_after_wipe(draft, zone, system, pair=(entry, coats[0]))
    coats += [
        film_task(draft, work.key, label=label, works=[work]) for work, label in zip(works[1:], labels[1:], strict=True)
    ]
    for before, after in pairwise(coats):
        _overcoat(draft, zone, system=system, pair=(before, after))
    return entry, tuple(coats)


def wipe_key(zone: Zone, system: System) -> str:
    """Key of the wiping that opens the run of a product on a zone."""
    return f"wipe/{zone.name}" if system.role == "antifouling" else f"wipe/{zone.name}/{system.role}"


def _cleaner(draft: Draft, system: System) -> str:
    """What the zone is wiped with under a product."""
    return draft.inputs.cleaner or system.sheet.cleaner


def coat_after_wipe(draft: Draft, zone: Zone, system: System, *, pair: tuple[str, str]) -> None:
    """At once after a solvent, dry again after water, and never long after either."""
    wipe, coat = pair
    cleaner = _cleaner(draft, system)
    if leaves_water(cleaner):
        words = Words(
            rule=f"{zone.name} must dry after wiping with {cleaner}",
            group=f"wiping water: {zone.name}",
            met=f"{zone.name} is dry after wiping with {cleaner}",
        )
        draft.dry_lag(wipe, coat, draft.drying_after(wipe, zone), words=words)
    else:
        draft.follow(wipe, coat, f"{zone.name} must be wiped before it is coated")
    draft.limit(
        wipe,
        coat,
        plus(draft, WIPE_HOLDS_H),
        rule=f"{zone.name} must be coated within {WIPE_HOLDS_H:g} h of wiping (common practice)",
        group=f"wiped too long ago: {zone.name}",
    )


def sanded_dry(zone: Zone, then: str) -> Words:
    """Sanding is taken to be wet, which keeps the dust down: dry again before what follows."""
    return Words(
        rule=f"{zone.name} must be abraded, and dry after it, before it is {then}",
        group=f"sanding water: {zone.name}",
        met=f"{zone.name} is abraded and dry",
    )


def _overcoat(draft: Draft, zone: Zone, *, system: System, pair: tuple[str, str]) -> None:
    """The next coat waits until the last is tacky, and goes on before it is too hard to bond."""
    before, after = pair
    label = draft.facts[before].label
    words = Words(rule=f"{label} must be tacky before the next", group=f"tacky: {zone.name}", met=f"{label} is tacky")
    draft.film_lag(before, after, state="ready", words=words)
    if system.sheet.one_day and _lasts_the_day(draft, before):
        return
    rule = f"{label} takes the next coat without sanding only for so long"
    draft.film_limit(before, after, rule=rule, group=f"longest overcoat time: {zone.name}")


def _lasts_the_day(draft: Draft, coat: str) -> bool:
    """Whether the longest overcoat time never ends before the working day does: then one day says it already."""
    ends = draft.calendar.day_ends
    covers = draft.facts[coat].covers
    for mode in draft.tasks[coat].modes:
        finishes = mode.finish[mode.starts]
        if np.any(covers[mode.key].until()[finishes] < ends[finishes]):
            return False
    return True


def _sand_between(draft: Draft, zone: Zone, *, before: tuple[System, tuple[str, ...]], entry: str) -> None:
    """An undercoat is let cure and abraded before the next product goes on."""
    system, coats = before
    label = COAT_LABEL[system.role]
    work = Work(key=f"abrade/{zone.name}/{system.role}", kind="abrade", zone=zone.name, area_m2=zone.area_m2)
    sand = crew_task(draft, work.key, label=f"abrading the {label}, {zone.name}", works=[work])
    words = Words(
        rule=f"the {label} on {zone.name} must be hard enough to sand",
        group=f"undercoat cure: {zone.name}",
        met=f"the {label} on {zone.name} is hard enough to sand",
    )
    draft.film_lag(coats[-1], sand, state=None, words=words)
    draft.dry_lag(sand, entry, draft.drying_after(sand, zone), words=sanded_dry(zone, "wiped"))


def plus(draft: Draft, hours: float) -> Marks:
    """Mark that lies `hours` after each mark, shape (mark,), rounded up; beyond where past the known time."""
    return np.minimum(draft.same_mark + slots_up(hours), draft.count + 1).astype(np.int32)
