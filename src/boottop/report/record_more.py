"""The rest of a record's sections: film, bare spots, photographs, the years, cautions, the end of the log."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from boottop.record.facts import BareSpot
from boottop.record.film import ZoneFilm
from boottop.record.history import FOULING_SCALE, VISIT_WORDS, Visit, fouling_words
from boottop.record.readings import INSTRUMENTS, spot_um, spots
from boottop.record.record import Record
from boottop.record.years import advice_for_next
from boottop.report.record_blocks import Section
from boottop.report.record_words import NONE, Block, Words, heading, listed, table, text

NAMES_A_DOCUMENT = re.compile(r"SHA-256 [0-9a-f]{64}$")


def film(record: Record, words: Words) -> Iterator[Block]:
    """What the sheet wants, what the litres say, what gauges say, and what the rules say."""
    unit = words.film_unit
    yield heading("Film")
    yield table(
        ("Zone", "Product", "Coats", f"Nominal, {unit}", f"By material, {unit}", f"Gauge, {unit}", f"Wet teeth, {unit}",
         f"Together, {unit}", "of nominal"),
        "llrrrrrrr",
        widths=(1.3, 1.7, 0.7, 0.8, 1.05, 1.05, 1.05, 1.1, 0.8),
        rows=[_film_row(one, words) for one in record.films],
    )  # fmt: skip
    yield text(
        "Dry film of all coats; ± is one standard deviation. By material: litres on the area, less the declared loss, "
        "times the solids; its doubt is that of litres (5 %), area, loss (5 points) and solids (2 %): common practice, "
        "no source. Together: both, weighted by inverse variance; the gauge where there is one, else the wet teeth."
    )
    told = {one.estimate.words for one in record.films if one.estimate is not None and not one.estimate.agree}
    if told:
        yield listed(sorted(told))
    verdicts = [(film, one) for film in record.films for one in film.verdicts]
    if verdicts:
        said = {True: "met", False: "NOT met", None: "not enough readings to say"}
        yield table(
            ("Zone", "Rule", "Verdict", "Why", "Readings", "Source"),
            "llllrl",
            widths=(1.2, 1.1, 1.1, 2.2, 0.9, 2.2),
            rows=[
                (
                    film.zone,
                    one.rule,
                    said[one.passed],
                    "; ".join(one.reasons),
                    f"{one.had} of {one.wanted}",
                    one.source,
                )
                for film, one in verdicts
            ],
        )
        tools = {one.method for one in record.readings if one.layer == "dry"}
        yield text("Read by " + "; ".join(f"{INSTRUMENTS[one].words} (works on: {INSTRUMENTS[one].works_on})"
                                          for one in sorted(tools)) + ". PA 2 was written for metal; for other "
                   "surfaces it is used by analogy. The sheets name one thickness and no range: PA 2 then takes 20 % "
                   "to either side of nominal (from memory).")  # fmt: skip


def _film_row(one: ZoneFilm, words: Words) -> tuple[str, ...]:
    def give(mean_um: float | None, sd_um: float | None) -> str:
        return NONE if mean_um is None else f"{words.film(mean_um)} ± {words.film(sd_um)}"

    return (
        one.zone,
        one.product,
        f"{one.coats_done} of {one.coats}",
        words.film(one.nominal_um),
        give(one.material.dry_um, one.material.dry_sd_um) if one.material else NONE,
        give(one.dry_read.mean_um, one.dry_read.sd_um) if one.dry_read else NONE,
        give(one.wet_read.mean_um, one.wet_read.sd_um) if one.wet_read else NONE,
        give(one.estimate.dry_um, one.estimate.sd_um) if one.estimate else NONE,
        NONE if one.share is None else f"{100 * one.share:.0f} %",
    )


def spots_read(record: Record, words: Words) -> Iterator[Block]:
    """Every spot of the dry film, the mean of its readings, with the least and the most of them."""
    dry = [one for one in record.readings if one.layer == "dry" and one.coat == 0]
    if not dry:
        return
    unit = words.film_unit
    yield heading("Dry film, spot by spot")
    yield table(
        ("Zone", "Area", "Spot", f"Mean, {unit}", "Readings", "Least", "Most", "By", "When", "Instrument"),
        "lllrrrrlll",
        widths=(1.3, 0.6, 0.6, 0.9, 0.9, 0.7, 0.7, 1.2, 1.1, 1.5),
        rows=[
            (
                zone,
                area or NONE,
                spot.lstrip("#"),
                words.film(spot_um(group)),
                str(len(group)),
                words.film(min(one.low_um for one in group)),
                words.film(max(one.high_um for one in group)),
                group[0].who or NONE,
                words.day(group[0].at_s),
                INSTRUMENTS[group[0].method].words,
            )
            for (zone, area, spot), group in spots(dry).items()
        ],
    )


def thin_places(record: Record, words: Words) -> Iterator[Block]:
    """Spots under 80 % of nominal."""
    thin = [one for film in record.films for one in film.thin]
    if thin:
        unit = words.film_unit
        yield heading("Thin places")
        yield table(
            ("Zone", "Area", "Spot", f"Film, {unit}", "of nominal", "aft of the fore end", "below the waterline"),
            "lllrrrr",
            widths=(1.4, 0.7, 0.7, 1, 1, 1.4, 1.4),
            rows=[
                (
                    one.zone,
                    one.area or NONE,
                    one.spot,
                    words.film(one.film_um),
                    f"{100 * one.film_share:.0f} %",
                    words.q(one.station_m, "length"),
                    words.q(one.girth_m, "length"),
                )
                for one in thin
            ],
        )


def bare(record: Record, words: Words) -> Iterator[Block]:
    """Bare spots of this time and of last time."""
    yield heading("Bare spots")
    yield _spots(record.bare, words) if record.bare else text("None, by sheet and log.")
    if record.last_time:
        yield heading("Bare spots from last time")
        yield _spots(record.last_time, words)
        yield listed(advice_for_next(record.last_time))


def _spots(spots: Sequence[BareSpot], words: Words) -> Block:
    return table(
        ("Zone", "What", "Area", "aft of the fore end", "below the waterline", "By"),
        "llrrrl",
        widths=(1.2, 3, 0.8, 1, 1, 1.2),
        rows=[
            (
                one.zone,
                one.words,
                words.q(one.area_m2, "area", 2),
                words.q(one.station_m, "length"),
                words.q(one.girth_m, "length"),
                one.source,
            )
            for one in spots
        ],
    )


def photos(record: Record, words: Words) -> Iterator[Block]:
    """Photographs with time and zone; those that cannot be shown by their data."""
    if not record.photos:
        return
    yield heading("Photographs")
    yield Block(
        kind="photos",
        rows=tuple(
            (
                one.sha256 if one.shown else "",
                f"{one.name}. {one.zone or 'whole boat'}, {words.time(one.taken_s)}, {one.who}. {one.words}, "
                f"{one.size_bytes / 1000:.0f} kB. SHA-256 {one.sha256[:16]}"
                + (f". {one.clock_words[0].upper()}{one.clock_words[1:]}" if one.clock_words else ""),
            )
            for one in record.photos
        ),
    )


def years(record: Record, words: Words) -> Iterator[Block]:
    """Visits, fouling, wear, due date."""
    if not record.history:
        return
    unit, several = words.film_unit, len({one.job for one in record.history}) > 1
    yield heading("The years")
    yield table(
        ("Date", "What", "Zone", "Fouling", f"Film, {unit}", "Note"),
        "lllrrl",
        widths=(1, 1.3, 1.2, 0.7, 0.9, 3.6),
        rows=[
            (
                words.day(one.at_s),
                VISIT_WORDS[one.kind],
                one.zone or "whole boat",
                NONE if one.fouling is None else str(one.fouling),
                NONE if one.film_um is None else f"{words.film(one.film_um)} ± {words.film(one.film_sd_um)}",
                "; ".join(_said(one, several=several)),
            )
            for one in record.history
        ],
    )
    if record.wear:
        yield heading("Wear, and when it is due")
        yield table(
            ("Zone", "Films", f"Wear, {unit} a year", f"Left when this was made, {unit}", "Due", "between", "and"),
            "lrrrlll",
            widths=(1.3, 0.6, 1.1, 1.3, 1, 1, 1.4),
            rows=[
                (
                    one.zone,
                    str(one.points),
                    f"{words.film(one.rate_um, mil_places=2)} ± {words.film(one.rate_sd_um, mil_places=2)}",
                    words.film(one.film_now_um),
                    words.day(one.due_s)[:7],
                    words.day(one.due_early_s)[:7],
                    words.day(one.due_late_s)[:7] if one.due_late_s else "no end seen",
                )
                for one in record.wear
            ],
        )
        yield text(
            f"Due when the film is down to {words.film(record.least_film_um)} {unit}. Weighted straight line through "
            "the films measured since the last coat; the range is where its 90 % band meets that film (Fieller 1954, "
            "from memory). Wear that is not even over the years, such as sanding to bare copper, is not told apart."
        )
    if any(one.fouling is not None for one in record.history):
        scale = "; ".join(f"{step} {said}" for step, said in FOULING_SCALE)
        yield text(f"Fouling by zone: {scale}. {record.fouling_source}.")


def _said(one: Visit, *, several: bool) -> Iterator[str]:
    """Note, what the fouling looked like, and the job where there are several."""
    if one.note:
        yield one.note
    if one.fouling is not None:
        yield fouling_words(one.fouling)
    if several and one.job:
        yield one.job


def notes(record: Record, words: Words) -> Iterator[Block]:
    """Notes of the log, and what the sheet took for granted."""
    own = [one for one in record.notes if not NAMES_A_DOCUMENT.search(one.text)]
    if record.notes:
        yield heading("Notes of the log")
        yield listed(f"{words.time(one.at_s)}, {one.zone or 'whole boat'}, {one.who}: {one.text}" for one in own)
    if hashes := len(record.notes) - len(own):
        yield text(f"Besides, {hashes} notes name documents of this record by their SHA-256; the JSON has them.")
    if record.boat.notes:
        yield heading("Notes of the job sheet")
        yield listed(record.boat.notes)


def closing(record: Record, words: Words) -> Iterator[Block]:
    """Cautions, the end of the log, and lines to sign."""
    yield heading("Take care")
    yield listed(record.cautions)
    yield text("The last word have: " + ", ".join(record.defers_to) + ".")
    yield heading("How to check this record")
    yield text(
        f"Made {words.time(record.made_s)} by boottop {record.version} from a log of {record.chain.events} entries. "
        "Each entry carries a hash over itself and the one before it; the last one is"
    )
    yield Block(kind="hash", text=record.chain.head)
    yield text(
        "“boottop verify JOB --printed” with these 64 signs says whether the log still holds them: then no entry up to "
        "there was changed, taken out or moved. What was written after this paper was printed may follow."
    )
    yield heading("Signed")
    yield Block(
        kind="lines",
        rows=(
            ("Work done by", "", ""),
            ("Inspected by", "", ""),
            ("For the owner", "", ""),
        ),
    )


LAST: Sequence[Section] = (photos, years, notes, closing)
