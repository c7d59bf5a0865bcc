"""The log: once each, in order of arrival, never changed, whatever two devices send."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from boottop.base.errors import InputError
from boottop.store.store import Store
from tests.store.made import NOW, event, events


def test_events_come_back_as_they_went_in(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    sent = events(3)
    appended = store.append(job.id, sent, now=NOW)
    logged = store.events_after(job.id, 0)
    assert appended.acknowledged == tuple(one.id for one in sent)
    assert (appended.added, appended.first_seq, appended.last_seq, appended.refused) == (3, 1, 3, ())
    assert [entry.event for entry in logged] == sent
    assert [entry.seq for entry in logged] == [1, 2, 3]
    assert {entry.received for entry in logged} == {NOW}
    assert store.event_count(job.id) == 3


def test_events_after_a_place(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    store.append(job.id, events(5), now=NOW)
    assert [entry.seq for entry in store.events_after(job.id, 3)] == [4, 5]
    assert [entry.seq for entry in store.events_after(job.id, 1, limit=2)] == [2, 3]


def test_a_repeat_is_acknowledged_and_not_added(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    sent = events(3)
    store.append(job.id, sent[:2], now=NOW)
    again = store.append(job.id, [sent[0], sent[2], sent[2]], now=NOW + timedelta(hours=1))
    assert again.acknowledged == (sent[0].id, sent[2].id)
    assert (again.added, again.first_seq, again.last_seq) == (1, 3, 3)
    assert [entry.event for entry in store.events_after(job.id, 0)] == sent
    only_repeats = store.append(job.id, sent, now=NOW)
    assert (only_repeats.added, only_repeats.first_seq, only_repeats.last_seq) == (0, None, None)


def test_the_same_number_written_another_way_is_a_repeat(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    first = event(data={"litres": 2.0, "air_c": 12})
    store.append(job.id, [first], now=NOW)
    again = store.append(job.id, [replace(first, data={"air_c": 12.0, "litres": 2})], now=NOW)
    assert (again.acknowledged, again.added, again.refused) == ((first.id,), 0, ())


def test_same_id_with_other_content_is_listed_and_the_rest_goes_in(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    first, other = event(1), event(2)
    store.append(job.id, [first], now=NOW)
    mixed = store.append(job.id, [replace(first, zone="keel"), other], now=NOW)
    assert mixed.acknowledged == (other.id,)
    assert [(refusal.id, refusal.conflict) for refusal in mixed.refused] == [(first.id, True)]
    assert [entry.event for entry in store.events_after(job.id, 0)] == [first, other]
    with pytest.raises(InputError, match="another event with the same id"):
        mixed.check()


def test_an_id_of_another_job_is_a_conflict(store: Store) -> None:
    one, two = store.jobs.create("Gannet", now=NOW), store.jobs.create("Tern", now=NOW)
    sent = event()
    store.append(one.id, [sent], now=NOW)
    assert store.append(two.id, [sent], now=NOW).refused[0].conflict
    assert store.event_count(two.id) == 0


BAD: dict[str, tuple[dict[str, Any], str]] = {
    "naive happened": ({"happened": datetime(2026, 4, 18, 10)}, "happened .* without its offset"),  # noqa: DTZ001
    "naive recorded": ({"recorded": datetime(2026, 4, 18, 10)}, "recorded .* without its offset"),  # noqa: DTZ001
    "no uuid": ({"id": "1"}, "no UUID"),
    "capital uuid": ({"id": "A" * 8 + "-AAAA-4AAA-8AAA-" + "A" * 12}, "no UUID"),
    "not a number": ({"data": {"litres": float("nan")}}, "no number"),
    "half a character": ({"data": {"text": "\ud83d"}}, "half a character"),
    "null character": ({"who": "A\0na"}, "null character"),
    "too long": ({"data": {"text": "x" * 70_000}}, "more than 65536"),
    "long device": ({"device": "x" * 201}, "more than 200"),
    "negative order": ({"order": -1}, "order -1"),
    "before the year 1": ({"happened": datetime.min.replace(tzinfo=timezone(timedelta(hours=1)))}, "out of range"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_kept_is_listed_and_the_rest_goes_in(store: Store, name: str) -> None:
    changes, words = BAD[name]
    job = store.jobs.create("Gannet 2026", now=NOW)
    good = event(2)
    mixed = store.append(job.id, [event(1, **changes), good], now=NOW)
    assert mixed.acknowledged == (good.id,)
    assert [refusal.conflict for refusal in mixed.refused] == [False]
    with pytest.raises(InputError, match=words):
        mixed.check()


def test_naive_receipt_and_unknown_job_are_refused(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    with pytest.raises(InputError, match="without its offset from UTC"):
        store.append(job.id, events(1), now=datetime(2026, 4, 18))  # noqa: DTZ001
    with pytest.raises(InputError, match="no such job"):
        store.append("none", events(1), now=NOW)
    with pytest.raises(InputError, match="no such job"):
        store.event_count("none")
    assert store.events_after("none", 0) == []


@pytest.mark.parametrize("statement", ["UPDATE events SET who = 'Eve'", "DELETE FROM events"])
def test_the_database_itself_refuses_to_change_the_log(store: Store, statement: str) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    store.append(job.id, events(2), now=NOW)
    with pytest.raises(DBAPIError, match="a correction is a new event"), store.database.write() as connection:
        connection.execute(text(statement))
    assert store.event_count(job.id) == 2


def test_replacing_or_emptying_the_log_is_refused_too(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    store.append(job.id, events(2), now=NOW)
    sqlite = store.database.path is not None
    statement = "INSERT OR REPLACE INTO events SELECT * FROM events" if sqlite else "TRUNCATE events"
    with pytest.raises(DBAPIError, match="a correction is a new event"), store.database.write() as connection:
        connection.execute(text(statement))


def test_many_more_events_than_one_statement_takes(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    sent = events(1_201)
    assert store.append(job.id, sent, now=NOW).added == 1_201
    assert store.append(job.id, sent, now=NOW).added == 0
    assert store.verify_chain(job.id) == []


def test_twenty_threads_with_the_same_and_with_own_events(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    shared = events(5)
    faults: list[Exception] = []

    def post(device: str) -> None:
        try:
            for own in events(10, device=device):
                store.append(job.id, [own, *shared], now=NOW).check()
        except Exception as error:
            faults.append(error)

    threads = [threading.Thread(target=post, args=(f"phone-{number}",)) for number in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    logged = store.events_after(job.id, 0)
    assert not faults
    assert [entry.seq for entry in logged] == list(range(1, 206))
    assert len({entry.event.id for entry in logged}) == 205
    for number in range(20):
        orders = [entry.event.order for entry in logged if entry.event.device == f"phone-{number}"]
        assert orders == list(range(1, 11))
    assert store.verify_chain(job.id) == []


def test_one_unknown_job_fails_nobody_else(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    failed: list[str] = []

    def post(target: str) -> None:
        try:
            for own in events(10):
                store.append(target, [own], now=NOW)
        except InputError as error:
            failed.append(str(error))

    threads = [threading.Thread(target=post, args=(target,)) for target in (job.id, "none", job.id, "none", job.id)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(failed) == 2
    assert store.event_count(job.id) == 30


def test_an_event_made_unreadable_is_an_error_in_words(file_store: Store) -> None:
    job = file_store.jobs.create("Gannet 2026", now=NOW)
    file_store.append(job.id, events(2), now=NOW)
    with file_store.database.write() as connection:
        connection.execute(text("DROP TRIGGER events_no_update"))
        connection.execute(text("UPDATE events SET data = '{\"litres\":' WHERE seq = 2"))
    with pytest.raises(InputError, match="an event that cannot be read"):
        file_store.events_after(job.id, 0)
