"""Whatever is sent, in whatever parts and however often: each event once, in the order of first arrival."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from boottop.store.canonical import canonical, number, read
from boottop.store.open import open_store
from tests.store.made import NOW, event, numbered_id

EVENTS = {index: event(index, id=numbered_id(index)) for index in range(12)}
BATCHES = st.lists(st.lists(st.sampled_from(sorted(EVENTS)), max_size=8), max_size=12)


@settings(max_examples=25, deadline=None)
@given(BATCHES)
def test_any_split_and_any_repeat_gives_each_event_once(batches: list[list[int]]) -> None:
    arrived = list(dict.fromkeys(index for batch in batches for index in batch))
    with tempfile.TemporaryDirectory() as folder, open_store(Path(folder) / "job.db") as store:
        job = store.jobs.create("Gannet", now=NOW).id
        for batch in batches:
            appended = store.append(job, [EVENTS[index] for index in batch], now=NOW)
            assert appended.acknowledged == tuple(dict.fromkeys(EVENTS[index].id for index in batch))
            assert appended.refused == ()
        logged = store.events_after(job, 0)
        assert [entry.event for entry in logged] == [EVENTS[index] for index in arrived]
        assert [entry.seq for entry in logged] == list(range(1, len(arrived) + 1))
        assert store.verify_chain(job) == []


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text("abcé", max_size=3), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@given(JSON)
def test_the_one_text_reads_back_equal_and_stays_itself(value: object) -> None:
    text = canonical(value)
    back = read(text)
    assert back == value
    assert canonical(back) == text


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_read_back_to_the_last_bit(value: float) -> None:
    assert float(number(value)) == value
    assert math.copysign(1.0, float(number(value))) == math.copysign(1.0, value) or value == 0.0
