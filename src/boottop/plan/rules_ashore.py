"""The work on the whole boat: haul-out and wash, strip and dry, mask, stands, bare copper, own jobs, launch."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from boottop.measure.hull import Zone
from boottop.plan.calendar import all_open, finish_at_once, finish_of_work
from boottop.plan.inputs import ExtraJob
from boottop.plan.network import Link, Mode
from boottop.plan.rules_draft import Bools, Closer, Draft, Marks, Part, TaskFacts, Words
from boottop.plan.rules_modes import HELPER, OPEN, TENT, Hands, Work, both, crew_task, later, slots_up
from boottop.plan.rules_zone import Chain, plus, sanded_dry

ACTIVATION_HOLDS_H = 48.0
"""Bare copper dulls: sanded no longer than this before launching where the sheet is silent (common practice, no
source)."""


def lay_haul_out(draft: Draft) -> str:
    """Haul-out at a lift slot, and the pressure wash right after it, in the yard's hours and on that day."""
    yard, wishes = draft.inputs.yard, draft.inputs.wishes
    lift, wash = max(1, slots_up(yard.lift_h)), slots_up(yard.wash_h)
    earliest = np.arange(draft.count) >= draft.calendar.grid.mark_at_or_after(wishes.earliest_haul)
    closers = (
        Closer(says="no lift slot", opens="the crane lifts", open=lift_slots(draft)),
        Closer(
            says="before the earliest haul-out asked for",
            opens="the earliest haul-out asked for is",
            open=np.asarray(earliest),
        ),
        Closer(
            says="the wash would not be done in the yard's hours of that day",
            opens="the yard has time to wash",
            open=_washed(draft, lift, wash),
        ),
    )
    parts = [Part(key="haul_out", kind="haul_out", zone=None, slots={"yard": lift})]
    if wash:
        parts.append(Part(key="wash", kind="wash", zone=None, slots={"yard": wash}))
    return _yard_task(
        draft,
        "haul_out",
        label="haul-out and wash" if wash else "haul-out",
        parts=parts,
        closers=closers,
        group="lift slots: haul-out",
        special="wets",
    )


def _washed(draft: Draft, lift: int, wash: int) -> Bools:
    """Slots from which lift and wash end on the day they began, the wash in the yard's hours."""
    day = draft.calendar.day
    ends = later(day, lift + wash - 1, fill=-1)
    return both(later(all_open(draft.calendar.yard, wash), lift, fill=False), ends == day)


def lift_slots(draft: Draft) -> Bools:
    """Slots at which the crane takes this boat, in the yard's hours, shape (slot,)."""
    return _listed(draft) & _open_for_a_lift(draft)


def shut_lift_slots(draft: Draft) -> list[int]:
    """Slots that are listed for this boat though the yard is shut for some of the lift."""
    return [int(slot) for slot in np.flatnonzero(_listed(draft) & ~_open_for_a_lift(draft))]


def _open_for_a_lift(draft: Draft) -> Bools:
    return all_open(draft.calendar.yard, max(1, slots_up(draft.inputs.yard.lift_h)))


def _listed(draft: Draft) -> Bools:
    grid = draft.calendar.grid
    listed = np.zeros(grid.count, dtype=np.bool_)
    for when in draft.inputs.yard.lift_slots:
        if 0 <= (slot := grid.mark_at_or_after(when)) < grid.count:
            listed[slot] = True
    return listed


def lay_launch(draft: Draft) -> str:
    """Launch at a lift slot."""
    lift = max(1, slots_up(draft.inputs.yard.lift_h))
    parts = (Part(key="launch", kind="launch", zone=None, slots={"yard": lift}),)
    closers = (Closer(says="no lift slot", opens="the crane lifts", open=lift_slots(draft)),)
    return _yard_task(draft, "launch", label="launch", parts=parts, closers=closers, group="lift slots: launch")


def _yard_task(
    draft: Draft,
    key: str,
    *,
    label: str,
    parts: Sequence[Part],
    closers: tuple[Closer, ...],
    group: str,
    special: Literal["", "clears", "wets"] = "",
) -> str:
    """A task of the yard's, straight through. `clears`: the whole crew stays out from under the boat meanwhile;
    `wets`: how soon she is dry after it depends on the tent."""
    slots = sum(part.slots["yard"] for part in parts)
    finish = finish_at_once(draft.count, slots)
    starts = both(*(closer.open for closer in closers)) & (finish <= draft.count)
    plain = Mode(key="yard", starts=starts, finish=finish, uses={"yard": 1})
    modes = [plain]
    if special == "clears":
        modes = _cleared(draft, plain)
    elif special == "wets" and draft.tent_climate is not None and draft.tent_span is not None:
        modes = [
            replace(plain, key=f"yard/{OPEN}", without=(TENT,)), replace(plain, key=f"yard/{TENT}", needs=(TENT,))
        ]  # fmt: skip
    named = tuple(
        Part(key=part.key, kind=part.kind, zone=part.zone, slots={mode.key: part.slots["yard"] for mode in modes})
        for part in parts
    )
    facts = TaskFacts(
        key=key,
        label=label,
        parts=named,
        closers={mode.key: closers for mode in modes},
        people={mode.key: 0 for mode in modes},
    )
    return draft.add(facts, tuple(modes), group)


