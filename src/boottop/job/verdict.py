"""From "these slots are open" to "from then, until then, and this is why not now"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from boottop.job.nexts import WHY_TEXT, WhyNot
from boottop.job.situation import Situation
from boottop.job.slots import Film, mark_after, opening, rains_on, rules_of, slot_at
from boottop.windows.windows import RULE_UNIT, Rule


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """A next step before it is dressed for the board; the fields are those of NextStep."""

    kind: str
    product: str | None = None
    coat: int | None = None
    from_s: int | None = None
    until_s: int | None = None
    why: WhyNot | None = None
    because: str | None = None
    touch_first: bool = False
    touch: str | None = None


@dataclass(frozen=True, kw_only=True)
class Gate:
    """Not before `from_s` (None: not known), for the reason `why`; not after `until_s` (None: no end)."""

    from_s: int | None
    until_s: int | None = None
    why: WhyNot | None = None


@dataclass(frozen=True, kw_only=True)
class Opened:
    """When a step may start, and why not now."""

    from_s: int | None
    until_s: int | None
    why: WhyNot | None


def because_of(key: str, *, needed_s: int | None = None, had_s: int | None = None) -> WhyNot:
    """A reason of WHY_TEXT, with hours where it has them."""
    return WhyNot(
        rule=key,
        text=WHY_TEXT[key],
        needed=None if needed_s is None else needed_s / 3600,
        had=None if had_s is None else had_s / 3600,
        unit="" if needed_s is None else "h",
    )


def rule_says(place: Situation, rule: int, *, needed: float | None = None, had: float | None = None) -> WhyNot:
    """A rule of the windows as a reason."""
    return WhyNot(
        rule=Rule(rule).name.lower(),
        text=place.table.rules[rule],
        needed=needed,
        had=had,
        unit=RULE_UNIT[Rule(rule)] if needed is not None else "",
    )


def live_closure(place: Situation, *, film: bool) -> WhyNot | None:
    """What the log itself closes now, whatever the weather file says: rain that goes on and, for wiping and coats, a
    margin to the dew point that was read and is too small."""
    if place.state.raining and not place.sheltered():
        return rule_says(place, Rule.RAIN)
    margin_k, whence = place.margin
    if film and whence == "reading" and margin_k is not None and margin_k < place.due.dew_margin_k:
        return rule_says(place, Rule.DEW_MARGIN, needed=place.due.dew_margin_k, had=margin_k)
    return None


def open_when(
    place: Situation, starts: Sequence[bool], gate: Gate, *, live: WhyNot | None, closed: WhyNot | None
) -> Opened:
    """When a step with these `starts` may begin behind a gate. `live` closes the rest of this slot; `closed` is said
    of a slot that is not open now."""
    if gate.from_s is None:
        return Opened(from_s=None, until_s=gate.until_s, why=gate.why)
    table, from_s = place.table, max(gate.from_s, place.now_s)
    waits = from_s > place.now_s
    if live is not None and not waits:
        from_s = table.start_s + ((from_s - table.start_s) // table.slot_s + 1) * table.slot_s
    why = gate.why if waits else live or closed
    found = opening(table, starts, from_s)
    if found is None:
        return Opened(from_s=None, until_s=gate.until_s, why=why or rule_says(place, Rule.NO_WEATHER))
    if gate.until_s is not None and found[0] > gate.until_s:
        return Opened(from_s=None, until_s=gate.until_s, why=because_of("closes_before"))
    until_s = found[1] if gate.until_s is None else min(found[1], gate.until_s)
    return Opened(from_s=found[0], until_s=until_s, why=None if found[0] == place.now_s else why)


def why_no_coat(place: Situation, film: Film, starts: Sequence[bool]) -> WhyNot | None:
    """Why a coat may not start in the slot of now, None where it may."""
    table, slot = place.table, slot_at(place.table, place.now_s)
    if slot is None:
        return rule_says(place, Rule.NO_WEATHER)
    inside = (place.now_s - table.start_s) % table.slot_s != 0
    if starts[slot] and not (inside and not (slot + 1 < table.count and starts[slot + 1])):
        return None
    for first in (slot, slot + 1) if inside else (slot,):
        if (why := _why_slot(place, film, first)) is not None:
            return why
    return because_of("one_day")


def _why_slot(place: Situation, film: Film, slot: int) -> WhyNot | None:
    """The first rule that closes a coat started with a slot."""
    table, system, rules = place.table, film.system, rules_of(film)
    end = slot + film.slots
    if end > table.count:
        return rule_says(place, Rule.NO_WEATHER)
    for at in range(slot, end):
        if rules[at] != 0:
            return _rule_at(place, film, rules[at], slot=at)
    safe = mark_after(system.rain_safe, end, factor=film.cure_factor)
    rains = rains_on(film)
    rain = next((at for at in range(end, table.count) if rains[at]), table.count)
    if safe <= rain and safe <= table.count:
        return None
    if rain == table.count:
        return rule_says(place, Rule.NO_WEATHER)
    hours = table.slot_s / 3600
    return rule_says(place, Rule.RAIN_BEFORE_SAFE, needed=(safe - end) * hours, had=(rain - end) * hours)


def why_slot_shut(place: Situation, film: Film) -> WhyNot | None:
    """The rule of the sheet or the weather that closes the slot of now, None where it is open."""
    slot = slot_at(place.table, place.now_s)
    if slot is None:
        return rule_says(place, Rule.NO_WEATHER)
    rule = rules_of(film)[slot]
    return None if rule == 0 else _rule_at(place, film, rule, slot=slot)


def _rule_at(place: Situation, film: Film, rule: int, *, slot: int) -> WhyNot:
    if rule != Rule.DEW_MARGIN:
        return rule_says(place, rule)
    had_k = film.system.margin_k[slot] + film.bias_k[slot]
    return rule_says(place, rule, needed=film.system.dew_margin_k, had=had_k)
