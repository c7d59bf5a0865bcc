"""The next step of one zone, from the haul-out to the launch, with all that the board shows beside it."""

from __future__ import annotations

from collections.abc import Sequence

from boottop.job.nexts import Countdown, NextStep
from boottop.job.situation import Situation
from boottop.job.slots import slot_at
from boottop.job.step_ashore import STANDS_REST_ON, ashore_step, launch_step, preparation_due
from boottop.job.step_film import activate_step, bare_from_s, bare_step, film_step, overcoat_times, spots_step
from boottop.job.step_planned import planned, planned_coat
from boottop.job.verdict import Verdict

SAME_TASK = {"sand": "abrade"}


def zone_step(place: Situation, places: Sequence[Situation]) -> NextStep:
    """The one next step of a zone.

    People do not write everything down, so a step counts as done when a later one is: the next step is the one after
    the furthest that the log has. Of the coats of a product the highest number that is finished counts.
    """
    verdict = _verdict(place, places)
    margin_k, margin_from = place.margin
    return NextStep(
        zone=place.zone.name,
        kind=verdict.kind,
        product=verdict.product,
        coat=verdict.coat,
        may_now=verdict.from_s == place.now_s,
        may_from_s=verdict.from_s,
        until_s=verdict.until_s,
        why_not=verdict.why,
        because=verdict.because,
        touch_first=verdict.touch_first,
        touch=verdict.touch,
        planned_s=_planned_s(place, verdict),
        countdowns=countdowns(place),
        margin_k=margin_k,
        margin_from=margin_from,
        margin_fails_s=_margin_fails_s(place),
        rained_on=place.spotted(),
    )


def _verdict(place: Situation, places: Sequence[Situation]) -> Verdict:
    if place.state.launched_s is not None:
        return Verdict(kind="done")
    if (coat := place.open_coat) is not None:
        return Verdict(kind="finish", product=coat.product, coat=coat.coat, from_s=place.now_s)
    if place.place is None:
        due = preparation_due(place)
        return bare_step(place) if due is None else ashore_step(place, due, places)
    if place.film_complete:
        return spots_step(place) or activate_step(place) or launch_step(place, places)
    return film_step(place)


def countdowns(place: Situation) -> tuple[Countdown, ...]:
    """The moments of the last coat of a zone that the table knows, in a fixed order, past or to come."""
    moments: list[tuple[str, int | None]] = []
    if place.last is not None and place.state.launched_s is None:
        follows = place.due.product == place.last.product and not place.film_complete
        if follows and place.open_coat is None and not place.spotted():
            ready_s, until_s = overcoat_times(place)
            moments += [("overcoat_from", ready_s), ("overcoat_until", until_s)]
        moments.append(("rain_safe", place.reached_s("rain_safe")))
        if place.film_complete:
            if place.zone.kind in STANDS_REST_ON and place.zone.waits_for_stands is None:
                moments.append(("stands_from", place.reached_s("stands_safe")))
            if place.due.activation:
                moments.append(("activate_from", _activate_from_s(place)))
            moments.append(("launch_from", place.reached_s("immersion")))
    return tuple(Countdown(name=name, at_s=at_s) for name, at_s in moments if at_s is not None)


def _activate_from_s(place: Situation) -> int | None:
    soft_s, bare_s = place.sandable_s(), bare_from_s(place)
    return soft_s if soft_s is None or bare_s is None else max(soft_s, bare_s)


def _planned_s(place: Situation, verdict: Verdict) -> int | None:
    if verdict.kind in ("coat", "finish"):
        return planned_coat(place, product=verdict.product, coat=verdict.coat)
    return planned(place, SAME_TASK.get(verdict.kind, verdict.kind))


def _margin_fails_s(place: Situation) -> int | None:
    """Start of the first slot after this one in which the surface is nearer the dew point than the sheet wants."""
    table, system = place.table, place.due
    slot = slot_at(table, max(place.now_s, table.start_s))
    if slot is None:
        return None
    for later in range(slot + 1, table.count):
        at_s = table.start_s + later * table.slot_s
        if system.margin_k[later] + place.learned.bias_k(place.zone.name, at_s) < system.dew_margin_k:
            return at_s
    return None
