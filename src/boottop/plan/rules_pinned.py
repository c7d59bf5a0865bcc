"""Work that was done is pinned to its time, work in hand to its start; all other work starts no earlier than now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from boottop.plan.calendar import all_open
from boottop.plan.network import Mode
from boottop.plan.plan import TaskState
from boottop.plan.progress import Progress
from boottop.plan.rules_draft import Bools, Closer, Draft, Part, PastPart, TaskFacts
from boottop.plan.rules_happened import Happened
from boottop.plan.rules_modes import HELPER, TENT, labour_minor, later
from boottop.plan.rules_shared import in_turn
from boottop.plan.rules_zone import WIPE_HOLDS_H, plus


@dataclass(frozen=True, kw_only=True)
class Pin:
    """Where a task lies that was begun: marks; `early` is its end rounded down."""

    start: int
    finish: int
    early: int


@dataclass(frozen=True, kw_only=True)
class Settled:
    """What was pinned, by key of the task; `from_slot`: the first in which anything else may start."""

    from_slot: int
    pins: Mapping[str, Pin]


def pin_all(draft: Draft, parts: Mapping[str, Happened], progress: Progress) -> Settled:
    """Pin what was done and what is in hand, leave the rest of a task half done, and let nothing else start before
    now."""
    now = min(max(draft.calendar.grid.mark_at_or_after(progress.at), 0), draft.count)
    pins: dict[str, Pin] = {}
    hands = draft.inputs.crew.people + (draft.inputs.hire.helper_people if HELPER in progress.hired else 0)
    for key, facts in list(draft.facts.items()):
        done = [part for part in facts.parts if part.key in parts]
        to_do = [part for part in facts.parts if part.key not in parts]
        open_ended = [part for part in done if parts[part.key].end is None]
        if done and (not to_do or open_ended or key == "haul_out"):
            pins[key] = _pinned(draft, facts, parts=parts, now=now, hands=hands)
            hands -= _in_hand(draft, key, pins[key], now=now)
            _sunk(draft, key, progress)
        else:
            if done:
                _trim(draft, facts, parts=parts, done=done, to_do=to_do)
            _from_now(draft, key, now)
    _tent(draft, progress, now)
    return Settled(from_slot=now, pins=pins)


def _in_hand(draft: Draft, key: str, pin: Pin, *, now: int) -> int:
    """Hands that a pinned task holds from now on."""
    if pin.finish <= now:
        return 0
    return max(mode.uses.get("crew", 0) for mode in draft.tasks[key].modes)


def _modes_of(draft: Draft, facts: TaskFacts, people: int | None) -> list[Mode]:
    """The ways of doing a task with so many people; where that is not known or not planned for, the fewest."""
    modes = draft.tasks[facts.key].modes
    alike = [mode for mode in modes if facts.people[mode.key] == people]
    if alike:
        return alike
    fewest = min(facts.people.values())
    return [mode for mode in modes if facts.people[mode.key] == fewest]


def _pinned(draft: Draft, facts: TaskFacts, *, parts: Mapping[str, Happened], now: int, hands: int) -> Pin:
    """Lay a begun task down where it is: done parts at their times, what is in hand until it should be done."""
    known = [parts[part.key] for part in facts.parts if part.key in parts]
    said = next((one.deed.people for one in reversed(known) if one.deed is not None and one.deed.people), None)
    kept = _modes_of(draft, facts, said)
    spans = {mode.key: _spans(draft, facts, mode.key, parts=parts, now=now) for mode in kept}
    first = spans[kept[0].key]
    start = min(first[0].start, draft.count - 1)
    finish = min(max(first[-1].end, start + 1), draft.count)
    people = {mode.key: said if said and facts.people[mode.key] else facts.people[mode.key] for mode in kept}
    modes = []
    for mode in kept:
        at, end = np.zeros(draft.count, dtype=np.bool_), np.full(draft.count, draft.count + 1, dtype=np.int32)
        at[start], end[start] = True, finish
        held = {pool: min(units, hands) if pool == "crew" else units for pool, units in mode.uses.items()}
        worked = sum(one.slots for one in spans[mode.key])
        cost = labour_minor(draft.inputs, people[mode.key], worked)
        modes.append(
            replace(
                mode, starts=at, finish=end, uses=held if finish > now else {}, cost_minor=cost, slack=None
            )
        )  # fmt: skip
    draft.tasks[facts.key] = replace(draft.tasks[facts.key], modes=tuple(modes), late=False)
    keys = [mode.key for mode in modes]
    draft.facts[facts.key] = replace(
        facts,
        people=people,
        past=tuple(replace(one, people=people[kept[0].key]) for one in first),
        pinned=True,
        closers={key: facts.closers[key] for key in keys},
        covers={key: cover for key, cover in facts.covers.items() if key in keys},
    )
    last = parts.get(facts.parts[-1].key)
    early = finish if last is None or last.end_early is None else min(last.end_early, finish)
    return Pin(start=start, finish=finish, early=early)


def _spans(draft: Draft, facts: TaskFacts, mode: str, *, parts: Mapping[str, Happened], now: int) -> list[PastPart]:
    """Each part of a begun task with its time: as written down, worked back from its end, or still to come."""
    found: list[PastPart] = []
    for part in facts.parts:
        known, slots = parts.get(part.key), part.slots[mode]
        at = found[-1].end if found else 0
        if known is None:
            start, end = _to_come(draft, part, mode, at=max(at, now))
            found.append(PastPart(part=part, start=start, end=end, slots=slots, state="to do"))
        elif known.end is None:
            start = known.at
            planned = _to_come(draft, part, mode, at=start)[1]
            end = planned if now <= planned <= draft.count else min(now + 1, draft.count)
            worked = slots if part.open else end - start
            found.append(
                PastPart(part=part, start=start, end=end, slots=worked, state="in hand", begun=_begun(known))
            )  # fmt: skip
        else:
            start = max(known.end - slots, at, 0) if known.start is None else known.start
            start = min(start, max(known.end - 1, 0))
            written = known.start is not None and known.deed is not None and not part.open and part.coat is not None
            worked = max(known.end - start, 1) if written else slots
            state: TaskState = "done" if known.deed is not None else "taken as done"
            found.append(
                PastPart(
                    part=part, start=start, end=max(known.end, start + 1), slots=worked, state=state,
                    begun=_begun(known), ended=None if known.deed is None else known.deed.end,
                )
            )  # fmt: skip
    return found


def _begun(known: Happened) -> datetime | None:
    return None if known.deed is None else known.deed.start


def _to_come(draft: Draft, part: Part, mode: str, *, at: int) -> tuple[int, int]:
    """When a part taken up at a mark is begun and done: in its open slots, the yard's in the yard's hours."""
    slots, count = part.slots[mode], draft.count
    if part.open:
        ends = in_turn([(part.open[mode], slots)])
        return at, int(ends[at]) if at < count else count + 1
    if part.kind == "wash":
        free = np.flatnonzero(all_open(draft.calendar.yard, slots)[at:])
        at += int(free[0]) if free.size else 0
    return at, min(at + slots, count)


def _sunk(draft: Draft, key: str, progress: Progress) -> None:
    """What was done with a helper's hands asks for a helper only where one is paid."""
    if HELPER not in progress.hired:
        task = draft.tasks[key]
        modes = [replace(mode, needs=tuple(need for need in mode.needs if need != HELPER)) for mode in task.modes]
        draft.tasks[key] = replace(task, modes=tuple(modes))


