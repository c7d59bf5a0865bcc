"""Where a zone cannot go on as the sheet has it: another day for its other coats, or cured, sanded and wiped first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from boottop.coating.sheet import System
from boottop.plan.progress import TOUCH_HOLDS, Progress, Retreat
from boottop.plan.rules_draft import Draft, Words
from boottop.plan.rules_happened import Happened, Past
from boottop.plan.rules_modes import Work, crew_task, film_task
from boottop.plan.rules_zone import Chain, coat_after_wipe, sanded_dry

AGAIN = "again"
WASHED_OFF = "Where it washed off, strike that coat from the log and plan anew: then it is put on again."


@dataclass(frozen=True, kw_only=True)
class Front:
    """Where the coats of a product on a zone stand: all of them, the last that was begun, and the next."""

    chain: Chain
    system: System
    coats: tuple[str, ...]
    last: str
    next: str
    known: Happened


def fronts(chains: Sequence[Chain], past: Past) -> Iterator[Front]:
    """Zones in the middle of a product's coats."""
    for chain in chains:
        for system, coats in chain.coats:
            begun = [coat for coat in coats if coat in past.parts]
            if begun and len(begun) < len(coats):
                known = past.parts[begun[-1]]
                yield Front(
                    chain=chain, system=system, coats=coats, last=begun[-1], next=coats[len(begun)], known=known
                )


def needed_retreats(draft: Draft, chains: Sequence[Chain], *, past: Past, progress: Progress) -> dict[str, Retreat]:
    """Zones that cannot go on as the sheet has it, whatever is planned: by zone."""
    found = {}
    for front in fronts(chains, past):
        if (retreat := _needed(draft, front, past=past, progress=progress)) is not None:
            found[retreat.zone] = retreat
    return found


def _needed(draft: Draft, front: Front, *, past: Past, progress: Progress) -> Retreat | None:
    zone, known, label = front.chain.zone.name, front.known, draft.facts[front.last].label
    if known.end is None or known.end_early is None:
        return None
    deed, now = known.deed, draft.calendar.grid.mark_at_or_after(progress.at)
    until = max(int(cover.until()[known.end_early]) for cover in draft.facts[front.last].covers.values())
    holds = deed is not None and deed.touch in ("wet", "tacky") and deed.touched is not None \
        and deed.touched + TOUCH_HOLDS >= progress.at  # fmt: skip
    because = ""
    if zone in past.sanded:
        because = f"{label} was sanded"
    elif deed is not None and deed.touch == "past tacky":
        because = f"{label} is past tacky to the touch"
    elif deed is not None and deed.rained:
        because = f"rain fell on {label} before it was rain-safe"
    elif until < now and not holds:
        because = f"the longest overcoat time of {label} ended at {draft.calendar.said(until)}"
    if because:
        return Retreat(zone=zone, way="sand", because=because)
    day = draft.calendar.day
    if now >= draft.count or day[max(known.end - 1, 0)] < day[now]:
        return Retreat(zone=zone, way="day", because=f"the day of {label} is over")
    return None


def lay_way_back(draft: Draft, front: Front, *, retreat: Retreat, past: Past) -> None:
    """The film is let cure and sanded, the zone dried and wiped, and then the next coat goes on.

    The sheet's way once a window is missed; a film spotted by rain goes the same way (common practice, no source).
    """
    zone, covers = front.chain.zone, draft.covers(front.chain.zone, front.system)
    draft.unlink(front.last, front.next)
    sand = Work(key=f"abrade/{zone.name}/{AGAIN}", kind="abrade", zone=zone.name, area_m2=zone.area_m2)
    wipe = Work(key=f"wipe/{zone.name}/{AGAIN}", kind="wipe", zone=zone.name, area_m2=zone.area_m2, covers=covers)
    crew_task(draft, sand.key, label=f"sanding {zone.name} back", works=[sand])
    film_task(draft, wipe.key, label=f"wiping {zone.name} again", works=[wipe])
    words = Words(
        rule=f"{retreat.because}: it must cure and be sanded before the next coat",
        group=f"way back: {zone.name}",
        met=f"{retreat.because}; hard enough to sand",
    )
    draft.film_lag(front.last, sand.key, state=None, words=words)
    draft.dry_lag(sand.key, wipe.key, draft.drying_after(sand.key, zone), words=sanded_dry(zone, "wiped"))
    coat_after_wipe(draft, zone, front.system, pair=(wipe.key, front.next))
    if zone.name in past.sanded:
        past.parts[sand.key] = past.sanded[zone.name]
        if zone.name in past.wiped:
            past.parts[wipe.key] = past.wiped[zone.name]
    draft.why[sand.key] = retreat.because


def sand_spots(draft: Draft, chains: Sequence[Chain], past: Past) -> None:
    """Rain spots on the last coat of all: sanded once it is hard, with the copper where that is laid bare anyway.

    The coat counts. Where it washed off, film is missing that no sanding brings back, and only the finger can tell:
    the person strikes that coat from the log, and it is put on again (common practice, no source).
    """
    for chain in chains:
        zone, known, label = chain.zone, past.parts.get(chain.last), draft.facts[chain.last].label
        deed = None if known is None else known.deed
        if deed is None or not deed.rained or f"activate/{zone.name}" in past.parts:
            continue
        because = f"rain fell on {label} before it was rain-safe"
        if chain.system.sheet.activation_grit is None:
            _lay_spots(draft, chain, because=because, past=past)
        if zone.name not in past.sanded:
            when = "before the launch" if chain.system.sheet.activation_grit is None else "when the copper is laid bare"
            draft.findings.append(f"{zone.name}: {because}; its spots are sanded out {when}. {WASHED_OFF}")


def _lay_spots(draft: Draft, chain: Chain, *, because: str, past: Past) -> None:
    zone = chain.zone
    sand = Work(key=f"abrade/{zone.name}/{AGAIN}", kind="abrade", zone=zone.name, area_m2=zone.area_m2)
    crew_task(draft, sand.key, label=f"sanding the spots out, {zone.name}", works=[sand])
    words = Words(
        rule=f"{because}: it must cure and its spots be sanded out before the launch",
        group=f"way back: {zone.name}",
        met=f"{because}; hard enough to sand",
    )
    draft.film_lag(chain.last, sand.key, state=None, words=words)
    draft.follow(sand.key, "launch", f"the spots on {zone.name} must be sanded out before the launch")
    if zone.name in past.sanded:
        past.parts[sand.key] = past.sanded[zone.name]
    draft.why[sand.key] = because


def keep_the_window(draft: Draft, front: Front) -> None:
    """A coat that may follow on another day must still follow before the last is too hard to bond."""
    group = f"longest overcoat time: {front.chain.zone.name}"
    limited = {(link.before, link.after) for link in draft.links if link.group == group}
    for before, after in pairwise(front.coats[front.coats.index(front.last) :]):
        if (before, after) not in limited:
            rule = f"{draft.facts[before].label} takes the next coat without sanding only for so long"
            draft.film_limit(before, after, rule=rule, group=group)
