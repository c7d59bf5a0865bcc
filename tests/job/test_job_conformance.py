"""The board's rule: the conformance file is up to date, and the order in which events arrive changes nothing."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from random import Random
from uuid import UUID

import pytest

from boottop.job.check import event_problems
from boottop.job.conformance import conformance
from boottop.job.events import Event, Json
from boottop.job.fold import fold
from tests.job.make_conformance import FILE, text_of

START = datetime(2026, 5, 4, 8, tzinfo=UTC)
PRODUCT = "Demo copper epoxy A"


def event(number: int, kind: str, *, zone: str | None = None, **data: Json) -> Event:
    when = START + timedelta(minutes=10 * number)
    made = str(UUID(int=number + 1, version=4))
    return Event(
        id=made, kind=kind, happened=when, recorded=when, device="phone", order=number, who="Ana", zone=zone, data=data
    )


def day() -> list[Event]:
    port = "port side"
    return [
        event(0, "wiped", zone=port),
        event(1, "batch_mixed", product=PRODUCT, litres=2.5, batch_c=18.0),
        event(2, "coat_started", zone=port, product=PRODUCT, coat=1, people=2),
        event(3, "coat_finished", zone=port, product=PRODUCT, coat=1, litres=2.1),
        event(9, "touch_test", zone=port, product=PRODUCT, coat=1, verdict="tacky"),
        event(10, "coat_started", zone=port, product=PRODUCT, coat=2),
        event(11, "rain", what="began"),
    ]


def test_the_conformance_file_is_up_to_date() -> None:
    assert FILE.read_text(encoding="utf-8") == text_of(conformance())
    assert len(json.loads(FILE.read_text(encoding="utf-8"))["cases"]) >= 20


@pytest.mark.parametrize("seed", range(20))
def test_late_doubled_and_out_of_order_is_the_same_state(seed: int) -> None:
    events = day()
    shuffled = events + events[seed % len(events) :]
    Random(seed).shuffle(shuffled)
    assert fold(shuffled) == fold(events)


def test_the_day_as_it_was() -> None:
    state = fold(day())
    port = state.zone("port side")
    assert port is not None
    assert [(coat.coat, coat.finished_s is not None) for coat in port.coats] == [(1, True), (2, False)]
    assert state.raining


def test_a_correction_strikes_the_coat_it_names() -> None:
    struck = event(20, "correction", corrects=day()[5].id, strike="yes")
    port = fold([*day(), struck]).zone("port side")
    assert port is not None
    assert [coat.coat for coat in port.coats] == [1]


def test_events_that_make_no_sense_are_told() -> None:
    assert not [problem for one in day() for problem in event_problems(one)]
    assert event_problems(event(1, "no_such_kind"))
    assert event_problems(event(1, "coat_started", product=PRODUCT, coat=1)), "a coat belongs to a zone"
    assert event_problems(event(1, "batch_mixed", product=PRODUCT, litres=-3.0))