def _tent(draft: Draft, progress: Progress, now: int) -> None:
    """What is hired stays hired; a tent whose time began without being hired is not on offer any more."""
    haul = draft.tasks["haul_out"]
    needs = tuple(option for option in (TENT, HELPER) if option in progress.hired and _offered(draft, option))
    late = draft.tent_span is not None and draft.tent_span[0] < now and TENT not in progress.hired
    modes = [
        replace(
            mode,
            needs=tuple(dict.fromkeys((*mode.needs, *needs))),
            without=tuple(dict.fromkeys((*mode.without, *((TENT,) if late else ())))),
        )
        for mode in haul.modes
    ]
    possible = [mode for mode in modes if not set(mode.needs) & set(mode.without)]
    draft.tasks["haul_out"] = replace(haul, modes=tuple(possible))


def _offered(draft: Draft, option: str) -> bool:
    return draft.tent_span is not None if option == TENT else draft.inputs.hire.helper_people > 0


def _trim(
    draft: Draft, facts: TaskFacts, *, parts: Mapping[str, Happened], done: Sequence[Part], to_do: Sequence[Part]
) -> None:
    """Leave what is still to do of a task; what was done of it is kept as it was, and stays in the bill."""
    task, known = draft.tasks[facts.key], [parts[part.key] for part in done]
    said = next((one.deed.people for one in reversed(known) if one.deed is not None and one.deed.people), None)
    as_done = _modes_of(draft, facts, said)[0].key
    past = _spans(draft, replace(facts, parts=tuple(done)), as_done, parts=parts, now=0)
    hands, spent = said or facts.people[as_done], sum(one.slots for one in past)
    modes = []
    for mode in task.modes:
        rest = _rest(draft, facts, mode, to_do=to_do, wiped=known[-1])
        people, slots = facts.people[mode.key], sum(part.slots[mode.key] for part in to_do)
        cost = (
            labour_minor(draft.inputs, people, slots + spent)
            if people == hands
            else labour_minor(draft.inputs, people, slots) + labour_minor(draft.inputs, hands, spent)
        )
        modes.append(replace(rest, cost_minor=cost))
    draft.tasks[facts.key] = replace(task, modes=tuple(modes))
    whose = tuple(replace(one, people=hands) for one in past)
    draft.facts[facts.key] = replace(facts, parts=tuple(to_do), past=whose)


def _rest(draft: Draft, facts: TaskFacts, mode: Mode, *, to_do: Sequence[Part], wiped: Happened | None) -> Mode:
    if facts.covers:
        cover, slots = facts.covers[mode.key], to_do[-1].slots[mode.key]
        starts = all_open(draft.calendar.crew, slots) & cover.may_start(slots)
        if wiped is not None and wiped.end_early is not None:
            starts &= np.arange(draft.count) <= plus(draft, WIPE_HOLDS_H)[wiped.end_early]
        finish = np.minimum(np.arange(draft.count) + slots, draft.count + 1).astype(np.int32)
        return replace(mode, starts=starts & (finish <= draft.count), finish=finish, slack=later(
            cover.slack(slots), 0, fill=0))  # fmt: skip
    if not all(part.open for part in to_do):
        return mode
    works = [(part.open[mode.key], part.slots[mode.key]) for part in to_do]
    finish = in_turn(works)
    return replace(mode, starts=works[0][0] & (finish <= draft.count), finish=finish)


def _from_now(draft: Draft, key: str, now: int) -> None:
    """Nothing that is not begun starts before now."""
    ahead: Bools = np.arange(draft.count) >= now
    task, facts = draft.tasks[key], draft.facts[key]
    draft.tasks[key] = replace(
        task, modes=tuple(replace(mode, starts=mode.starts & ahead) for mode in task.modes)
    )  # fmt: skip
    past = Closer(says="that hour is past", opens="the plan goes on", open=ahead)
    draft.facts[key] = replace(facts, closers={mode: (past, *closers) for mode, closers in facts.closers.items()})
