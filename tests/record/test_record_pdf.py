"""The PDF read back: its words against the data, its standards, and that nobody's words become markup."""

from __future__ import annotations

import re
from dataclasses import replace
from zoneinfo import ZoneInfo

import pypdfium2  # type: ignore[import-untyped]
import pytest

from boottop.record.record import Record
from boottop.report.glyphs import showable
from boottop.report.hull_shape import shape_of
from boottop.report.record_pdf import paper_of, printable, record_pdf
from boottop.report.record_words import Words
from boottop.web.record_desk import made_at, tables_of
from boottop.web.record_files import printed_pdf
from tests.web.serving import Running


def words_of(pdf: bytes) -> str:
    """All text of a PDF, lines joined by one blank."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        pages = []
        for number in range(len(document)):
            page = document[number]
            text = page.get_textpage()
            pages.append(text.get_text_range())
            text.close()
            page.close()
        return re.sub(r"\s+", " ", " ".join(pages).replace("\ufffe", ""))
    finally:
        document.close()


@pytest.fixture(scope="module")
def pdf(finished: Running, record: Record) -> bytes:
    """The PDF of the demonstration."""
    return printed_pdf(finished.house, finished.job, record, system="metric")


@pytest.fixture(scope="module")
def text(pdf: bytes) -> str:
    """Its words."""
    return words_of(pdf)


def test_boat_yard_papers_and_the_end_of_the_log(text: str, record: Record) -> None:
    for wanted in (record.boat.name, record.boat.yard, *record.papers.values(), f"{record.chain.events} entries"):
        assert wanted in text
    assert record.chain.head in text.replace(" ", "")


def test_every_coat_with_its_times_litres_and_people(text: str, record: Record) -> None:
    words = Words(zone=ZoneInfo(record.boat.zone_name), system="metric")
    for one in record.coats:
        times = f"{words.time(one.coat.started_s)} {words.clock(one.coat.finished_s)}"
        row = f"{one.zone} {one.product} {one.coat.coat} {times}"
        assert f"{row} {one.coat.people} {one.coat.who} {one.coat.litres:.2f}" in text


def test_conditions_waits_and_films_stand_there_as_numbers(text: str, record: Record) -> None:
    words = Words(zone=ZoneInfo(record.boat.zone_name), system="metric")
    for one in record.coats:
        assert words.span(one.conditions.modelled_surface_c, "temperature") in text
        assert words.span(one.conditions.margin_k, "difference") in text
    for wait in record.waits:
        assert f"{words.time(wait.came_s)} {wait.waited_h:.1f} {words.time(wait.from_s)}" in text
    for film in record.films:
        assert film.estimate is not None
        assert f"{film.estimate.dry_um:.0f} ± {film.estimate.sd_um:.0f}" in text


def test_lots_deviations_photographs_and_years(text: str, record: Record) -> None:
    for product in record.products:
        for lot in product.lots:
            assert f"{lot.product} {lot.part} {lot.lot} {lot.best_before or 'not written down'}" in text
    for one in record.deviations:
        assert one.what.split(":")[0].split(",")[0] in text
        assert one.explained in text
    for photo in record.photos:
        assert photo.sha256[:16] in text
    assert text.count("washed only") == sum(one.kind == "wash" for one in record.history)
    for wear in record.wear:
        assert f"{wear.rate_um:.0f} ± {wear.rate_sd_um:.0f}" in text


def test_the_flat_hull_and_which_kit_went_where(text: str, record: Record) -> None:
    assert "not the place of the roller" in text
    for one in record.coats:
        assert f"{one.product}, coat {one.coat.coat}" in text
    thin = next(one for film in record.films for one in film.thin)
    for drawn in (
        f"{thin.film_um:.0f} thin",
        "starboard",
        "fin keel",
        "place not written down",
        "m aft of the fore end",
    ):
        assert drawn in text
    assert "[U+" not in text


def test_heic_is_told_not_shown(text: str) -> None:
    assert "HEIC, kept as the camera made it" in text


def test_sources_and_signatures(text: str) -> None:
    for wanted in ("SSPC-PA 2", "ISO 19840 (from memory", "ASTM D4414", "UFC 3-190-06", "Signed", "Inspected by"):
        assert wanted in text
    assert "INVENTED FOR DEMONSTRATION" in text


def test_it_says_that_it_is_pdf_a_and_tagged(pdf: bytes) -> None:
    assert b"<pdfaid:part>2</pdfaid:part>" in pdf
    assert b"<pdfaid:conformance>A</pdfaid:conformance>" in pdf
    assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf


def test_the_same_record_gives_the_same_bytes(pdf: bytes, finished: Running, record: Record) -> None:
    assert printed_pdf(finished.house, finished.job, record, system="metric") == pdf


def test_us_units(finished: Running, record: Record) -> None:
    text = words_of(printed_pdf(finished.house, finished.job, record, system="us"))
    for wanted in ("Area, ft²", "Air, °F", "Nominal, mil", "Volume, US gal", "37 ft 9 in"):
        assert wanted in text
    assert "Nominal, µm" not in text


def test_nobodys_words_become_markup(finished: Running, record: Record) -> None:
    nasty = '#panic("x") *b* _i_ $x$ @ref <label> `raw` \\ // \\u{1F600} #image("/etc/passwd") = h'
    notes = tuple(replace(note, text=nasty) for note in record.notes[:1])
    boat = replace(record.boat, name=nasty)
    wild = replace(record, notes=notes, boat=boat, papers={"#x": nasty})
    shape = shape_of(finished.house.desk.ashore(finished.job))
    paper = paper_of(wild, shape, tables=tables_of(finished.house, finished.job))
    text = words_of(record_pdf(paper, made=made_at(record), photos={}))
    assert '#panic("x") *b* _i_ $x$ @ref <label>' in text
    assert '#image("/etc/passwd") = h' in text


def test_signs_that_the_font_lacks_stand_by_their_number(finished: Running, record: Record) -> None:
    wild = replace(record, boat=replace(record.boat, name="Zoë Жук Ωμέγα 漢字 \U0001f6a2\x07"))
    shape = shape_of(finished.house.desk.ashore(finished.job))
    paper = paper_of(wild, shape, tables=())
    text = words_of(record_pdf(paper, made=made_at(record), photos={}))
    assert "Zoë Жук Ωμέγα [U+6F22][U+5B57] [U+1F6A2]" in text
    assert "漢" not in showable("漢")


@pytest.mark.parametrize(
    "wild", ["\ufeff", "\u202eright to left", "loose \u0301", "\u00ad\u200d\u2028", "\ue000\U0010ffff"]
)
def test_marks_without_ink_do_not_stop_the_paper(finished: Running, record: Record, wild: str) -> None:
    notes = (replace(record.notes[0], text=f"before {wild} after"),)
    shape = shape_of(finished.house.desk.ashore(finished.job))
    paper = paper_of(replace(record, notes=notes, photos=()), shape, tables=())
    assert re.search("before .*after", words_of(record_pdf(paper, made=made_at(record), photos={})))


def test_drawings_for_paper_carry_their_colours_and_no_variable() -> None:
    made = printable('<svg class="rec"><rect class="lane"/></svg>')
    assert made.startswith('<svg class="rec"><style>')
    assert "var(" not in made
    assert "#" in made
