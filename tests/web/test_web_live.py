"""Live updates: everybody hears of an event within a second, and who was sent away hears nothing more."""

from __future__ import annotations

import json
import threading
import time
from queue import Empty, Queue

import httpx
import pytest

from boottop.web import live
from boottop.web.live import STREAMS_PER_SESSION
from tests.web.made_events import event
from tests.web.serving import Running

Heard = Queue[tuple[float, str, object]]


def _listen(phone: httpx.Client, path: str, heard: Heard) -> threading.Thread:
    def read() -> None:
        kind = ""
        try:
            with phone.stream("GET", path, timeout=30.0) as answer:
                for line in answer.iter_lines():
                    if line.startswith("event: "):
                        kind = line.removeprefix("event: ")
                    elif line.startswith("data: "):
                        heard.put((time.monotonic(), kind, json.loads(line.removeprefix("data: "))))
        except httpx.HTTPError:
            return

    thread = threading.Thread(target=read, daemon=True)
    thread.start()
    return thread


def _next(heard: Heard, kind: str) -> tuple[float, object]:
    until = time.monotonic() + 10.0
    while True:
        try:
            at, found, data = heard.get(timeout=max(0.01, until - time.monotonic()))
        except Empty:
            pytest.fail(f"no message {kind} within 10 s")
        if found == kind:
            return at, data


def test_an_event_reaches_every_phone_within_a_second(server: Running) -> None:
    path, heard = f"/api/jobs/{server.job}/live", [Heard() for _ in range(5)]
    for number, queue in enumerate(heard):
        _listen(server.paired("guest", f"phone {number}"), path, queue)
        assert _next(queue, "log")[1] == {"seq": 0}
    hand = server.paired("hand")
    for seq in (1, 2, 3):
        sent = time.monotonic()
        hand.post(f"/api/jobs/{server.job}/events", json={"events": [event()]}).raise_for_status()
        for queue in heard:
            at, data = _next(queue, "log")
            assert data == {"seq": seq}
            assert at - sent < 1.0
    assert server.house.hub.count(server.job) == 5


def test_a_repeat_wakes_nobody(server: Running) -> None:
    heard, one, hand = Heard(), event(), server.paired("hand")
    path = f"/api/jobs/{server.job}/events"
    hand.post(path, json={"events": [one]}).raise_for_status()
    _listen(server.paired("guest"), f"/api/jobs/{server.job}/live", heard)
    assert _next(heard, "log")[1] == {"seq": 1}
    hand.post(path, json={"events": [one]}).raise_for_status()
    hand.post(path, json={"events": [event()]}).raise_for_status()
    assert _next(heard, "log")[1] == {"seq": 2}


def test_a_revoked_session_s_stream_ends(server: Running, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "CHECK_S", 0.2)
    heard = Heard()
    thread = _listen(server.paired("guest"), f"/api/jobs/{server.job}/live", heard)
    _next(heard, "log")
    people, now = server.house.store.people, server.house.now()
    people.revoke(people.sessions(server.job, now=now)[0].id, now=now)
    _next(heard, "ended")
    thread.join(5.0)
    assert not thread.is_alive()


def test_one_browser_cannot_take_every_connection(server: Running) -> None:
    phone, path = server.paired("guest"), f"/api/jobs/{server.job}/live"
    queues = [Heard() for _ in range(STREAMS_PER_SESSION)]
    for queue in queues:
        _listen(phone, path, queue)
        _next(queue, "log")
    assert phone.get(path).status_code == 429


def test_planning_is_told(server: Running) -> None:
    heard = Heard()
    _listen(server.paired("guest"), f"/api/jobs/{server.job}/live", heard)
    _next(heard, "log")
    server.paired("skipper").post(f"/api/jobs/{server.job}/replan", json={}).raise_for_status()
    _, first = _next(heard, "board")
    assert isinstance(first, dict)
    assert first["state"] in ("computing", "failed")
