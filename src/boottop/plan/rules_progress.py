"""A job that has begun: the rules laid down as ever, then what was done pinned in them, and what it cannot undo."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from boottop.measure.hull import Zone
from boottop.plan.network import Apart, Link, Marks, SameDay
from boottop.plan.progress import TOUCH_HOLDS, Progress, Retreat, Way
from boottop.plan.rules_back import (
    WASHED_OFF,
    Front,
    fronts,
    keep_the_window,
    lay_way_back,
    needed_retreats,
    sand_spots,
)
from boottop.plan.rules_draft import Draft
from boottop.plan.rules_happened import Happened, Past, past_of
from boottop.plan.rules_pinned import Pin, Settled, pin_all
from boottop.plan.rules_zone import WIPE_HOLDS_H, Chain, plus, sanded_dry

WAYS: tuple[Way, ...] = ("day", "days", "sand")
"""From the least falling back to the most."""
Pair = tuple[Marks | None, Marks | None]


@dataclass(frozen=True, kw_only=True)
class Begun:
    """What was done of a job, and the ways back that are to be tried beside those that are needed, by zone.

    `wipe_again`: no coat need follow what was wiped so far.
    """

    progress: Progress
    wipe_again: bool = False
    retreats: Mapping[str, Retreat] = field(default_factory=dict)


def put_progress(draft: Draft, chains: Sequence[Chain], begun: Begun) -> dict[str, Retreat]:
    """Put what was done into the rules; gives the ways back taken, by zone: those asked for and those needed."""
    progress = begun.progress
    past = past_of(draft, chains, progress)
    taken = needed_retreats(draft, chains, past=past, progress=progress)
    ahead = {front.chain.zone.name: front for front in fronts(chains, past)}
    for zone, retreat in begun.retreats.items():
        if zone in ahead and (zone not in taken or WAYS.index(retreat.way) > WAYS.index(taken[zone].way)):
            taken[zone] = retreat
    _forget_dull_copper(draft, past, progress)
    for zone, front in ahead.items():
        if zone in taken and taken[zone].way == "sand":
            lay_way_back(draft, front, retreat=taken[zone], past=past)
        elif zone in taken:
            keep_the_window(draft, front)
    sand_spots(draft, chains, past)
    _forget_wipes(draft, past, progress, every=begun.wipe_again)
    settled = pin_all(draft, past.parts, progress)
    _tell_own_jobs(draft, settled, past)
    skipped = _skipped(draft, settled)
    _links(draft, settled, past=past, ahead=list(ahead.values()))
    for before, after, place in skipped:
        draft.dry_lag(before, after, draft.drying_after(before, place), words=sanded_dry(place, "coated"))
    _days(draft, settled, taken, ahead=ahead)
    _tell(draft, settled, progress, taken=taken)
    draft.from_slot, draft.ahead = settled.from_slot, tuple(ahead)
    return taken


def _forget_dull_copper(draft: Draft, past: Past, progress: Progress) -> None:
    """Copper laid bare too long ago for every lift that is still to come is laid bare again."""
    now = draft.calendar.grid.mark_at_or_after(progress.at)
    starts = np.flatnonzero(draft.tasks["launch"].modes[0].starts)
    for link in list(draft.links):
        facts = draft.facts[link.before]
        known = [past.parts[part.key] for part in facts.parts if part.key in past.parts]
        if facts.kind != "activate" or not link.from_start or not known:
            continue
        until = _bare_until(draft, link, known)
        if not any(now <= start <= until for start in starts.tolist()):
            for part in facts.parts:
                past.parts.pop(part.key, None)
            draft.findings.append(
                f"{facts.label}: done too long before the next lift; the copper dulls and is laid bare once more."
            )


def _forget_wipes(draft: Draft, past: Past, progress: Progress, *, every: bool) -> None:
    """A wiping that no coat can follow while it holds is done again (or every one that waits for its coat)."""
    now = min(max(draft.calendar.grid.mark_at_or_after(progress.at), 0), draft.count)
    for key, facts in draft.facts.items():
        wipe = facts.parts[0]
        known = past.parts.get(wipe.key)
        if wipe.kind != "wipe" or known is None or known.end_early is None:
            continue
        coats = [key] if len(facts.parts) > 1 else [
            link.after for link in draft.links if link.before == key and link.latest is not None
        ]  # fmt: skip
        if any(part.key in past.parts for coat in coats for part in draft.facts[coat].parts if part.coat is not None):
            continue
        until = int(plus(draft, WIPE_HOLDS_H)[known.end_early])
        if every or not any(_opens(draft, coat, now, until) for coat in coats):
            del past.parts[wipe.key]


def _opens(draft: Draft, coat: str, now: int, until: int) -> bool:  # noqa: PLR0917 a coat between two marks
    """Whether a coat may start from one mark up to another."""
    facts = draft.facts[coat]
    return any(
        bool(cover.may_start(facts.parts[-1].slots[mode])[now : until + 1].any())
        for mode, cover in facts.covers.items()
    )


def _bare_until(draft: Draft, link: Link, known: Sequence[Happened]) -> int:
    """Last mark for the launch that copper laid bare leaves: as long after its first end as the link holds."""
    first = min(one.end_early if one.end_early is not None else one.at for one in known)
    return int(plus(draft, draft.bare_h[link.before])[min(first, draft.count)])


def _skipped(draft: Draft, settled: Settled) -> list[tuple[str, str, Zone]]:
    """Work that still waits to be done though what it comes before is done, masked before it was abraded for instance:
    with the work on the same zone that must wait for it now."""
    zones = {zone.name: zone for zone in draft.hull.zones}
    found = []
    for link in draft.links:
        if link.after not in settled.pins or link.before in settled.pins or link.from_start:
            continue
        names = {part.zone for part in draft.facts[link.before].parts if part.zone is not None}
        for onward in draft.links:
            if onward.before == link.after and onward.after not in settled.pins:
                shared = names & {part.zone for part in draft.facts[onward.after].parts}
                found += [(link.before, onward.after, zones[name]) for name in sorted(shared & set(zones))]
    return list(dict.fromkeys(found))


def _links(draft: Draft, settled: Settled, *, past: Past, ahead: Sequence[Front]) -> None:
    """No rule binds what was done; what it leaves to others is counted from its own time, and by its touch test."""
    kept: list[tuple[Link, str | None]] = []
    touched = {(front.last, front.next): front.known for front in ahead}
    for number, link in enumerate(draft.links):
        if link.after in settled.pins:
            continue
        said = draft.met.get(number)
        if (pin := settled.pins.get(link.before)) is not None:
            link = _from_pin(draft, link, pin, past=past)
            if (known := touched.get((link.before, link.after))) is not None:
                link, said = _by_touch(draft, link, known, said=said)
        elif draft.facts[link.before].past and link.from_start and link.before in draft.bare_h:
            link = _half_bare(draft, link, past)
        kept.append((link, said))
    draft.links[:] = [link for link, _ in kept]
    draft.met.clear()
    draft.met.update({number: said for number, (_, said) in enumerate(kept) if said is not None})


def _from_pin(draft: Draft, link: Link, pin: Pin, *, past: Past) -> Link:
    """A link that leaves work done: earliest by its end rounded up, latest by its end rounded down."""
    if link.from_start and link.before in draft.bare_h:
        known = [past.parts[part.key] for part in draft.facts[link.before].parts if part.key in past.parts]
        return replace(link, latest=_fixed(draft, _bare_until(draft, link, known)), by_mode={})

    def fixed(pair: Pair) -> Pair:
        at = (pin.start, pin.start) if link.from_start else (pin.finish, pin.early)
        return (
            None if pair[0] is None else _fixed(draft, int(pair[0][at[0]])),
            None if pair[1] is None else _fixed(draft, int(pair[1][at[1]])),
        )

    earliest, latest = fixed((link.earliest, link.latest))
    return replace(
        link, earliest=earliest, latest=latest, by_mode={mode: fixed(pair) for mode, pair in link.by_mode.items()}
    )


def _half_bare(draft: Draft, link: Link, past: Past) -> Link:
    """Part of the copper is bare already: the launch waits no longer than that part bears."""
    done = [past.parts[one.part.key] for one in draft.facts[link.before].past if one.part.key in past.parts]
    until = _bare_until(draft, link, done)
    by_mode: dict[str, Pair] = {
        mode: (earliest, None if latest is None else np.minimum(latest, until).astype(np.int32))
        for mode, (earliest, latest) in link.by_mode.items()
    }
    return replace(link, by_mode=by_mode)


def _fixed(draft: Draft, mark: int) -> Marks:
    return np.full(draft.count + 1, mark, dtype=np.int32)


def _by_touch(draft: Draft, link: Link, known: Happened, *, said: str | None) -> tuple[Link, str | None]:
    """The touch test goes before the clock: tacky opens the next coat at once and for ten minutes at least, wet
    keeps it off for ten minutes more."""
    deed, grid = known.deed, draft.calendar.grid
    if deed is None or deed.touched is None or deed.touch not in ("wet", "tacky"):
        return link, said
    touched, held = grid.mark_at_or_after(deed.touched), grid.mark_at_or_after(deed.touched + TOUCH_HOLDS)

    def read(pair: Pair) -> Pair:
        earliest, latest = pair
        if earliest is not None:
            earliest = _fixed(draft, touched) if deed.touch == "tacky" else np.maximum(earliest, held).astype(np.int32)
        return earliest, None if latest is None else np.maximum(latest, held).astype(np.int32)

    first, last = read((link.earliest, link.latest))
    by_mode = {mode: read(pair) for mode, pair in link.by_mode.items()}
    if said is not None and deed.touch == "tacky":
        said = f"{draft.facts[link.before].label} was tacky to the touch at {{when}}"
    return replace(link, earliest=first, latest=last, by_mode=by_mode), said


def _days(draft: Draft, settled: Settled, taken: Mapping[str, Retreat], *, ahead: Mapping[str, Front]) -> None:
    """Work done binds the day of other work only while that day lasts and its zone goes on as the sheet has it."""
    day, now = draft.calendar.day, settled.from_slot
    today = int(day[now]) if now < draft.count else int(day[-1]) + 1
    freed = {coat for zone in taken if zone in ahead for _, coats in ahead[zone].chain.coats for coat in coats}
    loose = {
        coat for zone, retreat in taken.items() if zone in ahead and retreat.way == "days" for coat in ahead[zone].coats
    }

    def binds(task: str) -> bool:
        pin = settled.pins.get(task)
        if pin is None:
            return task not in loose
        return task not in freed and int(day[max(pin.finish - 1, pin.start)]) == today

    groups: list[SameDay] = []
    for group in draft.same_day:
        tasks = tuple(task for task in group.tasks if binds(task))
        if any(task not in settled.pins for task in tasks) and len(tasks) > 1:
            groups.append(replace(group, tasks=tasks))
    draft.same_day[:] = groups
    draft.apart[:] = [found for apart in draft.apart if (found := _still_apart(apart, settled, today)) is not None]


def _still_apart(apart: Apart, settled: Settled, today: int) -> Apart | None:
    """Sides that share no day from now on; where both were begun today the wish is past keeping for today."""

    def today_of(tasks: tuple[str, ...]) -> bool:
        return any(task in settled.pins and int(apart.day[settled.pins[task].start]) == today for task in tasks)

    broken = today_of(apart.first) and today_of(apart.second)

    def kept(tasks: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(
            task
            for task in tasks
            if task not in settled.pins or (not broken and int(apart.day[settled.pins[task].start]) == today)
        )

    first, second = kept(apart.first), kept(apart.second)
    return replace(apart, first=first, second=second) if first and second else None


_AFTER: Mapping[Way, str] = {
    "day": "the rest on another day",
    "days": "the rest on several days, each while the coat under it still takes it",
    "sand": "cured, sanded and wiped before the next coat",
}


def _tell(draft: Draft, settled: Settled, progress: Progress, *, taken: Mapping[str, Retreat]) -> None:
    """What a person should know of what was done, and of what the weather holds for it."""
    for retreat in taken.values():
        after = _AFTER[retreat.way]
        spotted = f" {WASHED_OFF}" if retreat.way == "sand" and retreat.because.startswith("rain fell") else ""
        draft.findings.append(f"{retreat.zone}: {retreat.because}; {after}.{spotted}")
    unsaid = [
        past.part
        for facts in draft.facts.values()
        for past in facts.past
        if past.state == "taken as done" and not progress.of(past.part.kind, past.part.zone)
    ]
    if unsaid:
        names = ", ".join(sorted({f"{part.kind.replace('_', ' ')}{f' of {part.zone}' if part.zone else ''}" for part in
                                  unsaid}))  # fmt: skip
        draft.findings.append(f"Not written down, taken as done because later work was: {names}.")
    _rain_ahead(draft, settled)


def _tell_own_jobs(draft: Draft, settled: Settled, past: Past) -> None:
    """An own job that could have been done by now, of which the log says nothing."""
    for job in draft.inputs.extra_jobs:
        waits = [link.before for link in draft.links if link.after == f"extra/{job.name}"]
        could = all(key in settled.pins and settled.pins[key].finish < settled.from_slot for key in waits)
        if f"extra/{job.name}" not in past.parts and could:
            draft.findings.append(
                f"{job.name}: not written down as done, so it is planned from now on. Once it is done, write it down "
                "as other work."
            )


def _rain_ahead(draft: Draft, settled: Settled) -> None:
    """Rain forecast onto a film that is down and not yet rain-safe."""
    for key, pin in settled.pins.items():
        facts = draft.facts[key]
        if facts.parts[-1].coat is None or not facts.covers:
            continue
        cover = next(iter(facts.covers.values()))
        windows = cover.windows_at(min(pin.finish, draft.count - 1))
        safe = min(int(cover.reached("rain_safe")[pin.finish]), draft.count)
        rain = np.flatnonzero(windows.rain[max(pin.finish, settled.from_slot) : safe])
        if rain.size and not windows.under_tent:
            at = max(pin.finish, settled.from_slot) + int(rain[0])
            draft.findings.append(
                f"Rain is forecast at {draft.calendar.said(at)} on {facts.label}, rain-safe only at "
                f"{draft.calendar.said(safe)}: keep it off, or the film is spotted and the day lost."
            )
