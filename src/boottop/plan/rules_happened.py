"""Which parts of the job were done, and when: deeds found again among the parts that the rules lay down."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from boottop.plan.progress import Deed, Progress
from boottop.plan.rules_draft import Draft
from boottop.plan.rules_zone import WIPE_HOLDS_H, Chain, is_hidden, wipe_key
from boottop.plan.tasks import COAT_KIND

BOAT = ("haul_out", "wash", "move_stands")


@dataclass(frozen=True, kw_only=True)
class Happened:
    """When a part was done, in marks: `end` rounded up and `end_early` rounded down, both None while it is in hand.

    `deed` None: not written down, but what was done after it says so.
    """

    start: int | None
    end: int | None
    end_early: int | None
    deed: Deed | None

    @property
    def at(self) -> int:
        """The first mark that is known of it."""
        return next(mark for mark in (self.start, self.end_early, self.end) if mark is not None)


@dataclass(frozen=True, kw_only=True)
class Past:
    """All that was done, by key of the part; `sanded`, `wiped`: by zone, what was done to a film that is to go on
    after its way back."""

    parts: dict[str, Happened]
    sanded: dict[str, Happened]
    wiped: dict[str, Happened]


@dataclass(frozen=True, kw_only=True)
class Step:
    """One part of a zone's chain; `run` counts the products, `coat` 0 for what prepares the run."""

    key: str
    kind: str
    run: int
    coat: int = 0


def past_of(draft: Draft, chains: Sequence[Chain], progress: Progress) -> Past:
    """Everything that was done: what is written down, and what must have been done before it."""
    past = Past(parts={}, sanded={}, wiped={})
    laid = {part.key: part for facts in draft.facts.values() for part in facts.parts}
    for kind in BOAT:
        if kind in laid and (deeds := progress.of(kind)):
            past.parts[kind] = happened(draft, deeds[-1])
    for job in draft.inputs.extra_jobs:
        if (deed := progress.own_job(job.name)) is not None:
            past.parts[f"extra/{job.name}"] = happened(draft, deed)
    for chain in chains:
        _zone(draft, chain, progress=progress, past=past, laid=set(laid))
    for part in laid.values():
        if part.kind == "mask" and part.key not in past.parts and (deeds := progress.of("mask", part.zone)):
            past.parts[part.key] = happened(draft, deeds[-1])
    _implied_masks(draft, past)
    _implied_yard(chains, past, laid=set(laid))
    return past


def happened(draft: Draft, deed: Deed) -> Happened:
    """A deed in marks, held inside the known weather."""
    grid, count = draft.calendar.grid, draft.count

    def held(mark: int) -> int:
        return min(max(mark, 0), count)

    return Happened(
        start=None if deed.start is None else held(grid.mark_at_or_before(deed.start)),
        end=None if deed.end is None else held(grid.mark_at_or_after(deed.end)),
        end_early=None if deed.end is None else held(grid.mark_at_or_before(deed.end)),
        deed=deed,
    )


def steps_of(chain: Chain, laid: set[str]) -> list[Step]:
    """The parts of a zone's chain in the order in which they are done."""
    name, found = chain.zone.name, list[Step]()
    for run, (system, _) in enumerate(chain.coats):
        kinds = ("strip", "abrade", "mask") if run == 0 else ("abrade",)
        tail = "" if run == 0 else f"/{chain.coats[run - 1][0].role}"
        keys = [(f"{kind}/{name}{tail}", kind) for kind in kinds] + [(wipe_key(chain.zone, system), "wipe")]
        found += [Step(key=key, kind=kind, run=run) for key, kind in keys if key in laid]
        kind = COAT_KIND[system.role]
        found += [
            Step(key=f"{kind}/{name}/{coat}", kind=kind, run=run, coat=coat) for coat in range(1, system.coats + 1)
        ]
    return found


def _zone(draft: Draft, chain: Chain, *, progress: Progress, past: Past, laid: set[str]) -> None:
    name, steps = chain.zone.name, steps_of(chain, laid)
    coats = {step.key: step for step in steps if step.coat}
    for deed in progress.deeds:
        key = f"{deed.kind}/{name}/{deed.coat}"
        if deed.zone == name and key in coats and _of_product(chain, deed):
            past.parts[key] = happened(draft, deed)
    reached = max((place for place, step in enumerate(steps) if step.key in past.parts), default=-1)
    for place, step in enumerate(steps):
        if not step.coat and (prepared := _prepared(steps, place, progress=progress, zone=name, past=past)):
            past.parts[step.key] = happened(draft, prepared)
            reached = max(reached, place)
    _fill(steps[: reached + 1], past)
    last = steps[reached] if reached >= 0 else None
    if last is not None and last.coat and (end := past.parts[last.key].deed) is not None and end.end is not None:
        _way_back(draft, progress, name, end=end.end, past=past)
    _bared(draft, chain, progress=progress, past=past, complete=reached == len(steps) - 1)
    _forget_old_wipe(draft, steps, progress=progress, past=past)


def _of_product(chain: Chain, deed: Deed) -> bool:
    return deed.product is None or any(system.sheet.name == deed.product for system, _ in chain.coats)


