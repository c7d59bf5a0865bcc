"""What the log says: the state after each kind of entry, and what is told when entries do not fit together."""

from __future__ import annotations

import pytest

from boottop.job.events import Event, Json
from boottop.job.fold import fold
from boottop.job.settle import settle
from boottop.job.state import ODDITY_TEXT, Material, Rain, State, ZoneState
from tests.job.logs import COPPER, MORNING, PORT, UNDER, correction, ident, made, s

COAT: dict[str, Json] = {"product": COPPER, "coat": 1}
NOON = s(MORNING)


def _port(state: State) -> ZoneState:
    found = state.zone(PORT)
    assert found is not None
    return found


def test_an_empty_log() -> None:
    state = fold([])
    assert (state.zones, state.batches, state.oddities, state.events, state.latest_s) == ((), (), (), 0, None)
    assert state.zone(PORT) is None


def test_the_boat_and_its_stands() -> None:
    state = fold([made(1, "hauled_out"), made(2, "washed"), made(3, "stands_moved", stand_set=2), made(4, "launched")])
    assert (state.hauled_s, state.washed_s, state.launched_s) == (NOON + 60, NOON + 120, NOON + 240)
    assert [(one.stand_set, one.at_s) for one in state.stands] == [(2, NOON + 180)]


def test_a_coat_from_start_to_touch() -> None:
    state = fold([
        made(1, "coat_started", PORT, **COAT, people=2),
        made(2, "coat_started", PORT, **COAT),
        made(30, "coat_finished", PORT, **COAT, litres=1.5),
        made(32, "coat_finished", PORT, **COAT),
        made(60, "touch_test", PORT, **COAT, verdict="wet"),
        made(90, "touch_test", PORT, **COAT, verdict="tacky"),
    ])  # fmt: skip
    (coat,) = _port(state).coats
    assert (coat.started_s, coat.finished_s) == (NOON + 60, NOON + 32 * 60), "the film is as young as it may be"
    assert (coat.people, coat.litres) == (2, 1.5), "what was not said again stands"
    assert [(touch.at_s - NOON, touch.verdict) for touch in coat.touch] == [(3600, "wet"), (5400, "tacky")]
    assert [odd.kind for odd in state.oddities] == ["coat_twice"]


def test_stripping_takes_the_coats_off_and_undoes_what_was_prepared() -> None:
    state = fold([
        made(1, "abraded", PORT),
        made(2, "wiped", PORT),
        made(3, "coat_finished", PORT, **COAT),
        made(4, "stripped", PORT),
        made(5, "masked", PORT),
    ])  # fmt: skip
    port = _port(state)
    assert (port.stripped_s, port.abraded_s, port.wiped_s, port.masked_s) == (NOON + 240, None, None, NOON + 300)
    assert (port.coats, port.taken_off) == ((), 1)


def test_a_pot_that_is_written_down_as_used_before_it_is_as_mixed() -> None:
    """The phone of the one who mixed was out of reach: the entries came in the other order."""
    mixed = made(5, "batch_mixed", product=COPPER, litres=2.0, kit="K-7", lots={"A": "1"}, batch_c=18)
    used = made(25, "batch_done", batch=mixed.id, thrown_l=0.25)
    state = fold([used, mixed])
    (batch,) = state.batches
    assert (batch.mixed_s, batch.done_s, batch.thrown_l, batch.batch_c) == (NOON + 300, NOON + 1500, 0.25, 18.0)
    assert state.materials == (Material(product=COPPER, mixed_l=2.0, thrown_l=0.25),)
    assert state.oddities == ()


def test_rain_that_ended_and_rain_that_goes_on() -> None:
    began, ended = made(1, "rain", what="began"), made(9, "rain", what="ended")
    assert fold([began]).raining
    state = fold([began, ended, made(20, "rain", what="began")])
    assert state.rain == (Rain(began_s=NOON + 60, ended_s=NOON + 540), Rain(began_s=NOON + 1200, ended_s=None))


def test_readings_notes_and_photographs() -> None:
    state = fold([
        made(1, "reading", PORT, surface_c=14),
        made(2, "reading", air_c=16.5, humidity=0.6),
        made(3, "note", text="drip under the log"),
        made(4, "photo", PORT, sha256="0f" * 32, name="a.jpg", bytes=9),
    ])  # fmt: skip
    assert [(one.zone, one.surface_c, one.air_c) for one in state.readings] == [(PORT, 14.0, None), (None, None, 16.5)]
    assert [(note.who, note.text) for note in state.notes] == [("Ana", "drip under the log")]
    assert state.photos == 1


