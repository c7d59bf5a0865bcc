"""Where the rest of the job left its rules: batches, bare copper, film, and what does not fit in the log."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from zoneinfo import ZoneInfo

from boottop.coating.film import mixture
from boottop.coating.mixing import pot_life
from boottop.coating.scope import zones_for
from boottop.coating.sheet import ProductSheet
from boottop.job.state import ODDITY_TEXT, Batch
from boottop.job.stock import MILD_C
from boottop.record.evidence import SHEET, Deviation, Evidence

FILM_PLAY = 0.25
"""Films more than a quarter below the sheet's are told (common practice, no source)."""


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
    """Pot life of a batch at its temperature and mass, h, as its batch card has it (`coating.mixing.pot_life`); at
    20 degC where the batch was not measured, and of the sheet's own mass where its litres were not."""
    batch_c = MILD_C if batch.batch_c is None else batch.batch_c
    mass_kg = batch.litres * mixture(sheet).density_kg_l if batch.litres > 0.0 else sheet.pot_life_mass_kg
    return pot_life(sheet, batch_c, mass_kg=mass_kg).hours


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
        if one.estimate is not None and one.share is not None and one.share < 1.0 - FILM_PLAY:
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
