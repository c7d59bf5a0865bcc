"""Where the job left the sheet, the windows or good practice: every such place named, none hidden, for a person to
explain."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal
from zoneinfo import ZoneInfo

from boottop.coating.scope import zones_for
from boottop.coating.sheet import ProductSheet, System
from boottop.coating.times import time_at
from boottop.job.board import BoardTable
from boottop.job.events import Event
from boottop.job.settle import ms
from boottop.job.state import ODDITY_TEXT, Batch, Coat, State
from boottop.measure.hull import Hull, Zone
from boottop.record.conditions import READING_RULE, Conditions
from boottop.record.facts import Facts, PhotoFact
from boottop.record.film import ZoneFilm, finished_coats
from boottop.record.waits import WAIT_WORDS, Wait
from boottop.windows.windows import RULE_TEXT, Rule

Weight = Literal["serious", "minor"]
SHEET, PRACTICE = "the product's sheet", "common practice, no source"
WIPE_HOLDS_H = 6.0
"""As the board has it: a wiped surface is coated within so many hours or wiped again (common practice, no source)."""
MILD_C = 20.0
WET_FILM_PLAY = 0.25
"""Notch-gauge means more than a quarter off the sheet's wet film are told (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Deviation:
    """One place where the job left a rule. `key` stays the same from record to record; `explained` is a person's."""

    key: str
    zone: str | None
    at_s: int | None
    what: str
    found: str
    limit: str
    source: str
    weight: Weight
    explained: str = ""


@dataclass(frozen=True, kw_only=True)
class CoatFacts:
    """One coat with what the rules ask of it."""

    zone: Zone
    system: System
    coat: Coat
    conditions: Conditions
    first: bool


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """All that the rules look at; `events` settled."""

    hull: Hull
    systems: Sequence[System]
    tables: Sequence[BoardTable]
    state: State
    events: Sequence[Event]
    coats: Sequence[CoatFacts]
    waits: Sequence[Wait]
    films: Sequence[ZoneFilm]
    photos: Sequence[PhotoFact]
    facts: Facts
    zone_name: str


def deviations(evidence: Evidence) -> tuple[Deviation, ...]:
    """Every deviation, the serious first, then in order of time; each with its explanation where there is one."""
    found = [
        Deviation(**{**vars(one), "explained": evidence.facts.explained.get(one.key, "")})
        for rule in RULES
        for one in rule(evidence)
    ]
    far = max((one.at_s for one in found if one.at_s is not None), default=0)
    return tuple(sorted(found, key=lambda one: (one.weight != "serious", one.at_s or far + 1, one.key)))


def _coat_key(what: str, one: CoatFacts) -> str:
    return f"{what}/{one.zone.name}/{one.system.sheet.name}/{one.coat.coat}"


def _of_coat(one: CoatFacts, what: str, *, key: str, found: str, limit: str, source: str = SHEET) -> Deviation:
    return Deviation(
        key=_coat_key(key, one),
        zone=one.zone.name,
        at_s=one.coat.started_s if one.coat.started_s is not None else one.coat.finished_s,
        what=f"{one.system.sheet.name}, coat {one.coat.coat}: {what}",
        found=found,
        limit=limit,
        source=source,
        weight="serious",
    )


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
                yield _of_coat(one, what, key=f"{key}-low", found=found, limit=limit)
            if high is not None and span.most > high:
                found, limit = f"{span.most * scale:.1f} {unit} read", f"{high * scale:g} {unit} or less"
                yield _of_coat(one, what, key=f"{key}-high", found=found, limit=limit)


def windows_closed(evidence: Evidence) -> Iterator[Deviation]:
    """A coat rolled in hours that the windows had closed; light and working hours are the crew's own affair."""
    for one in evidence.coats:
        rules = [Rule(number) for number in one.conditions.closed_rules]
        closed = [rule for rule in rules if rule not in (Rule.OUTSIDE_HOURS, Rule.DARK, Rule.NO_WEATHER)]
        if closed:
            words = "; ".join(RULE_TEXT[rule] for rule in closed)
            limit, source = "an open window", "the windows of the plan (worked out, not read)"
            yield _of_coat(one, "rolled in a closed window", key="window", found=words, limit=limit, source=source)


