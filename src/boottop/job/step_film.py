"""Wiping, coats, sanding between coats, bare copper: the steps that a film decides."""

from __future__ import annotations

from collections.abc import Sequence

from boottop.job.nexts import WhyNot
from boottop.job.situation import Situation
from boottop.job.slots import (
    Film,
    coat_starts,
    first_coat_starts,
    following_within,
    rains_on,
    rules_of,
    slot_at,
    time_after,
)
from boottop.job.state import Coat, Touch
from boottop.job.verdict import (
    Gate,
    Opened,
    Verdict,
    because_of,
    live_closure,
    open_when,
    rule_says,
    why_no_coat,
    why_slot_shut,
)
from boottop.windows.windows import Rule

TOUCH_HOLDS_S = 600
"""A touch test speaks for ten minutes: so long a wet film is left alone, and a tacky one may still take the next coat
when the clock says that its time has passed (common practice, no source)."""


def last_touch(coat: Coat) -> Touch | None:
    """The last touch test after the coat was finished."""
    found = [touch for touch in coat.touch if coat.finished_s is not None and touch.at_s >= coat.finished_s]
    return found[-1] if found else None


def overcoat_times(place: Situation) -> tuple[int | None, int | None]:
    """From when and until when the next coat of the same product may go on, None where the table does not know.

    By the clock with what was learned of the film, and by the last touch test, which goes before the clock: tacky
    opens from that moment, wet holds for ten minutes; a film that is not past tacky then may take the next coat for
    ten minutes more, whatever the clock says.
    """
    last, table = place.last, place.table
    if last is None or last.finished_s is None:
        return None, None
    factor = place.learned.factor(place.due.product)
    ready_s = time_after(table, place.due.ready, last.finished_s, factor=factor)
    until_s = time_after(table, place.due.overcoat_until, last.finished_s, factor=factor, early=True)
    touch = last_touch(last)
    if touch is None or touch.verdict == "past tacky":
        return ready_s, until_s
    again_s = touch.at_s + TOUCH_HOLDS_S
    ready_s = touch.at_s if touch.verdict == "tacky" else max(again_s, again_s if ready_s is None else ready_s)
    return ready_s, None if until_s is None else max(until_s, again_s)


def film_step(place: Situation) -> Verdict:
    """The next step of a zone that carries a coat and wants another: that coat, or sanding and wiping first."""
    last = place.last
    finished_s = last.finished_s if last is not None else None
    if last is None or finished_s is None:
        return bare_step(place)
    abraded_s = place.done.abraded_s
    if abraded_s is not None and abraded_s > finished_s:
        return bare_step(place)
    if place.due.product != last.product:
        return sand_step(place, because="next_product")
    touch, (_, until_s) = last_touch(last), overcoat_times(place)
    if touch is not None and touch.verdict == "past tacky":
        return sand_step(place, because="past_tacky")
    if place.spotted():
        return sand_step(place, because="rained_on")
    if until_s is not None and place.now_s > until_s:
        return sand_step(place, because="overcoat_missed")
    return _overcoat(place, last, finished_s=finished_s)


def _overcoat(place: Situation, last: Coat, *, finished_s: int) -> Verdict:
    film, touch, (ready_s, until_s) = place.film(place.due), last_touch(last), overcoat_times(place)
    wet = touch is not None and touch.verdict == "wet"
    starts = coat_starts(film)
    gate = Gate(
        from_s=ready_s,
        until_s=until_s,
        why=because_of(
            "wet_by_touch" if wet else "not_tacky",
            needed_s=None if ready_s is None else ready_s - finished_s,
            had_s=place.now_s - finished_s,
        ),
    )
    opened = open_when(
        place, starts, gate, live=live_closure(place, film=True), closed=why_no_coat(place, film, starts)
    )
    return Verdict(
        kind="coat",
        product=place.due.product,
        coat=last.coat + 1,
        from_s=opened.from_s,
        until_s=opened.until_s,
        why=opened.why,
        touch_first=touch is None or wet,
        touch=None if touch is None else touch.verdict,
    )


def bare_step(place: Situation) -> Verdict:
    """A zone that is abraded (or sanded) and waits for a coat: wiping, or that coat while the wiping holds."""
    done, hold_s = place.done, int(place.table.wipe_holds_h * 3600)
    after_s = max((at_s for at_s in (done.abraded_s, finished_at(place)) if at_s is not None), default=None)
    wiped_s = done.wiped_s
    film, coat = place.film(place.due), _coat_due(place)
    starts = coat_starts(film)
    if coat == 1:
        starts = first_coat_starts(film, starts)
    if "wipe" not in place.zone.steps:
        return _coat_on_bare(place, film, starts, coat=coat, until_s=None)
    if wiped_s is None or (after_s is not None and wiped_s < after_s):
        return _wipe(place, film, starts, hold_s=hold_s, because=None)
    if place.now_s > wiped_s + hold_s:
        return _wipe(place, film, starts, hold_s=hold_s, because="wiped_too_long")
    return _coat_on_bare(place, film, starts, coat=coat, until_s=wiped_s + hold_s)


