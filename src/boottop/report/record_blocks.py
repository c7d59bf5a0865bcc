"""The sections of a record, block by block: what was done, in what conditions, with what, and what of it departed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from boottop.record.deviations import open_ones
from boottop.record.record import CoatLine, Record
from boottop.record.waits import WAIT_WORDS
from boottop.report.record_words import NONE, Block, Words, heading, listed, table, text
from boottop.report.typeset import ROLE_WORDS

Section = Callable[[Record, Words], Iterator[Block]]


def opening(record: Record, words: Words) -> Iterator[Block]:
    """Boat, yard, dates, and how the record stands."""
    boat, counts = record.boat, open_ones(record.deviations)
    facts = [
        ("Boat", boat.name),
        ("Length, waterline", f"{words.q(boat.length_m, 'length')}, {words.q(boat.waterline_m, 'length')}"),
        ("Beam, draft", f"{words.q(boat.beam_m, 'length')}, {words.q(boat.draft_m, 'length')}"),
        ("Displacement", words.q(boat.displacement_kg, "mass")),
        *record.papers.items(),
        ("Yard", boat.yard),
        ("Hauled out", words.time(record.hauled_s)),
        ("Washed", words.time(record.washed_s)),
        ("Launched", words.time(record.launched_s)),
        ("Bottom", f"{words.q(record.area_m2, 'area')}, give or take {words.q(record.area_sd_m2, 'area', 2)}"),
        ("Log", f"{record.chain.events} entries, {'unbroken' if not record.chain.faults else 'NOT AS IT WAS WRITTEN'}"),
        ("Deviations", f"{counts['all']}, {counts['serious']} of them serious, {counts['unexplained']} not explained"),
    ]
    yield Block(kind="facts", rows=tuple((name, value) for name, value in facts if value not in ("", NONE)))
    if record.chain.faults:
        yield text("The log behind this record is not as it was written:")
        yield listed(record.chain.faults)
    if any(one.invented for one in record.products):
        yield text("INVENTED FOR DEMONSTRATION: boat, yard, products and log. Never coat a boat by it.")
    if record.launched_s is None:
        yield text("She is not launched yet, by the log: this record is not finished.")
    yield text(
        f"All times are those of the yard's clock ({boat.zone_name}). “{NONE}” stands for what nobody wrote down."
    )


def departures(record: Record, words: Words) -> Iterator[Block]:
    """Deviations, each with what a person said to it."""
    yield heading("Where the job departed from the rules")
    if not record.deviations:
        yield text("By the log, nowhere.")
        return
    yield table(
        ("!", "Where and when", "What", "Found", "Limit, and whose", "Explained"),
        "llllll",
        widths=(0.2, 1.3, 1.8, 1.5, 1.7, 2),
        rows=[
            (
                "!" if one.weight == "serious" else "",
                f"{one.zone or 'whole boat'} {'' if one.at_s is None else words.time(one.at_s)}".strip(),
                one.what,
                one.found,
                f"{one.limit} ({one.source})",
                one.explained or "not explained",
            )
            for one in record.deviations
        ],
    )
    yield text("“!” is serious: it can cost the film. The rest is for the file. Limits stand in SI units.")


def areas(record: Record, words: Words) -> Iterator[Block]:
    """Zones with area and surface."""
    yield heading("The bottom")
    yield table(
        ("Zone", "Surface under the coating", f"Area, {words.unit('area')}", "give or take", "Coating"),
        "llrrl",
        widths=(1.5, 1.8, 1, 1, 1.2),
        rows=[
            (
                one.name,
                one.substrate.replace("_", " "),
                words.number(one.area_m2, "area"),
                words.number(one.area_sd_m2, "area"),
                "" if one.coated else "stays bare",
            )
            for one in record.zones
        ],
    )
    yield text(f"Measured by {record.area_method}; “give or take” is one standard deviation.")
    if record.hull_notes:
        yield listed(record.hull_notes)


def preparation(record: Record, words: Words) -> Iterator[Block]:
    """When each zone was stripped, abraded, masked, wiped and laid bare."""
    yield heading("Preparation")
    yield table(
        ("Zone", "Stripped", "Abraded", "Masked", "Wiped clean", "To bare copper"),
        "llllll",
        rows=[
            (
                one.zone,
                *(words.time(at_s) for at_s in (one.stripped_s, one.abraded_s, one.masked_s, one.wiped_s)),
                words.time(one.activated_s),
            )
            for one in record.preparation
        ],
    )
    yield text("The last time of each step; the whole log stands in the data that belongs to this record.")


def products(record: Record, words: Words) -> Iterator[Block]:
    """Products with their lots, and every batch."""
    yield heading("Products, lots and batches")
    unit = words.film_unit
    yield table(
        ("Product", "As", "Coats", f"Dry film a coat, {unit}", f"Wet, {unit}", "Solids", "Mixed", "Thrown away"),
        "llrrrrrr",
        widths=(2, 1.3, 0.7, 1.1, 0.8, 0.8, 1, 1),
        rows=[
            (
                one.name,
                ROLE_WORDS[one.role],
                str(one.coats),
                words.film(one.dry_film_um),
                words.film(one.wet_film_um),
                f"{100 * one.solids_fraction:.0f} %",
                words.litres(one.mixed_l),
                words.litres(one.thrown_l),
            )
            for one in record.products
        ],
    )
    lots = [(lot.product, lot.part, lot.lot, lot.best_before or "not written down") for one in record.products
            for lot in one.lots]  # fmt: skip
    if lots:
        yield table(("Product", "Part", "Lot", "Best before"), "llll", rows=lots, widths=(2, 1.5, 1.5, 1.5))
    if record.batches:
        yield table(
            ("Batch", "Product", "Mixed", f"Volume, {words.unit('volume')}", "Warmth", "Used in, min",
             "Pot life, min", "Lots", "By"),
            "rllrrrrll",
            widths=(0.6, 1.6, 1.4, 0.8, 0.7, 0.8, 0.8, 1.7, 1.1),
            rows=[
                (
                    str(one.number),
                    one.batch.product,
                    words.time(one.batch.mixed_s),
                    words.number(one.batch.litres, "volume"),
                    words.q(one.batch.batch_c, "temperature"),
                    NONE if one.used_min is None else f"{one.used_min:.0f}",
                    NONE if one.pot_life_min is None else f"{one.pot_life_min:.0f}",
                    ", ".join(one.batch.lots.values()) or "none",
                    one.batch.who,
                )
                for one in record.batches
            ],
        )  # fmt: skip


def coats(record: Record, words: Words) -> Iterator[Block]:
    """Every coat: when, who, how much, and in what air."""
    yield heading("Coats")
    unit = words.film_unit
    yield table(
        (
            "Zone",
            "Product",
            "Coat",
            "Start",
            "End",
            "People",
            "By",
            f"Volume, {words.unit('volume')}",
            f"Wet, {unit}",
            f"By volume, {unit}",
        ),
        "llrllrlrrr",
        widths=(1.25, 1.7, 0.55, 1.35, 0.7, 0.7, 1.2, 0.8, 1.05, 0.85),
        rows=[
            (
                one.zone,
                one.product,
                str(one.coat.coat),
                words.time(one.coat.started_s),
                words.clock(one.coat.finished_s),
                NONE if one.coat.people is None else str(one.coat.people),
                one.coat.who,
                words.number(one.coat.litres, "volume"),
                _wet(one, words),
                words.film(one.litres_wet_um),
            )
            for one in record.coats
        ],
    )
    yield text(
        "Wet film by notch gauge is an interval: from the last wetted to the first dry tooth (ASTM D4414-95(2020), "
        "section 7). “By volume” is the mean wet film of the litres on the zone's area, less the declared loss."
    )
    yield heading("Conditions of each coat")
    yield table(
        ("Zone", "Coat", "Start", f"Air, {words.unit('temperature')}", "Humidity, %",
         f"Surface read, {words.unit('temperature')}", "worked out", f"Above dew point, {words.unit('difference')}",
         "worked out", "Rain, mm"),
        "lrlrrrrrrr",
        widths=(1.3, 0.6, 1.4, 0.9, 0.9, 1, 1.2, 1.1, 1.2, 0.7),
        rows=[_conditions(one, words) for one in record.coats],
    )  # fmt: skip
    yield text(
        "Read: at the work, in the hour before the coat until half an hour after it, else the last reading not older "
        "than four hours. Worked out: by the windows of the plan, for the worst part of the zone, least to most. "
        "Surface at least so far above the dew point as the sheet asks, usually 3 K (5 degF): UFC 3-190-06, 9.6.6."
    )


def coat_label(role: str, coat: int) -> str:
    """The number of a coat, with p before that of a primer and b before that of a barrier coat."""
    return {"primer": "p", "barrier": "b"}.get(role, "") + str(coat)


def _wet(one: CoatLine, words: Words) -> str:
    if one.wet_low_um is None:
        return NONE
    return f"{words.film(one.wet_low_um)} to {words.film(one.wet_high_um)}"


def _conditions(one: CoatLine, words: Words) -> tuple[str, ...]:
    seen = one.conditions
    humidity = NONE if seen.humidity is None else _percent(seen.humidity.span)
    return (
        one.zone,
        coat_label(one.role, one.coat.coat),
        words.time(one.coat.started_s),
        words.span(seen.air_c, "temperature"),
        humidity,
        words.span(seen.surface_c, "temperature"),
        words.span(seen.modelled_surface_c, "temperature"),
        words.span(seen.margin_k, "difference"),
        words.span(seen.modelled_margin_k, "difference"),
        NONE if seen.rain_mm is None else f"{seen.rain_mm:.1f}",
    )


def _percent(span: tuple[float, float]) -> str:
    low, high = (f"{100 * value:.0f}" for value in span)
    return low if low == high else f"{low} to {high}"


def waiting(record: Record, words: Words) -> Iterator[Block]:
    """Waits against the windows, touch tests, rain, stands."""
    yield heading("Waiting times, against the sheet in the weather that was")
    roles = {one.name: one.role for one in record.products}
    outcome = {"in time": "in time", "early": "EARLY", "late": "LATE", "not judged": "not judged"}
    yield table(
        ("Zone", "After coat", "Then", "Came", "After, h", "Not before", "Not after", "Outcome"),
        "lrllrlll",
        widths=(1.3, 0.7, 1.1, 1.4, 0.7, 1.4, 1.4, 1.3),
        rows=[
            (
                one.zone,
                coat_label(roles.get(one.product, ""), one.coat),
                WAIT_WORDS[one.what],
                words.time(one.came_s),
                f"{one.waited_h:.1f}",
                words.time(one.from_s),
                words.time(one.until_s),
                outcome[one.outcome] + (", touched" if one.touched else "") + (", sanded" if one.sanded else ""),
            )
            for one in record.waits
        ],
    )
    yield text(
        "“Not before” and “not after” are the windows that plan and board were made from: the sheet's times at the "
        "temperatures that the film had. A touch test that said tacky counts more than the clock."
    )
    touch = [
        (one.zone, coat_label(one.role, one.coat.coat), words.time(test.at_s), test.verdict, test.who)
        for one in record.coats
        for test in one.coat.touch
    ]
    if touch:
        yield heading("Touch tests")
        yield table(("Zone", "Coat", "When", "Film", "By"), "lrlll", rows=touch, widths=(1.5, 0.6, 1.5, 1, 1.5))
    if record.rain or record.stands:
        yield heading("Rain and stands")
        spells = [f"Rain from {words.time(one.began_s)} to {words.time(one.ended_s)}." for one in record.rain]
        moved = [f"Stands moved, set {number}: {words.time(at_s)}." for number, at_s in record.stands.items()]
        yield listed([*spells, *moved])


FIRST: Sequence[Section] = (opening, departures, areas, preparation, products, coats, waiting)
