"""kill -9 of the server in the middle of a thousand appends of ten phones: what it acknowledged is there, once."""

from __future__ import annotations

import threading
from collections import Counter
from pathlib import Path
from typing import Any

import httpx
import pytest

from boottop.store.open import open_store
from tests.faults.served import Process, paired_store, serving
from tests.store.made import new_address
from tests.web.made_events import event

PHONES, EACH, KILLED_AFTER = 10, 100, 400


class Crew:
    """Phones that post one event after the other until the server is gone."""

    def __init__(self, server: Process, job: str, sessions: list[str]) -> None:
        self.queues = {name: [event(order=n, device=name) for n in range(EACH)] for name in sessions}
        self.acknowledged: list[str] = []
        self.unanswered: list[str] = []
        self._server, self._job = server, job
        self._enough, self._lock = threading.Event(), threading.Lock()

    def post(self) -> None:
        """All at once; the server is killed when so many were acknowledged and others are on their way."""
        threads = [threading.Thread(target=self._phone, args=(session,)) for session in self.queues]
        for thread in threads:
            thread.start()
        assert self._enough.wait(60.0), "the phones get on"
        self._server.process.kill()
        for thread in threads:
            thread.join(30.0)
            assert not thread.is_alive()

    def _phone(self, session: str) -> None:
        with self._server.phone(session) as phone:
            for one in self.queues[session]:
                try:
                    answer = phone.post(f"/api/jobs/{self._job}/events", json={"events": [one]})
                except httpx.TransportError:
                    self._took(self.unanswered, one)
                    return
                assert answer.status_code == 200, answer.text
                assert answer.json()["acknowledged"] == [one["id"]]
                self._took(self.acknowledged, one)

    def _took(self, into: list[str], one: dict[str, Any]) -> None:
        with self._lock:
            into.append(one["id"])
            if len(self.acknowledged) >= KILLED_AFTER:
                self._enough.set()


@pytest.mark.parametrize("engine", ["sqlite", "postgresql"])
def test_killed_in_the_middle_it_has_what_it_acknowledged_once(engine: str, tmp_path: Path) -> None:
    place, photos = new_address(engine, tmp_path), tmp_path / "photos"
    job, sessions = paired_store(place, phones=PHONES, photo_folder=photos)
    with serving(place) as server:
        crew = Crew(server, job, sessions)
        crew.post()
    assert KILLED_AFTER <= len(crew.acknowledged) < PHONES * EACH
    assert crew.unanswered, "it was killed while phones waited for an answer"
    with open_store(place, create=False, photo_folder=photos) as store:
        ids = [one.event.id for one in store.events_after(job, 0)]
        assert store.verify_chain(job) == []
    assert set(crew.acknowledged) <= set(ids) <= set(crew.acknowledged) | set(crew.unanswered)
    assert max(Counter(ids).values()) == 1
    with serving(place) as again:
        for session, queue in crew.queues.items():
            with again.phone(session) as phone:
                answer = phone.post(f"/api/jobs/{job}/events", json={"events": queue})
                assert answer.json()["acknowledged"] == [one["id"] for one in queue]
    with open_store(place, create=False, photo_folder=photos) as store:
        after = [one.event.id for one in store.events_after(job, 0)]
        assert store.verify_chain(job) == []
    assert after[: len(ids)] == ids
    assert Counter(after) == Counter(one["id"] for queue in crew.queues.values() for one in queue)