def _cleared(draft: Draft, plain: Mode) -> list[Mode]:
    """With nobody at work beside it, a hired helper neither."""
    crew, helpers = draft.inputs.crew.people, draft.inputs.hire.helper_people
    if not helpers:
        return [replace(plain, uses={"yard": 1, "crew": crew})]
    return [
        replace(plain, uses={"yard": 1, "crew": crew}, without=(HELPER,)),
        replace(plain, key="yard/helper", uses={"yard": 1, "crew": crew + helpers}, needs=(HELPER,)),
    ]


def lay_strip(draft: Draft, haul: str, *, name: str, zones: Sequence[Zone]) -> str:
    """Old paint off one side; its zones in one go."""
    works = [
        Work(key=f"strip/{zone.name}", kind="strip", zone=zone.name, area_m2=zone.area_m2, set_up=index == 0)
        for index, zone in enumerate(zones)
    ]
    strip = crew_task(draft, f"strip/{name}", label=f"stripping, {name}", works=works)
    draft.follow(haul, strip, "the hull must be washed before it is stripped")
    return strip


def bare_by(draft: Draft, chain: Chain, *, haul: str, strip: str | None) -> None:
    """When the first work on a zone that the stands leave free may begin, and when it may be wiped."""
    zone = chain.zone
    if strip is None:
        dry = draft.drying_after(haul, zone)
        if chain.first.startswith("abrade"):
            draft.follow(haul, chain.first, "the hull must be washed before it is abraded")
            draft.dry_lag(haul, chain.wiped, dry, words=_dry_words(zone))
        else:
            draft.dry_lag(haul, chain.first, dry, words=_dry_words(zone))
    else:
        hours = draft.inputs.wishes.dry_h
        earliest = draft.drying_after(strip, zone, least=plus(draft, hours))
        asked = f" for {hours:g} h" if hours else ""
        words = Words(
            rule=f"{zone.name} must dry{asked} after stripping",
            group=f"laminate dry: {zone.name}",
            met=f"{zone.name} has dried{asked} after stripping",
        )
        draft.dry_lag(strip, chain.first, earliest, words=words)
        if strip not in draft.drying and hours:
            draft.drying[strip] = (zone.name, earliest)


def _dry_words(zone: Zone) -> Words:
    return Words(
        rule=f"{zone.name} must dry after the wash",
        group=f"surface dry: {zone.name}",
        met=f"{zone.name} is dry after the wash",
    )


def lay_mask(draft: Draft, haul: str, *, name: str, chains: Sequence[Chain]) -> str:
    """Tape once along one side, after abrading and before wiping."""
    zone = chains[0].zone
    covers = draft.covers(zone, chains[0].coats[0][0])
    area_m2 = sum(chain.zone.area_m2 for chain in chains)
    work = Work(key=f"mask/{name}", kind="mask", zone=zone.name, area_m2=area_m2, covers=covers)
    mask = crew_task(draft, work.key, label=f"masking, {name}", works=[work])
    draft.dry_lag(haul, mask, draft.drying_after(haul, zone), words=_dry_words(zone))
    for chain in chains:
        dry = draft.drying_after(chain.first, chain.zone)
        draft.dry_lag(chain.first, mask, dry, words=sanded_dry(chain.zone, "masked"))
        draft.follow(mask, chain.wiped, f"{chain.zone.name} must be masked before it is wiped")
    return mask


def lay_stand_move(draft: Draft, sides: Sequence[Chain], pads: Sequence[Chain]) -> str:
    """The yard moves all stands once the film they will stand on bears it; then the spots under them are free."""
    slots = max(1, slots_up(draft.inputs.yard.stand_move_h))
    parts = (Part(key="move_stands", kind="move_stands", zone=None, slots={"yard": slots}),)
    closers = (
        Closer(
            says="the yard could not move all stands in its hours",
            opens="the yard's hours begin",
            open=all_open(draft.calendar.yard, slots),
        ),
    )
    move = _yard_task(
        draft,
        "move_stands",
        label="moving the stands",
        parts=parts,
        closers=closers,
        group="yard hours: move of the stands",
        special="clears",
    )
    for chain in sides:
        words = Words(
            rule=f"the film on {chain.zone.name} must bear a stand",
            group=f"stands: {chain.zone.name}",
            met=f"the film on {chain.zone.name} bears a stand",
        )
        draft.film_lag(chain.last, move, state="stands_safe", words=words)
    for chain in pads:
        draft.follow(move, chain.first, f"the stands must be moved before {chain.zone.name} can be reached")
    return move