def _coat_due(place: Situation) -> int:
    same = place.last is not None and place.last.product == place.due.product
    return place.last.coat + 1 if same and place.last is not None else 1


def finished_at(place: Situation) -> int | None:
    """When the last coat was finished, None before the first."""
    return None if place.last is None else place.last.finished_s


def _coat_on_bare(place: Situation, film: Film, starts: Sequence[bool], *, coat: int, until_s: int | None) -> Verdict:
    opened = open_when(
        place,
        starts,
        Gate(from_s=place.now_s, until_s=until_s),
        live=live_closure(place, film=True),
        closed=why_no_coat(place, film, starts),
    )
    return Verdict(
        kind="coat",
        product=film.system.product,
        coat=coat,
        from_s=opened.from_s,
        until_s=opened.until_s,
        why=opened.why,
    )


def _wipe(place: Situation, film: Film, starts: Sequence[bool], *, hold_s: int, because: str | None) -> Verdict:
    """Wiping, in a slot where every limit of the sheet holds and from which a coat can follow while it holds."""
    rules, ahead = rules_of(film), hold_s // place.table.slot_s
    follows = following_within(starts, ahead)
    wipes = [rule == 0 and after for rule, after in zip(rules, follows, strict=True)]
    gate, live = Gate(from_s=place.now_s), live_closure(place, film=True)
    closed = why_slot_shut(place, film) or because_of("no_wipe")
    opened = open_when(place, wipes, gate, live=live, closed=closed)
    return Verdict(kind="wipe", from_s=opened.from_s, until_s=opened.until_s, why=opened.why, because=because)


def sand_step(place: Situation, *, because: str) -> Verdict:
    """The last coat is let cure and sanded, while it does not rain."""
    soft_s = place.sandable_s()
    gate = Gate(from_s=soft_s, why=_soft(place, soft_s))
    opened = _while_dry(place, gate)
    last = place.last
    return Verdict(
        kind="sand",
        product=None if last is None else last.product,
        coat=None if last is None else last.coat,
        from_s=opened.from_s,
        until_s=opened.until_s,
        why=opened.why,
        because=because,
    )


def spots_step(place: Situation) -> Verdict | None:
    """The last coat of all is let cure and its rain spots are sanded, None without any; where the copper is laid bare
    anyway the spots go with that."""
    return None if place.due.activation or not place.spotted() else sand_step(place, because="rained_on")


def activate_step(place: Situation) -> Verdict | None:
    """Sanding to bare copper, None where that is done or not asked for."""
    activated_s, finished_s = place.done.activated_s, finished_at(place)
    if not place.due.activation or (activated_s is not None and (finished_s is None or activated_s >= finished_s)):
        return None
    soft_s, bare_s, launch_s = place.sandable_s(), bare_from_s(place), launch_planned_s(place)
    late = bare_s is not None and (soft_s is not None and bare_s > soft_s)
    gate = Gate(
        from_s=bare_s if late else soft_s,
        until_s=launch_s,
        why=because_of("too_early_bare") if late else _soft(place, soft_s),
    )
    opened = _while_dry(place, gate)
    return Verdict(
        kind="activate",
        product=place.due.product,
        from_s=opened.from_s,
        until_s=opened.until_s,
        why=opened.why,
        because="spots_with_it" if place.spotted() else None,
    )


def launch_planned_s(place: Situation) -> int | None:
    """When the plan launches, None without a plan or once that moment is past."""
    found = next((task.start_s for task in place.table.tasks if task.kind == "launch"), None)
    return None if found is None or found < place.now_s else found


def bare_from_s(place: Situation) -> int | None:
    """From when copper laid bare is still fresh at the planned launch, None where no launch lies ahead or the sheet
    sets no limit."""
    launch_s, hours = launch_planned_s(place), place.due.activation_before_launch_h
    return None if launch_s is None or hours is None else launch_s - int(hours * 3600)


def _soft(place: Situation, soft_s: int | None) -> WhyNot:
    finished_s = finished_at(place)
    if soft_s is None or finished_s is None:
        return because_of("too_soft_to_sand")
    return because_of("too_soft_to_sand", needed_s=soft_s - finished_s, had_s=place.now_s - finished_s)


def _while_dry(place: Situation, gate: Gate) -> Opened:
    """Sanding behind a gate: in slots without rain."""
    rains, slot = rains_on(place.film(place.due)), slot_at(place.table, place.now_s)
    closed = rule_says(place, Rule.NO_WEATHER if slot is None else Rule.RAIN)
    live = live_closure(place, film=False)
    return open_when(place, [not rain for rain in rains], gate, live=live, closed=closed)
