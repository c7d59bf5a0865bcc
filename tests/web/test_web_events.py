"""The log over the interface: once each, answered one by one, whatever comes in."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import httpx
import pytest

from boottop.base.errors import InputError, Problem
from tests.web.made_events import event
from tests.web.serving import Running

JPEG = b"\xff\xd8\xff\xe0" + b"invented" * 50


def _post(server: Running, phone: httpx.Client, *events: Any) -> Any:
    answer = phone.post(f"/api/jobs/{server.job}/events", json={"events": list(events)})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_same_batch_again_changes_nothing(server: Running) -> None:
    phone, events = server.paired("hand"), [event(order=n) for n in range(5)]
    first, again = _post(server, phone, *events), _post(server, phone, *events)
    assert first["acknowledged"] == again["acknowledged"] == [one["id"] for one in events]
    assert first["seq"] == again["seq"] == 5
    found = phone.get(f"/api/jobs/{server.job}/events").json()
    assert [one["event"] for one in found["events"]] == events
    assert [one["seq"] for one in found["events"]] == [1, 2, 3, 4, 5]


def test_two_tabs_that_send_at_once_write_once(server: Running) -> None:
    phone, events = server.paired("hand"), [event(order=n) for n in range(40)]
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda _: _post(server, phone, *events), range(4)))
    assert all(answer["acknowledged"] == [one["id"] for one in events] for answer in answers)
    assert server.house.store.event_count(server.job) == 40
    assert server.house.store.verify_chain(server.job) == []


def test_a_bad_event_does_not_hold_up_those_behind_it(server: Running) -> None:
    good = [event(), event()]
    bad: list[Any] = [
        event(kind="dance"),
        event(kind="reading", data={"air_c": 400.0}),
        {"id": "x"},
        "no event",
        event(extra=1),
        event(id="NOT-A-UUID"),
        event(order=2**70),
    ]
    answer = _post(server, server.paired("hand"), good[0], *bad, good[1])
    assert answer["acknowledged"] == [good[0]["id"], good[1]["id"]]
    assert len(answer["refused"]) == len(bad)
    assert [one["id"] for one in answer["refused"]][:2] == [bad[0]["id"], bad[1]["id"]]
    assert answer["refused"][3]["id"] == ""
    assert answer["refused"][3]["problem"]["where"].startswith("event 5 of the batch")
    assert all(one["problem"]["advice"] for one in answer["refused"])


def test_one_id_with_two_contents_is_a_conflict(server: Running) -> None:
    phone, first = server.paired("hand"), event()
    _post(server, phone, first)
    answer = _post(server, phone, first | {"data": {"text": "another"}})
    assert answer["acknowledged"] == []
    assert answer["refused"][0]["conflict"] is True


def test_a_phone_whose_clock_is_ahead_is_told_and_loses_nothing(server: Running) -> None:
    late = event(ahead=timedelta(hours=3))
    answer = _post(server, server.paired("hand"), event(), late)
    assert len(answer["acknowledged"]) == 2
    assert [one["id"] for one in answer["odd"]] == [late["id"]]
    assert "180 minutes ahead" in answer["odd"][0]["problem"]["found"]


@pytest.mark.parametrize("body", [{"events": [1] * 501}, {"events": {}}, {}, [], {"events": [], "more": 1}])
def test_what_is_no_batch_is_refused_whole(server: Running, body: Any) -> None:
    assert server.paired("hand").post(f"/api/jobs/{server.job}/events", json=body).status_code == 422


@pytest.mark.parametrize("raw", [b"", b"{", b"\xff", b'{"events": [NaN]}', b"[" * 100_000])
def test_what_is_no_json_is_refused(server: Running, raw: bytes) -> None:
    assert server.paired("hand").post(f"/api/jobs/{server.job}/events", content=raw).status_code == 400


def test_reading_goes_on_where_it_stopped(server: Running) -> None:
    phone = server.paired("hand")
    _post(server, phone, *(event(order=n) for n in range(7)))
    path = f"/api/jobs/{server.job}/events"
    first = phone.get(path, params={"limit": 5}).json()
    rest = phone.get(path, params={"after": 5, "limit": 5}).json()
    assert (len(first["events"]), first["more"], first["seq"]) == (5, True, 7)
    assert (len(rest["events"]), rest["more"]) == (2, False)
    assert phone.get(path, params={"after": 7}).json()["events"] == []
    assert phone.get(path, params={"after": -1}).status_code == 422


def test_a_full_disk_keeps_the_events_on_the_phone(server: Running, monkeypatch: pytest.MonkeyPatch) -> None:
    phone, store = server.paired("hand"), server.house.store

    def full(*_: object, **__: object) -> None:
        raise InputError(
            Problem(where=store.database.place, found="the disk is full", allowed="space", advice="Free some.")
        )

    with monkeypatch.context() as patch:
        patch.setattr(store, "append", full)
        answer = phone.post(f"/api/jobs/{server.job}/events", json={"events": [event()]})
        assert answer.status_code == 503
        assert answer.json()["problems"][0]["found"] == "the disk is full"
        assert int(answer.headers["retry-after"]) > 0
    assert len(_post(server, phone, event())["acknowledged"]) == 1


def test_too_many_posts_are_asked_to_wait(server: Running) -> None:
    phone = server.paired("hand")
    path = f"/api/jobs/{server.job}/events"
    found = [phone.post(path, json={"events": []}).status_code for _ in range(150)]
    assert found[:120] == [200] * 120
    assert 429 in found


def test_photographs(server: Running) -> None:
    hand, digest = server.paired("hand"), hashlib.sha256(JPEG).hexdigest()
    path, kind = f"/api/jobs/{server.job}/photos/{digest}", {"Content-Type": "image/jpeg"}
    assert hand.get(path).status_code == 404
    for _ in range(2):
        answer = hand.put(path, content=JPEG, headers=kind)
        assert answer.json() == {"sha256": digest, "bytes": len(JPEG)}
    back = server.paired("guest").get(path)
    assert back.content == JPEG
    assert back.headers["content-type"] == "image/jpeg"
    assert back.headers["content-security-policy"] == "sandbox"


@pytest.mark.parametrize(
    ("content", "kind", "status"),
    [
        (b"<svg onload='alert(1)'/>", "image/svg+xml", 415),
        (b"<html>", "image/jpeg", 415),
        (JPEG, "text/html", 415),
        (JPEG, "image/png", 415),
        (JPEG + b"x", "image/jpeg", 422),
        (b"", "image/jpeg", 415),
    ],
)
def test_what_is_no_photograph_is_refused(server: Running, content: bytes, *, kind: str, status: int) -> None:
    path = f"/api/jobs/{server.job}/photos/{hashlib.sha256(JPEG).hexdigest()}"
    assert server.paired("hand").put(path, content=content, headers={"Content-Type": kind}).status_code == status