def nothing_read(evidence: Evidence) -> Iterator[Deviation]:
    """No reading of air, humidity and surface within four hours before a coat."""
    for one in evidence.coats:
        if one.conditions.margin_k is None:
            words = "no margin to the dew point can be told from the log"
            yield Deviation(
                **{
                    **vars(_of_coat(one, "conditions not read", key="unread", found=words, limit=READING_RULE)),
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
        start_s = one.coat.started_s if one.coat.started_s is not None else finish_s
        for spell in evidence.state.rain:
            if spell.began_s < finish_s and (spell.ended_s is None or spell.ended_s > start_s):
                began = f"rain from {datetime.fromtimestamp(spell.began_s, tz=zone):%a %d %b %H:%M}"
                yield _of_coat(one, "rained on while it went on", key="rained", found=began, limit="no rain")


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
        start_s = one.coat.started_s if one.coat.started_s is not None else one.coat.finished_s or 0
        for kind, words in (("abraded", "abraded"), ("wiped", "wiped clean")):
            times = [ms(event.happened) // 1000 for event in evidence.events
                     if event.kind == kind and event.zone == one.zone.name]  # fmt: skip
            before = [at_s for at_s in times if at_s <= start_s]
            if not before:
                limit = f"{words} before the first coat"
                yield _of_coat(one, f"not {words}, by the log", key=kind, found="nothing", limit=limit)
            elif kind == "wiped" and start_s - max(before) > WIPE_HOLDS_H * 3600:
                found, limit = f"{(start_s - max(before)) / 3600:.1f} h", f"{WIPE_HOLDS_H:g} h, or wiped again"
                yield _of_coat(
                    one, "wiped too long before", key="wiped-late", found=found, limit=limit, source=PRACTICE
                )


def batches(evidence: Evidence) -> Iterator[Deviation]:
    """A batch used beyond its pot life, without lot numbers, or past its shelf life."""
    for number, one in enumerate(evidence.state.batches, start=1):
        sheet = next((system.sheet for system in evidence.systems if system.sheet.name == one.product), None)
        words = f"{one.product}, batch {number}"
        if sheet is not None and one.done_s is not None:
            life_h, used_h = pot_life_h(sheet, one), (one.done_s - one.mixed_s) / 3600
            if used_h > life_h:
                found, limit = f"{60 * used_h:.0f} min", f"{60 * life_h:.0f} min"
                yield _batch(one, "pot-life", words=f"{words}: used beyond the pot life", found=found, limit=limit)
        if not one.lots:
            yield _batch(one, "lots", words=f"{words}: no lot numbers", found="none", limit="the lot of every part")
        yield from _old_lots(evidence, one, words)


def _old_lots(evidence: Evidence, batch: Batch, words: str) -> Iterator[Deviation]:
    day = datetime.fromtimestamp(batch.mixed_s, tz=ZoneInfo(evidence.zone_name)).date()
    for lot in evidence.facts.lots:
        used = batch.product == lot.product and batch.lots.get(lot.part) == lot.lot
        if used and lot.best_before and date.fromisoformat(lot.best_before) < day:
            past = f"{words}: {lot.part} past its shelf life"
            limit = f"best before {lot.best_before}"
            yield _batch(batch, f"shelf-{lot.part}", words=past, found=f"mixed {day}", limit=limit)


def pot_life_h(sheet: ProductSheet, batch: Batch) -> float:
    """Pot life of a batch by the sheet at its temperature, h; at 20 degC where that was not measured."""
    return time_at(sheet.pot_life, MILD_C if batch.batch_c is None else batch.batch_c)[0]


def _batch(batch: Batch, key: str, *, words: str, found: str, limit: str) -> Deviation:
    return Deviation(
        key=f"{key}/{batch.id}",
        zone=None,
        at_s=batch.mixed_s,
        what=words,
        found=found,
        limit=limit,
        source=SHEET,
        weight="minor" if key == "lots" else "serious",
    )


def activation(evidence: Evidence) -> Iterator[Deviation]:
    """Launched without the copper laid bare, or laid bare too long before."""
    launched_s = evidence.state.launched_s
    for system in evidence.systems:
        if system.sheet.activation_grit is None or launched_s is None:
            continue
        for zone in zones_for(system, evidence.hull):
            found = evidence.state.zone(zone.name)
            at_s = found.activated_s if found else None
            longest_h = system.sheet.activation_before_launch_h
            late = at_s is not None and longest_h is not None and launched_s - at_s > longest_h * 3600
            if at_s is None or late:
                yield Deviation(
                    key=f"activated/{zone.name}",
                    zone=zone.name,
                    at_s=launched_s,
                    what="launched without being sanded to bare copper" if at_s is None else "bare copper waited long",
                    found="not in the log" if at_s is None else f"{(launched_s - at_s) / 3600:.0f} h",
                    limit="before the launch" if longest_h is None else f"at most {longest_h:g} h before the launch",
                    source=SHEET,
                    weight="serious",
                )


def film_off(evidence: Evidence) -> Iterator[Deviation]:
    """Film below what the sheet wants by the best estimate, a rule of acceptance that failed, estimates that differ."""
    for one in evidence.films:
        base = {"zone": one.zone, "at_s": None, "weight": "serious"}
        if one.estimate is not None and one.share is not None and one.share < 1.0 - WET_FILM_PLAY:
            yield Deviation(
                key=f"film/{one.zone}/{one.product}",
                what=f"{one.product}: film thin",
                found=f"{one.estimate.dry_um:.0f} um, give or take {one.estimate.sd_um:.0f}",
                limit=f"{one.nominal_um:.0f} um",
                source=SHEET,
                **base,  # type: ignore[arg-type]  # fields by their names
            )
        for verdict in one.verdicts:
            if verdict.passed is False:
                yield Deviation(
                    key=f"{verdict.rule}/{one.zone}/{one.product}",
                    what=f"{one.product}: {verdict.rule} not met",
                    found="; ".join(verdict.reasons),
                    limit=f"nominal {one.nominal_um:.0f} um",
                    source=verdict.source,
                    **base,  # type: ignore[arg-type]  # fields by their names
                )


def strangers(evidence: Evidence) -> Iterator[Deviation]:
    """Coats of the log on a zone, or of a product, that the sheet does not have: they stand in no table of the record,
    so they are told here."""
    known = {(zone.name, system.sheet.name) for system in evidence.systems for zone in zones_for(system, evidence.hull)}
    for zone in evidence.state.zones:
        for coat in zone.coats:
            if (zone.zone, coat.product) not in known:
                yield Deviation(
                    key=f"stranger/{zone.zone}/{coat.product}/{coat.coat}",
                    zone=zone.zone,
                    at_s=coat.finished_s if coat.finished_s is not None else coat.started_s,
                    what=f"{coat.product}, coat {coat.coat}: in the log, not in the sheet",
                    found=f"{zone.zone}, {coat.product}",
                    limit="a zone of the hull with a coating that the sheet puts on it",
                    source="the job sheet",
                    weight="serious",
                )


def log_odd(evidence: Evidence) -> Iterator[Deviation]:
    """What does not fit within the log itself, and photographs whose camera had another time."""
    for one in evidence.state.oddities:
        coat = "" if one.coat is None else f", coat {one.coat}"
        yield Deviation(
            key=f"odd-{one.kind}/{one.event}",
            zone=one.zone,
            at_s=None,
            what=f"{one.product or 'the log'}{coat}",
            found=ODDITY_TEXT[one.kind],
            limit="a log that fits together",
            source="the log",
            weight="minor",
        )
    for photo in evidence.photos:
        if photo.clock_words:
            yield Deviation(
                key=f"clock/{photo.sha256[:16]}",
                zone=photo.zone,
                at_s=photo.taken_s,
                what=f"photograph {photo.name}",
                found=photo.clock_words,
                limit="the time of the log",
                source="the photograph's own data",
                weight="minor",
            )


def _system(evidence: Evidence, product: str) -> System:
    return next(one for one in evidence.systems if one.sheet.name == product)


RULES: tuple[Callable[[Evidence], Iterator[Deviation]], ...] = (
    conditions_outside,
    windows_closed,
    nothing_read,
    rained_on,
    waits_missed,
    coats_missing,
    preparation,
    batches,
    activation,
    film_off,
    strangers,
    log_odd,
)


def open_ones(found: Sequence[Deviation]) -> Mapping[str, int]:
    """How many deviations there are, how many of them serious, and how many without an explanation."""
    return {
        "all": len(found),
        "serious": sum(one.weight == "serious" for one in found),
        "unexplained": sum(not one.explained for one in found),
    }
