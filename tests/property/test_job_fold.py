"""The fold of the log: the same for every order, copy and device; corrections are as if it had been written right."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import accumulate

from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.job.check import event_problems
from boottop.job.coding import event_dict, event_of
from boottop.job.events import Event
from boottop.job.fold import fold
from boottop.job.settle import settle
from tests.job.logs import correction, ident, logs, made, one_event

LAST = 900


@settings(deadline=None)
@given(logs())
def test_the_logs_are_such_as_the_door_lets_in_and_survive_the_journey(events: list[Event]) -> None:
    assert [problem for event in events for problem in event_problems(event)] == []
    assert [event_of(event_dict(event)) for event in events] == events


@settings(deadline=None)
@given(logs(), st.randoms(use_true_random=False), st.data())
def test_any_order_and_any_repeats_give_the_same_state(
    events: list[Event], random: object, data: st.DataObject
) -> None:
    again = data.draw(st.lists(st.sampled_from(events), max_size=8)) if events else []
    shuffled = data.draw(st.permutations([*events, *again]))
    assert fold(shuffled) == fold(events)
    assert settle(shuffled) == settle(events)


@settings(deadline=None)
@given(logs(), st.data())
def test_two_phones_whose_entries_come_interleaved_give_the_same_state(
    events: list[Event], data: st.DataObject
) -> None:
    one, other = ([event for event in events if event.device == name] for name in ("phone-1", "phone-2"))
    turns = data.draw(st.permutations(["one"] * len(one) + ["other"] * len(other)))
    queues = {"one": iter(one), "other": iter(other)}
    assert fold([next(queues[turn]) for turn in turns]) == fold([*one, *other])


@settings(deadline=None)
@given(logs(), st.data())
def test_entries_that_come_in_parts_end_in_the_state_of_the_whole(events: list[Event], data: st.DataObject) -> None:
    """A board that folds after every batch ends where one that folds once does: nothing is remembered on the way."""
    cuts = sorted(data.draw(st.lists(st.integers(0, len(events)), max_size=4)))
    parts = [events[start:end] for start, end in zip([0, *cuts], [*cuts, len(events)], strict=True)]
    states = [fold(known) for known in accumulate(parts, lambda known, part: [*known, *part])]
    assert states[-1] == fold(events)


@settings(deadline=None)
@given(logs(), st.tuples(one_event(LAST), one_event(LAST)), st.data())
def test_two_contents_of_one_id_give_the_same_state_in_any_order(
    events: list[Event], both: tuple[Event, Event], data: st.DataObject
) -> None:
    (first, second), clash = both, [*events, *both]
    assert fold(data.draw(st.permutations(clash))) == fold(clash)
    assert (first == second) == (not settle(clash).doubled)


@settings(deadline=None)
@given(logs())
def test_every_entry_counts_is_struck_or_is_a_correction(events: list[Event]) -> None:
    state, settled = fold(events), settle(events)
    corrections = sum(event.kind == "correction" for event in events)
    assert state.events + state.struck + corrections == len(events)
    known = {event.id for event in events}
    assert {oddity.event for oddity in state.oddities} <= known
    assert set(settled.corrected_by.values()) <= known
    in_time = [(event.happened, event.recorded, event.id) for event in settled.events]
    assert in_time == sorted(in_time)


@settings(deadline=None)
@given(logs(), one_event(LAST, of="coat_finished"), st.tuples(st.integers(0, 3600), st.floats(0.5, 5.0)))
def test_a_correction_is_as_if_it_had_been_written_right(
    events: list[Event], coat: Event, values: tuple[int, float]
) -> None:
    earlier_s, litres = values
    happened = coat.happened - timedelta(seconds=earlier_s)
    text = happened.isoformat().replace("+00:00", "Z")
    put_right = correction(LAST + 1, coat, happened=text, litres=litres, coat=2)
    right = replace(coat, happened=happened, data={**coat.data, "litres": litres, "coat": 2})
    assert fold([*events, coat, put_right]) == fold([*events, right])


@settings(deadline=None)
@given(logs(), one_event(LAST, of="touch_test"))
def test_a_struck_entry_is_as_if_it_had_never_been_written(events: list[Event], touch: Event) -> None:
    struck = fold([*events, touch, correction(LAST + 1, touch, strike=True)])
    assert struck == replace(fold(events), struck=fold(events).struck + 1)


@settings(deadline=None)
@given(logs(), one_event(LAST, of="coat_started"))
def test_striking_the_strike_brings_the_entry_back(events: list[Event], coat: Event) -> None:
    strike = correction(LAST + 1, coat, strike=True)
    undone = correction(LAST + 2, strike, strike=True)
    redone = correction(LAST + 3, undone, strike=True)
    assert fold([*events, coat, strike, undone]) == fold([*events, coat])
    assert fold([*events, coat, strike, undone, redone]) == fold([*events, coat, strike])


@settings(deadline=None)
@given(logs(), one_event(LAST, of="coat_finished"), st.tuples(st.floats(0.5, 5.0), st.floats(0.5, 5.0)))
def test_a_correction_of_a_correction_changes_what_that_one_carries(
    events: list[Event], coat: Event, litres: tuple[float, float]
) -> None:
    wrong, right = litres
    first = correction(LAST + 1, coat, litres=wrong)
    second = correction(LAST + 2, first, litres=right)
    assert fold([*events, coat, first, second]) == fold([*events, replace(coat, data={**coat.data, "litres": right})])


@settings(deadline=None)
@given(logs(), one_event(LAST, of="coat_finished"), st.permutations([1.25, 2.5, 3.75]))
def test_of_several_corrections_the_one_written_last_holds(
    events: list[Event], coat: Event, litres: list[float]
) -> None:
    several = [correction(LAST + 1 + place, coat, litres=value) for place, value in enumerate(litres)]
    right = replace(coat, data={**coat.data, "litres": litres[-1]})
    assert fold([*several, *events, coat]) == fold([*events, right])


@settings(deadline=None)
@given(logs())
def test_corrections_that_run_in_a_ring_change_nothing_and_are_told(events: list[Event]) -> None:
    ring = [correction(LAST, LAST + 1, strike=True), correction(LAST + 1, LAST)]
    plain, ringed = fold(events), fold([*events, *ring])
    lost = {oddity.event for oddity in ringed.oddities} - {oddity.event for oddity in plain.oddities}
    assert lost == {ident(LAST), ident(LAST + 1)}
    assert replace(ringed, oddities=()) == replace(plain, oddities=())


@settings(deadline=None)
@given(logs())
def test_a_note_changes_nothing_but_the_notes(events: list[Event]) -> None:
    before, after = fold(events), fold([*events, made(LAST, "note", text="invented")])
    assert len(after.notes) == len(before.notes) + 1
    assert replace(after, notes=before.notes, events=before.events, latest_s=before.latest_s) == before


@settings(max_examples=30, deadline=None)
@given(logs(most=40))
def test_material_adds_up(events: list[Event]) -> None:
    state = fold(events)
    for material in state.materials:
        batches = [batch for batch in state.batches if batch.product == material.product]
        assert abs(sum(batch.litres for batch in batches) - material.mixed_l) < 1e-9
        assert abs(sum(batch.thrown_l for batch in batches) - material.thrown_l) < 1e-9
        assert material.thrown_l >= 0.0