def lay_activation(draft: Draft, name: str, *, chains: Sequence[Chain], launch: str) -> str:
    """Lay the copper bare on several zones in one go, once their film can be sanded and shortly before launching."""
    works = [
        Work(key=f"activate/{chain.zone.name}", kind="activate", zone=chain.zone.name, area_m2=chain.zone.area_m2,
             set_up=index == 0)
        for index, chain in enumerate(chains)
    ]  # fmt: skip
    sand = crew_task(draft, f"activate/{name}", label=f"sanding to bare copper, {name}", works=works, late=True)
    for chain in chains:
        words = Words(
            rule=f"the last coat on {chain.zone.name} must be hard enough to sand",
            group=f"cure before sanding: {chain.zone.name}",
            met=f"the last coat on {chain.zone.name} is hard enough to sand",
        )
        draft.film_lag(chain.last, sand, state=None, words=words)
    hours = chains[0].system.sheet.activation_before_launch_h
    hours = draft.bare_h[sand] = ACTIVATION_HOLDS_H if hours is None else hours
    draft.follow(sand, launch, f"{name} must be sanded to bare copper before the launch")
    draft.links.append(
        Link(
            before=sand,
            after=launch,
            earliest=None,
            latest=None,
            rule=f"bare copper must be afloat within {hours:g} h of sanding",
            group=f"bare copper too long: {name}",
            from_start=True,
            by_mode={mode: (None, latest) for mode, latest in _first_bare_until(draft, sand, hours).items()},
        )
    )
    return sand


def _first_bare_until(draft: Draft, sand: str, hours: float) -> dict[str, Marks]:
    """By mode, the last moment to launch, by the start of sanding (mark,): it counts from the end of the zone that
    was sanded first."""
    first, held = draft.facts[sand].parts[0], plus(draft, hours)
    found = {}
    for mode, slots in first.slots.items():
        ends = finish_of_work(first.open[mode], slots)
        latest = np.where(ends > draft.count, draft.count + 1, held[np.minimum(ends, draft.count)])
        found[mode] = np.append(latest, draft.count + 1).astype(np.int32)
    return found


def lay_extra_jobs(draft: Draft, haul: str, launch: str) -> None:
    """The owner's own jobs, between wash and launch and in the order asked for."""
    jobs = draft.inputs.extra_jobs
    for job in jobs:
        _extra(draft, job)
    for job in jobs:
        key = f"extra/{job.name}"
        draft.follow(haul, key, f"{job.name} waits for haul-out and wash")
        draft.follow(key, launch, f"{job.name} must be done before the launch")
        for name in job.after:
            if name == "dry":
                for strip, (zone, earliest) in draft.drying.items():
                    words = Words(
                        rule=f"{job.name} comes after drying", group=f"laminate dry: {zone}", met=f"{zone} has dried"
                    )
                    draft.dry_lag(strip, key, earliest, words=words)
                continue
            for before in _of_kind(draft, name, last=True):
                draft.follow(before, key, f"{job.name} comes after {name}")
        for name in job.before:
            for after in _of_kind(draft, name, last=False):
                draft.follow(key, after, f"{job.name} comes before {name}")


def _extra(draft: Draft, job: ExtraJob) -> str:
    crew = draft.inputs.crew.people
    work = Work(key=f"extra/{job.name}", kind="extra", zone=None, weather="no_rain" if job.dry_weather else "nothing")
    hands = Hands(
        people=job.people, needs=() if job.people <= crew else (HELPER,), slots=(max(1, slots_up(job.duration_h)),)
    )
    return crew_task(draft, work.key, label=job.name, works=[work], hands=[hands])


def _of_kind(draft: Draft, name: str, *, last: bool) -> list[str]:
    """Tasks of a kind, or an extra job by its name; of the coats of a zone only the last (or first) one."""
    if f"extra/{name}" in draft.facts:
        return [f"extra/{name}"]
    found: dict[tuple[str | None, bool], tuple[int, str]] = {}
    for key, facts in draft.facts.items():
        for part in facts.parts:
            if part.kind == name:
                rank = part.coat or 0
                place = (part.zone, part.coat is not None) if part.coat is not None else (key, False)
                known = found.get(place)
                if known is None or (rank > known[0]) == last:
                    found[place] = (rank, key)
    return [key for _, key in found.values()]


def zone_names(chains: Iterable[Chain]) -> str:
    """Names of the zones of several chains, as people list them."""
    names = [chain.zone.name for chain in chains]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
