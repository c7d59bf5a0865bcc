"""The record of the finished demonstration against its own log, sheet and plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from boottop.coating.mixing import card_for_litres
from boottop.record.deviations import open_ones
from boottop.record.record import Record, RecordInput, make_record
from boottop.web.record_desk import record_input
from tests.web.serving import Running


@pytest.fixture(scope="module")
def given(finished: Running) -> RecordInput:
    """What the record is made from."""
    return record_input(finished.house, finished.job)


def keys(record: Record) -> set[str]:
    """Kinds of deviation, without what they are of."""
    return {one.key.split("/")[0] for one in record.deviations}


def without(given: RecordInput, kind: str, *, zone: str | None = None, coat: int | None = None) -> RecordInput:
    """The input without events of a kind."""
    left = [
        one
        for one in given.events
        if not (one.kind == kind and (zone is None or one.zone == zone) and (coat is None or one.data["coat"] == coat))
    ]
    return replace(given, events=left)


def test_every_coat_of_the_sheet_is_in_the_record(record: Record) -> None:
    assert all(film.coats_done == film.coats for film in record.films)
    assert len(record.coats) == sum(film.coats for film in record.films)
    assert all(one.coat.started_s and one.coat.finished_s and one.coat.litres for one in record.coats)


def test_every_coat_has_conditions_read_and_worked_out(record: Record) -> None:
    for one in record.coats:
        seen = one.conditions
        assert seen.margin_k is not None
        assert seen.modelled_margin_k is not None
        assert seen.modelled_surface_c is not None
        assert abs(seen.margin_k.most - seen.modelled_margin_k.least) < 15.0


def test_what_was_done_wrong_on_purpose_is_found_and_nothing_else(record: Record) -> None:
    assert keys(record) == {"shelf-resin (A)", "margin-low", "ISO 19840", "lots", "clock"}
    assert open_ones(record.deviations)["unexplained"] == len(record.deviations) - 1
    assert record.deviations[0].weight == "serious"
    assert record.deviations[-1].weight == "minor"


def test_thin_places_are_those_that_were_made_thin(record: Record) -> None:
    thin = [one for film in record.films for one in film.thin]
    assert {(one.zone, one.area, one.spot) for one in thin} == {
        ("starboard side", "2", "4"),
        ("starboard side", "2", "5"),
    }
    assert all(0.6 < one.film_share < 0.8 for one in thin)


def test_the_best_estimate_lies_between_balance_and_gauge(record: Record) -> None:
    for film in record.films:
        read = film.dry_read or film.wet_read
        assert film.material is not None
        assert film.estimate is not None
        assert read is not None
        assert (
            min(film.material.dry_um, read.mean_um) <= film.estimate.dry_um <= max(film.material.dry_um, read.mean_um)
        )
        assert film.estimate.sd_um < min(film.material.dry_sd_um, read.sd_um)


def test_wet_film_of_the_log_is_an_interval_of_its_coat(record: Record) -> None:
    wet = [one for one in record.readings if one.layer == "wet"]
    assert len(wet) == 3 * len(record.coats)
    assert all(one.high_um > one.low_um and one.coat > 0 and one.product for one in wet)


def test_a_struck_note_is_not_in_the_record(record: Record) -> None:
    assert not any("Wrong boat" in note.text for note in record.notes)


def test_bare_spots_of_sheet_log_and_person(record: Record) -> None:
    assert {one.kind for one in record.bare} == {"blocks", "fitting", "slings"}
    assert {one.source for one in record.bare} >= {"sheet", "A. Example"}


@pytest.mark.parametrize(
    ("kind", "zone", "coat", "key"),
    [
        ("coat_finished", "port side", 4, "coats"),
        ("activated", "port side", None, "activated"),
        ("wiped", "port side", None, "wiped"),
        ("abraded", "starboard side", None, "abraded"),
        ("reading", "port side", None, "unread"),
    ],
)
def test_what_is_taken_out_of_the_log_is_missed(  # noqa: PLR0917 - the columns of the table above
    given: RecordInput, kind: str, zone: str, coat: int | None, key: str
) -> None:
    assert key in keys(make_record(without(given, kind, zone=zone, coat=coat)))


def test_a_coat_too_early_and_stands_too_early(given: RecordInput) -> None:
    early = []
    for one in without(given, "touch_test").events:
        if one.zone == "port side" and one.data.get("coat") == 2 and one.kind == "coat_started":
            first = next(e for e in given.events if e.kind == "coat_finished" and e.zone == "port side")
            one = replace(one, happened=first.happened)
        if one.kind == "stands_moved":
            last = max(e.happened for e in given.events if e.kind == "coat_finished" and e.zone == "starboard side")
            one = replace(one, happened=last)
        early.append(one)
    found = make_record(replace(given, events=early))
    assert {"wait-overcoat", "wait-stands"} <= keys(found)
    outcomes = {one.outcome for one in found.waits if one.what == "stands"}
    assert "early" in outcomes


def test_without_a_board_nothing_is_judged_and_nothing_fails(given: RecordInput) -> None:
    found = make_record(replace(given, tables=()))
    assert {one.outcome for one in found.waits} <= {"not judged", "in time"}
    assert all(one.conditions.modelled_margin_k is None for one in found.coats)


def test_an_empty_log_makes_a_record(given: RecordInput) -> None:
    found = make_record(replace(given, events=(), film=(), photos=(), history=()))
    assert found.coats == ()
    assert all(film.estimate is None for film in found.films)
    assert keys(found) == set()
    assert found.bare[0].kind == "blocks"


def test_the_same_log_in_any_order_gives_the_same_record(given: RecordInput, record: Record) -> None:
    turned = make_record(replace(given, events=list(reversed(given.events)), made_s=record.made_s))
    assert replace(turned, chain=record.chain) == record


def test_litres_of_the_pot_are_shared_where_coats_are_silent(given: RecordInput) -> None:
    silent = [
        replace(one, data={name: value for name, value in one.data.items() if name != "litres"})
        if one.kind == "coat_finished"
        else one
        for one in given.events
    ]
    found = make_record(replace(given, events=silent))
    assert all(film.material is not None and film.material.from_pot for film in found.films)
    mixed = {one.name: one.mixed_l - one.thrown_l for one in found.products}
    for product, litres in mixed.items():
        shared = sum(film.litres or 0.0 for film in found.films if film.product == product)
        assert shared == pytest.approx(litres)


def test_rain_on_a_coat_is_told(given: RecordInput) -> None:
    coat = next(one for one in given.events if one.kind == "coat_finished" and one.zone == "port side")
    rain = replace(coat, id=coat.id[:-1] + "f", kind="rain", zone=None, data={"what": "began"})
    early = replace(rain, happened=rain.happened - timedelta(minutes=10))
    assert "rained" in keys(make_record(replace(given, events=[*given.events, early])))


def test_a_job_that_is_not_launched_misses_no_coat_yet(given: RecordInput) -> None:
    begun = without(without(given, "launched"), "coat_finished", zone="port side", coat=4)
    assert "coats" not in keys(make_record(begun))


def test_a_coat_that_the_sheet_does_not_know_is_told_and_not_lost(given: RecordInput) -> None:
    coat = next(one for one in given.events if one.kind == "coat_finished")
    other = replace(coat, id=coat.id[:-1] + "e", data={**coat.data, "product": "left-over paint"})
    found = make_record(replace(given, events=[*given.events, other]))
    told = next(one for one in found.deviations if one.key.startswith("stranger"))
    assert "left-over paint" in told.what
    assert told.weight == "serious"


def test_pot_life_is_that_of_the_batch_card(given: RecordInput) -> None:
    record = make_record(given)
    sheets = {one.sheet.name: one.sheet for one in given.systems}
    for line in record.batches:
        sheet, batch = sheets[line.batch.product], line.batch
        assert batch.batch_c is not None
        card = card_for_litres(sheet, batch.litres, batch_c=batch.batch_c)
        assert line.pot_life_min == pytest.approx(60.0 * card.pot_life.hours)