def _prepared(steps: Sequence[Step], place: int, *, progress: Progress, zone: str, past: Past) -> Deed | None:
    """The deed that prepared a run: after the last coat of the product below, before the first coat of its own."""
    step = steps[place]
    below = [one for one in steps if one.coat and one.run < step.run]
    above = [past.parts[one.key] for one in steps if one.coat and one.run >= step.run and one.key in past.parts]
    if below and below[-1].key not in past.parts and not above:
        return None
    after = _when(past, below[-1].key) if below else None
    before = min((known.deed.start or known.deed.latest for known in above if known.deed is not None), default=None)
    found = [
        deed
        for deed in progress.of(step.kind, zone)
        if (after is None or deed.latest > after) and (before is None or deed.latest <= before)
    ]
    return found[-1] if found else None


def _when(past: Past, key: str) -> datetime | None:
    known = past.parts.get(key)
    return known.deed.latest if known is not None and known.deed is not None else None


def _fill(steps: Sequence[Step], past: Past) -> None:
    """What must have been done before the last known part of a chain, at the moment of what follows it."""
    follows: Happened | None = None
    for step in reversed(steps):
        if step.key in past.parts:
            follows = past.parts[step.key] = _ended(past.parts[step.key], follows)
        elif follows is not None:
            past.parts[step.key] = follows = implied(follows.at)


def _ended(known: Happened, follows: Happened | None) -> Happened:
    """Work of which only the beginning was written down had ended when what follows it was begun."""
    if known.end is not None or follows is None:
        return known
    return replace(known, end=max(follows.at, known.at), end_early=max(follows.at, known.at))


def implied(mark: int) -> Happened:
    """Done by a mark, though nobody wrote it down."""
    return Happened(start=mark, end=mark, end_early=mark, deed=None)


def _way_back(draft: Draft, progress: Progress, zone: str, *, end: datetime, past: Past) -> None:
    """What was done to the zone after its last coat: sanding, and wiping after that."""
    if sanded := [deed for deed in progress.of("abrade", zone) if deed.latest > end]:
        past.sanded[zone] = happened(draft, sanded[-1])
        wiped = [deed for deed in progress.of("wipe", zone) if deed.latest >= sanded[-1].latest]
        if wiped and wiped[-1].end is not None and fresh(wiped[-1].end, progress.at):
            past.wiped[zone] = happened(draft, wiped[-1])


def _bared(draft: Draft, chain: Chain, *, progress: Progress, past: Past, complete: bool) -> None:
    """Sanding to bare copper counts after the last coat of all."""
    name = chain.zone.name
    last = _when(past, steps_of(chain, set(past.parts))[-1].key) if complete else None
    deeds = [deed for deed in progress.of("activate", name) if last is not None and deed.latest >= last]
    if deeds:
        past.parts[f"activate/{name}"] = happened(draft, deeds[-1])


def fresh(wiped: datetime, now: datetime) -> bool:
    """Whether a surface wiped at a time may still be coated."""
    return now - wiped <= timedelta(hours=WIPE_HOLDS_H)


def _forget_old_wipe(draft: Draft, steps: Sequence[Step], *, progress: Progress, past: Past) -> None:
    """A wiping that no coat followed counts for six hours, and only after the last sanding."""
    for step, after in zip(steps, [*steps[1:], None], strict=True):
        known = past.parts.get(step.key)
        if step.kind != "wipe" or known is None or known.deed is None or (after and after.key in past.parts):
            continue
        sanded = [past.parts[one.key] for one in steps if one.kind in ("strip", "abrade") and one.run == step.run
                  and one.key in past.parts]  # fmt: skip
        again = any(one.deed is not None and one.deed.latest > known.deed.latest for one in sanded)
        if known.deed.end is not None and (again or not fresh(known.deed.end, progress.at)):
            del past.parts[step.key]


def _implied_masks(draft: Draft, past: Past) -> None:
    """A side that is wiped or coated anywhere was masked."""
    for link in draft.links:
        before, after = draft.facts[link.before], draft.facts[link.after]
        if before.kind != "mask" or after.parts[0].kind != "wipe":
            continue
        begun = [past.parts[part.key].at for part in after.parts if part.key in past.parts]
        for part in before.parts if begun else ():
            past.parts.setdefault(part.key, implied(min(begun)))


def _implied_yard(chains: Sequence[Chain], past: Past, *, laid: set[str]) -> None:
    """Stands were moved before anything was done under them; she was hauled out and washed before all."""
    hidden = {chain.zone.name for chain in chains if is_hidden(chain.zone)}
    if "move_stands" in laid and (under := list(_begun(chains, past, hidden, laid=laid))):
        past.parts.setdefault("move_stands", implied(min(under)))
    ashore = [known.at for key, known in past.parts.items() if key not in ("haul_out", "wash")]
    if ashore and "wash" in laid:
        past.parts.setdefault("wash", implied(min(ashore)))
    if ashore or "wash" in past.parts:
        past.parts.setdefault("haul_out", implied(min([*ashore, *(past.parts[key].at for key in ("wash",) if key in
                                                                  past.parts)])))  # fmt: skip


def _begun(chains: Sequence[Chain], past: Past, zones: set[str], *, laid: set[str]) -> Iterator[int]:
    for chain in chains:
        if chain.zone.name in zones:
            yield from (past.parts[step.key].at for step in steps_of(chain, laid) if step.key in past.parts)
