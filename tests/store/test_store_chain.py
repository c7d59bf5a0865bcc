"""Faults of a log are found and told apart: changed, missing, in another order."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence

import pytest

from boottop.base.errors import InputError
from boottop.store.entry import FIRST_LINK
from boottop.store.store import Store
from tests.store.made import NOW, event, events


@pytest.fixture
def job(store: Store) -> str:
    """A job with eight events."""
    made = store.jobs.create("Gannet 2026", now=NOW)
    store.append(made.id, events(8), now=NOW)
    return made.id


def tamper(store: Store, statements: Sequence[str]) -> None:
    """Change the log the way someone with the database's own tools would."""
    sqlite = store.database.path is not None
    unlock = (
        ["DROP TRIGGER events_no_update", "DROP TRIGGER events_no_delete"]
        if sqlite
        else ["ALTER TABLE events DISABLE TRIGGER USER"]
    )
    with store.database.write() as connection:
        for statement in [*unlock, *statements]:
            connection.exec_driver_sql(statement)


def test_the_link_is_the_hash_that_the_decision_record_describes(store: Store) -> None:
    job = store.jobs.create("Gannet 2026", now=NOW)
    sent = event(1, zone=None, data={"text": 'über "Nacht"', "litres": 2.0})
    store.append(job.id, [sent], now=NOW)
    plain = {
        "event": {
            "id": sent.id, "kind": sent.kind, "device": sent.device, "order": 1, "who": "Ana", "zone": None,
            "happened": "2026-04-18T09:31:15.123456Z", "recorded": "2026-04-18T09:33:15.123456Z",
            "data": {"text": "über \"Nacht\"", "litres": 2},
        },
        "job": job.id,
        "received": "2026-04-18T09:30:15.123456Z",
    }  # fmt: skip
    written = json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert store.events_after(job.id, 0)[0].chain == hashlib.sha256((FIRST_LINK + written).encode()).hexdigest()


def test_a_whole_log_has_no_faults(store: Store, job: str) -> None:
    assert store.verify_chain(job) == []
    assert store.verify_chain(store.jobs.create("Tern", now=NOW).id) == []
    with pytest.raises(InputError, match="no such job"):
        store.verify_chain("none")


@pytest.mark.parametrize(
    "change",
    [
        "data = '{\"litres\"\\:9}'", "who = 'Eve'", "zone = NULL", "happened = '2026-04-18T09:00:00.000000Z'",
        "happened = 'noon'", "received = '2026-04-19T00:00:00.000000Z'", "device_order = 77",
    ],
)  # fmt: skip
def test_a_changed_event_is_named_and_only_that_one(store: Store, job: str, change: str) -> None:
    tamper(store, [f"UPDATE events SET {change} WHERE seq = 5"])
    faults = store.verify_chain(job)
    assert len(faults) == 1
    assert faults[0].startswith("event 5 (coat_finished, ")
    assert faults[0].endswith("was changed after it was logged")


def test_a_changed_hash_breaks_that_event_and_the_next(store: Store, job: str) -> None:
    tamper(store, ["UPDATE events SET chain = 'no hash' WHERE seq = 4"])
    assert [fault.split(" (")[0] for fault in store.verify_chain(job)] == ["event 4", "event 5"]


def test_missing_events_are_named(store: Store, job: str) -> None:
    tamper(store, ["DELETE FROM events WHERE seq IN (1, 4, 5)"])
    assert store.verify_chain(job) == ["event 1 is missing", "events 4 to 5 are missing"]


def test_a_missing_tail_is_noticed(store: Store, job: str) -> None:
    tamper(store, ["DELETE FROM events WHERE seq > 6"])
    assert store.verify_chain(job) == ["events 7 to 8 are missing"]


def test_an_emptied_log_is_noticed(store: Store, job: str) -> None:
    tamper(store, ["DELETE FROM events"])
    assert store.verify_chain(job) == ["events 1 to 8 are missing"]


def test_missing_and_renumbered_is_another_order(store: Store, job: str) -> None:
    closing = [f"UPDATE events SET seq = {seq - 1} WHERE seq = {seq}" for seq in (5, 6, 7, 8)]
    tamper(store, ["DELETE FROM events WHERE seq = 4", *closing])
    faults = store.verify_chain(job)
    assert faults[0].startswith("event 4 (coat_finished, ")
    assert faults[1:] == ["event 8 is missing"]


def test_two_events_that_changed_places_are_named(store: Store, job: str) -> None:
    tamper(store, [f"UPDATE events SET seq = {new} WHERE seq = {old}" for old, new in ((3, 99), (4, 3), (99, 4))])
    faults = store.verify_chain(job)
    assert [fault.split(" (")[0] for fault in faults] == ["event 3", "event 4", "event 5"]
    assert faults[0].endswith("stands after event 2 but was logged after event 4: the order was changed")
    assert faults[1].endswith("stands after event 3 but was logged after event 2: the order was changed")


def test_a_foreign_event_at_the_end_is_noticed(store: Store, job: str) -> None:
    tamper(store, [f"UPDATE jobs SET events = 7 WHERE id = '{job}'"])
    assert store.verify_chain(job) == ["1 events stand after the end of the log at 7"]


def test_a_foreign_end_is_noticed(store: Store, job: str) -> None:
    tamper(store, [f"UPDATE jobs SET head = '{FIRST_LINK}' WHERE id = '{job}'"])
    assert store.verify_chain(job) == ["the hash of the last event is not the one that the job keeps"]
