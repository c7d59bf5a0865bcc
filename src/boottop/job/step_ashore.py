"""Steps that no film decides: lift, wash, stands, stripping, abrading, masking, and the launch."""

from __future__ import annotations

from collections.abc import Sequence

from boottop.job.nexts import WhyNot
from boottop.job.situation import Situation
from boottop.job.slots import WATER, rains_on, slot_at
from boottop.job.step_planned import planned
from boottop.job.verdict import Gate, Opened, Verdict, because_of, live_closure, open_when, rule_says
from boottop.windows.windows import Rule

STANDS_REST_ON = ("side", "named")
"""Kinds of zone whose film the stands come to rest on."""


def preparation_due(place: Situation) -> str | None:
    """The step after the furthest that was written down, None when all before the wiping is done. Any work on the
    hull says that it is ashore and washed."""
    state, done = place.state, place.done
    worked = bool(state.zones) or bool(state.batches)
    stands = place.zone.waits_for_stands
    made = {
        "haul_out": worked or state.hauled_s is not None or state.washed_s is not None,
        "wash": worked or state.washed_s is not None,
        "move_stands": any(one.stand_set == stands for one in state.stands),
        "strip": done.stripped_s is not None,
        "abrade": done.abraded_s is not None,
        "mask": done.masked_s is not None,
        "wipe": done.wiped_s is not None,
    }
    kinds = ["haul_out", "wash", *(["move_stands"] if stands is not None else []), *place.zone.steps]
    furthest = max((number for number, kind in enumerate(kinds) if made.get(kind, False)), default=-1)
    due = next(iter(kinds[furthest + 1 :]), None)
    return None if due == "wipe" else due


def ashore_step(place: Situation, kind: str, places: Sequence[Situation]) -> Verdict:
    """One of the steps before the wiping."""
    if kind == "haul_out":
        planned_s = planned(place, kind)
        later = planned_s is not None and planned_s > place.now_s
        from_s = planned_s if later else place.now_s
        return Verdict(kind=kind, from_s=from_s, why=because_of("planned_later") if later else None)
    if kind == "wash":
        return Verdict(kind=kind, from_s=place.now_s)
    if kind == "move_stands":
        from_s = latest_of(places, "stands_safe", kinds=STANDS_REST_ON)
        waits = from_s is None or from_s > place.now_s
        return Verdict(
            kind=kind,
            from_s=None if from_s is None else max(from_s, place.now_s),
            why=because_of("stands") if waits else None,
        )
    opened = _prepare(place, kind)
    return Verdict(kind=kind, from_s=opened.from_s, until_s=opened.until_s, why=opened.why)


def _prepare(place: Situation, kind: str) -> Opened:
    film, slot = place.film(place.due), slot_at(place.table, place.now_s)
    if kind == "mask":
        starts = [rule not in WATER for rule in film.system.rule]
        rule = Rule.NO_WEATHER if slot is None else Rule(film.system.rule[slot])
    else:
        starts = [not rain for rain in rains_on(film)]
        rule = Rule.NO_WEATHER if slot is None else Rule.RAIN
    gate = Gate(from_s=place.now_s)
    if kind != "strip" and place.done.stripped_s is not None:
        dry_s = int(place.zone.dry_h * 3600)
        why = because_of("laminate_dry", needed_s=dry_s, had_s=place.now_s - place.done.stripped_s)
        gate = Gate(from_s=place.done.stripped_s + dry_s, why=why)
    return open_when(place, starts, gate, live=live_closure(place, film=False), closed=rule_says(place, rule))


def launch_step(place: Situation, places: Sequence[Situation]) -> Verdict:
    """The launch, once every zone is cured for the water and not before the plan has it."""
    cured_s, planned_s = launch_from_s(places), planned(place, "launch")
    if cured_s is None:
        return Verdict(kind="launch", why=because_of(_not_ready(places)))
    from_s = max(cured_s, place.now_s if planned_s is None else planned_s, place.now_s)
    why: WhyNot | None = None
    if from_s > place.now_s:
        why = because_of("not_cured" if cured_s == from_s else "planned_later")
    return Verdict(kind="launch", from_s=from_s, why=why)


def launch_from_s(places: Sequence[Situation]) -> int | None:
    """When every zone is cured for the water, None while one is not coated or it is not known."""
    return None if _not_ready(places) == "not_all_coated" else latest_of(places, "immersion", kinds=None)


def _not_ready(places: Sequence[Situation]) -> str:
    coated = all(place.film_complete and place.open_coat is None for place in places)
    return "not_cured" if coated else "not_all_coated"


def latest_of(places: Sequence[Situation], what: str, *, kinds: Sequence[str] | None) -> int | None:
    """When the last of the zones of some kinds (None: of all) is in a state, None while one lacks coats or it is not
    known."""
    times: list[int] = []
    for place in places:
        if kinds is None or (place.zone.kind in kinds and place.zone.waits_for_stands is None):
            at_s = place.reached_s(what)
            if at_s is None or not place.film_complete:
                return None
            times.append(at_s)
    return max(times, default=None)