ODD: dict[str, list[Event]] = {
    "same_id": [made(1, "washed"), made(1, "hauled_out")],
    "correction_lost": [correction(1, 99, strike=True)],
    "coat_without_start": [made(1, "coat_finished", PORT, **COAT)],
    "coat_before_start": [made(1, "coat_finished", PORT, **COAT), made(2, "coat_started", PORT, **COAT)],
    "coat_twice": [made(1, "coat_started", PORT, **COAT), made(2, "coat_finished", PORT, **COAT),
                   made(3, "coat_finished", PORT, **COAT)],
    "coat_out_of_order": [made(1, "coat_finished", PORT, product=COPPER, coat=2)],
    "coat_on_coat": [made(1, "coat_started", PORT, **COAT), made(2, "coat_started", PORT, product=COPPER, coat=2)],
    "touch_without_coat": [made(1, "touch_test", PORT, **COAT, verdict="wet")],
    "batch_lost": [made(1, "batch_done", batch=ident(99))],
    "batch_done_twice": [made(1, "batch_mixed", product=COPPER, litres=1.0), made(2, "batch_done", batch=ident(1)),
                         made(3, "batch_done", batch=ident(1))],
    "batch_before_mixed": [made(2, "batch_mixed", product=COPPER, litres=1.0), made(1, "batch_done", batch=ident(2))],
    "thrown_more": [made(1, "batch_mixed", product=COPPER, litres=1.0),
                    made(2, "batch_done", batch=ident(1), thrown_l=1.5)],
    "rain_ended_alone": [made(1, "rain", what="ended")],
    "rain_began_twice": [made(1, "rain", what="began"), made(2, "rain", what="began")],
    "coat_after_launch": [made(1, "launched"), made(2, "coat_finished", PORT, **COAT)],
    "field_lost": [made(1, "coat_started", PORT, **COAT), correction(2, 1, product=None)],
}  # fmt: skip


def test_every_oddity_has_a_case() -> None:
    assert set(ODD) == set(ODDITY_TEXT)


@pytest.mark.parametrize("kind", ODD)
def test_what_does_not_fit_is_told_and_stops_nothing(kind: str) -> None:
    events = [*ODD[kind], made(500, "note", text="goes on")]
    state = fold(events)
    assert kind in {oddity.kind for oddity in state.oddities}
    assert state == fold(reversed(events))
    assert len(state.notes) == 1


def test_a_correction_moves_a_coat_to_another_zone_product_and_time() -> None:
    wrong = made(10, "coat_finished", PORT, product=COPPER, coat=1, litres=1.5)
    right = correction(20, wrong, zone="running gear", product=UNDER, litres=None, happened="2026-06-02T08:55:00Z")
    state = fold([wrong, right])
    assert state.zone(PORT) is None
    gear = state.zone("running gear")
    assert gear is not None
    (coat,) = gear.coats
    assert (coat.product, coat.litres, coat.finished_s) == (UNDER, None, NOON - 300)


def test_a_correction_that_comes_before_what_it_corrects_waits_for_it() -> None:
    wrong = made(10, "coat_finished", PORT, **COAT, litres=1.5)
    early = correction(20, wrong, litres=2.5)
    assert [odd.kind for odd in fold([early]).oddities] == ["correction_lost"]
    (coat,) = _port(fold([early, wrong])).coats
    assert coat.litres == 2.5


def test_the_trail_of_a_correction_of_a_correction() -> None:
    wrong = made(10, "coat_finished", PORT, **COAT, litres=1.5)
    first, second = correction(20, wrong, litres=15.0), correction(21, 20, litres=2.5)
    settled = settle([second, first, wrong])
    assert settled.corrected_by == {wrong.id: first.id, first.id: second.id}
    assert [event.data["litres"] for event in settled.events] == [2.5]
    undone = settle([second, first, wrong, correction(22, 20, strike=True)])
    assert [event.data["litres"] for event in undone.events] == [1.5], "the strike of the first holds: it came last"
