"""The door of the log: what is let in, what is not, and in which words."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from boottop.base.errors import InputError
from boottop.job.check import BOUNDS, event_problems, parse_time
from boottop.job.coding import EVENT_KEYS, event_dict, event_of, time_text
from boottop.job.events import EVENT_KINDS, Event, Json
from tests.job.logs import COPPER, MORNING, PORT, correction, ident, made

GOOD: list[Event] = [
    made(1, "hauled_out"),
    made(2, "wiped", PORT, cleaner="water and ammonia"),
    made(3, "batch_mixed", product=COPPER, litres=1.5, kit="K-7", lots={"A": "1", "B": "2"}, batch_c=-3.5),
    made(4, "batch_done", batch=ident(3), thrown_l=0.1),
    made(5, "coat_started", PORT, product=COPPER, coat=1, people=2),
    made(6, "coat_finished", PORT, product=COPPER, coat=1.0),
    made(7, "touch_test", PORT, product=COPPER, coat=1, verdict="past tacky"),
    made(8, "reading", air_c=12, humidity=0.8, surface_c=11.5, wet_film_um=150),
    made(9, "photo", sha256="0f" * 32, name="keel.jpg", bytes=81_234),
    correction(10, 5, coat=2, people=None),
    correction(11, 10, strike=True),
]


@pytest.mark.parametrize("event", GOOD, ids=lambda event: event.kind)
def test_what_is_fit_is_let_in(event: Event) -> None:
    assert event_problems(event) == []


BAD: list[tuple[Event, str, str]] = [
    (made(1, "dance"), "kind", "hauled_out, washed"),
    (made(1, "wiped"), "zone", "the name of a zone"),
    (made(1, "wiped", " "), "zone", "1 to 120 characters"),
    (made(1, "wiped", PORT, colour="red"), "data.colour", "cleaner"),
    (made(1, "batch_mixed", product=COPPER), "data.litres", "a number from 0 to 100"),
    (made(1, "batch_mixed", product=COPPER, litres=101.0), "data.litres", "a number from 0 to 100"),
    (made(1, "batch_mixed", product=COPPER, litres=True), "data.litres", "a number from 0 to 100"),
    (made(1, "batch_mixed", product=COPPER, litres=float("nan")), "data.litres", "a number from 0 to 100"),
    (made(1, "batch_mixed", product=COPPER, litres=1.0, lots={"A": ""}), "data.lots", "lot number by part"),
    (made(1, "coat_started", PORT, product=COPPER, coat=1.5), "data.coat", "a whole number from 1 to 20"),
    (made(1, "coat_started", PORT, product="", coat=1), "data.product", "text of 1 to 2000 characters"),
    (made(1, "touch_test", PORT, product=COPPER, coat=1, verdict="dry"), "data.verdict", "wet or tacky or past tacky"),
    (made(1, "reading", humidity=80), "data.humidity", "a number from 0 to 1"),
    (made(1, "reading", air_c=None), "data.air_c", "a number from -40 to 80"),
    (made(1, "batch_done", batch="the blue one"), "data.batch", "the id of an event"),
    (made(1, "photo", sha256="0F" * 32, name="a", bytes=1), "data.sha256", "64 hexadecimal digits in small letters"),
    (made(1, "note", text="x" * 2001), "data.text", "text of 1 to 2000 characters"),
    (correction(1, 1), "data.corrects", "the id of another event"),
    (correction(1, 2, happened="yesterday"), "data.happened", "a time such as"),
    (correction(1, 2, happened="1999-12-31T00:00:00Z"), "data.happened", "2000 to 2099"),
    (made(1, "correction", corrects=ident(2), strike=None), "data.strike", "yes or no"),
    (replace(made(1, "washed"), id="1"), "id", "a UUID in small letters"),
    (replace(made(1, "washed"), who="  "), "who", "1 to 120 characters"),
    (replace(made(1, "washed"), order=-1), "order", "0 or more"),
    (replace(made(1, "washed"), recorded=datetime(1999, 1, 1, tzinfo=UTC)), "recorded", "a time from 2000 to 2099"),
    (replace(made(1, "washed"), happened=MORNING + timedelta(hours=2)), "happened", "no later than it was recorded"),
    (replace(made(1, "washed"), happened=MORNING.replace(tzinfo=None)), "happened", "a time with its offset from UTC"),
]


@pytest.mark.parametrize(("event", "where", "allowed"), BAD, ids=lambda value: value if isinstance(value, str) else "")
def test_what_is_not_fit_is_told_by_field_limit_and_advice(event: Event, where: str, *, allowed: str) -> None:
    found = next(problem for problem in event_problems(event) if problem.where == where)
    assert allowed in found.allowed
    assert found.advice.endswith(".")


def test_all_that_is_wrong_is_told_at_once() -> None:
    event = replace(made(1, "touch_test", product="", coat=0, verdict="dry", extra=1), id="x", who="")
    assert {problem.where for problem in event_problems(event)} == {
        "id", "who", "zone", "data.product", "data.coat", "data.verdict", "data.extra",
    }  # fmt: skip


def test_every_number_of_every_kind_has_bounds() -> None:
    numbers = {
        name
        for kind in EVENT_KINDS.values()
        for name, word in kind.fields.items()
        if word.rstrip("?") in ("number", "count")
    }
    assert numbers == set(BOUNDS)


@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("2026-06-02T10:15:00Z", datetime(2026, 6, 2, 10, 15, tzinfo=UTC)),
        ("2026-06-02T10:15:00.123Z", datetime(2026, 6, 2, 10, 15, 0, 123_000, tzinfo=UTC)),
        ("2026-06-02T12:15:00+02:00", datetime(2026, 6, 2, 10, 15, tzinfo=UTC)),
        ("2026-06-02T10:15:00", None),
        ("2026-06-02 10:15:00Z", None),
        ("2026-02-30T10:15:00Z", None),
        ("0001-01-01T00:00:00+14:00", None),
    ],
)
def test_times_are_rfc_3339_with_their_offset(text: str, when: datetime | None) -> None:
    assert parse_time(text) == when


def test_an_event_as_json_is_cut_to_the_millisecond_and_comes_back() -> None:
    event = replace(made(1, "note", text="é"), recorded=MORNING + timedelta(minutes=1, microseconds=1_999))
    coded = event_dict(event)
    assert tuple(coded) == EVENT_KEYS
    assert coded["recorded"] == "2026-06-02T09:01:00.001Z"
    assert event_of(coded) == replace(event, recorded=MORNING + timedelta(minutes=1, milliseconds=1))
    zone = timezone(timedelta(hours=2))
    assert time_text(MORNING.astimezone(zone).astimezone(UTC)) == "2026-06-02T09:00:00.000Z"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"zone": 3}, "event.zone"),
        ({"order": "1"}, "a whole number"),
        ({"order": True}, "a whole number"),
        ({"data": []}, "an object"),
        ({"happened": 5}, "a time such as"),
        ({"extra": 1}, "a key that is not known"),
    ],
)
def test_json_of_another_shape_is_refused(change: dict[str, Json], words: str) -> None:
    with pytest.raises(InputError, match=words):
        event_of(event_dict(made(1, "washed")) | change)


def test_every_missing_key_is_told_at_once() -> None:
    with pytest.raises(InputError, match=r"event\.id") as caught:
        event_of({})
    assert len(caught.value.problems) == len(EVENT_KEYS)
