"""Where a coat left the sheet: in what air it went on, when, how often, and on what surface."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from boottop.coating.sheet import System
from boottop.job.settle import ms
from boottop.plan.rules_zone import WIPE_HOLDS_H
from boottop.record.conditions import READING_RULE
from boottop.record.evidence import PRACTICE, SHEET, Deviation, Evidence, of_coat
from boottop.record.film import begun_s, finished_coats
from boottop.record.waits import WAIT_WORDS
from boottop.windows.windows import RULE_TEXT, Rule


def conditions_outside(evidence: Evidence) -> Iterator[Deviation]:
    """Air, humidity, surface or dew margin that was read outside the sheet's limits while a coat went on."""
    for one in evidence.coats:
        limits, seen = one.system.sheet.limits, one.conditions
        checks = (
            ("margin", "surface too near the dew point", seen.margin_k, limits.dew_margin_k, None, "K"),
            ("humidity", "air too humid", seen.humidity, None, limits.humidity_max, "%"),
            ("surface", "surface temperature", seen.surface_c, limits.surface_min_c, limits.surface_max_c, "degC"),
            ("air", "air temperature", seen.air_c, limits.air_min_c, limits.air_max_c, "degC"),
        )
        for key, what, span, low, high, unit in checks:
            if span is None:
                continue
            scale = 100.0 if unit == "%" else 1.0
            if low is not None and span.least < low:
                found, limit = f"{span.least * scale:.1f} {unit} read", f"{low * scale:g} {unit} or more"
                yield of_coat(one, what, key=f"{key}-low", found=found, limit=limit)
            if high is not None and span.most > high:
                found, limit = f"{span.most * scale:.1f} {unit} read", f"{high * scale:g} {unit} or less"
                yield of_coat(one, what, key=f"{key}-high", found=found, limit=limit)


def windows_closed(evidence: Evidence) -> Iterator[Deviation]:
    """A coat rolled in hours that the windows had closed; light and working hours are the crew's own affair."""
    for one in evidence.coats:
        rules = [Rule(number) for number in one.conditions.closed_rules]
        closed = [rule for rule in rules if rule not in (Rule.OUTSIDE_HOURS, Rule.DARK, Rule.NO_WEATHER)]
        if closed:
            words = "; ".join(RULE_TEXT[rule] for rule in closed)
            limit, source = "an open window", "the windows of the plan (worked out, not read)"
            yield of_coat(one, "rolled in a closed window", key="window", found=words, limit=limit, source=source)


def nothing_read(evidence: Evidence) -> Iterator[Deviation]:
    """No reading of air, humidity and surface within four hours before a coat."""
    for one in evidence.coats:
        if one.conditions.margin_k is None:
            words = "no margin to the dew point can be told from the log"
            yield Deviation(
                **{
                    **vars(of_coat(one, "conditions not read", key="unread", found=words, limit=READING_RULE)),
                    "weight": "minor",
                }
            )


def waits_missed(evidence: Evidence) -> Iterator[Deviation]:
    """Next coat, rain, stands or launch too early, or the next coat too late."""
    zone = ZoneInfo(evidence.zone_name)
    for one in evidence.waits:
        if one.outcome not in ("early", "late"):
            continue
        edge = one.from_s if one.outcome == "early" else one.until_s
        when = "" if edge is None else f"{datetime.fromtimestamp(edge, tz=zone):%a %d %b %H:%M}"
        word = "not before" if one.outcome == "early" else "not after, without sanding:"
        yield Deviation(
            key=f"wait-{one.what}/{one.zone}/{one.product}/{one.coat}",
            zone=one.zone,
            at_s=one.came_s,
            what=f"{one.product}, coat {one.coat}: {WAIT_WORDS[one.what]} too {one.outcome}",
            found=f"{datetime.fromtimestamp(one.came_s, tz=zone):%a %d %b %H:%M}, after {one.waited_h:.1f} h",
            limit=f"{word} {when}",
            source=f"{SHEET}, with the weather that was",
            weight="serious",
        )


def rained_on(evidence: Evidence) -> Iterator[Deviation]:
    """Rain, by the log, while a coat went on; a tent over the zone is for the person to say."""
    zone = ZoneInfo(evidence.zone_name)
    for one in evidence.coats:
        finish_s = one.coat.finished_s or 0
        start_s = begun_s(one.coat) or 0
        for spell in evidence.state.rain:
            if spell.began_s < finish_s and (spell.ended_s is None or spell.ended_s > start_s):
                began = f"rain from {datetime.fromtimestamp(spell.began_s, tz=zone):%a %d %b %H:%M}"
                yield of_coat(one, "rained on while it went on", key="rained", found=began, limit="no rain")


def coats_missing(evidence: Evidence) -> Iterator[Deviation]:
    """Fewer coats than planned once she is launched, or more; coats of one zone on several days where the sheet wants
    one."""
    zone = ZoneInfo(evidence.zone_name)
    for film in evidence.films:
        system = _system(evidence, film.product)
        done = finished_coats(evidence.state, film.zone, film.product)
        base = {"zone": film.zone, "source": SHEET, "weight": "serious"}
        fewer = film.coats_done < film.coats and evidence.state.launched_s is not None
        if fewer or film.coats_done > film.coats:
            yield Deviation(
                key=f"coats/{film.zone}/{film.product}",
                at_s=done[-1].finished_s if done else None,
                what=f"{film.product}: {'fewer' if film.coats_done < film.coats else 'more'} coats than planned",
                found=f"{film.coats_done} in the log",
                limit=f"{film.coats}",
                **base,  # type: ignore[arg-type]  # fields by their names
            )
        days = {datetime.fromtimestamp(one.finished_s or 0, tz=zone).date() for one in done}
        if system.sheet.one_day and len(days) > 1:
            yield Deviation(
                key=f"one-day/{film.zone}/{film.product}",
                at_s=done[-1].finished_s,
                what=f"{film.product}: coats of one area on several days",
                found=f"{len(days)} days",
                limit="all coats of an area in one working day",
                **base,  # type: ignore[arg-type]  # fields by their names
            )


def preparation(evidence: Evidence) -> Iterator[Deviation]:
    """A first coat without abrading or wiping in the log before it, or wiped too long before."""
    for one in evidence.coats:
        if not one.first:
            continue
        start_s = begun_s(one.coat) or 0
        for kind, words in (("abraded", "abraded"), ("wiped", "wiped clean")):
            times = [ms(event.happened) // 1000 for event in evidence.events
                     if event.kind == kind and event.zone == one.zone.name]  # fmt: skip
            before = [at_s for at_s in times if at_s <= start_s]
            if not before:
                limit = f"{words} before the first coat"
                yield of_coat(one, f"not {words}, by the log", key=kind, found="nothing", limit=limit)
            elif kind == "wiped" and start_s - max(before) > WIPE_HOLDS_H * 3600:
                found, limit = f"{(start_s - max(before)) / 3600:.1f} h", f"{WIPE_HOLDS_H:g} h, or wiped again"
                yield of_coat(one, "wiped too long before", key="wiped-late", found=found, limit=limit, source=PRACTICE)


def _system(evidence: Evidence, product: str) -> System:
    return next(one for one in evidence.systems if one.sheet.name == product)
