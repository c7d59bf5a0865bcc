"""The polite client against a server that misbehaves: what is tried again, what is believed, what is kept."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from boottop import __version__
from boottop.services.cache import Cache
from boottop.services.failure import ServiceError, failed
from boottop.services.http import Client, Patience, Question, open_client
from tests.services.server import CONTACT, Say, Service, client_of, said

NOW = datetime(2026, 5, 4, 6, 30, tzinfo=UTC)
DATE = "Mon, 04 May 2026 06:30:00 GMT"


def answer(payload: object) -> int:
    if not isinstance(payload, dict) or not isinstance(payload.get("answer"), int):
        raise failed("Example", "no answer in it", allowed="an answer")
    return int(payload["answer"])


def question(service: Service, **changes: Any) -> Question[int]:
    return replace(
        Question(name="example", title="Example", url=f"{service.base}/x", params={"lat": "1.5"}, decode=answer),
        **changes,
    )


def test_says_who_it_is_and_what_it_wants(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 42}))
    with client_of(service, tmp_path) as (client, waits):
        reply = client.get(question(service), now=NOW)
    path, headers = service.asked[0]
    assert (reply.value, reply.stale, reply.confirmed, path) == (42, False, NOW, "/x?lat=1.5")
    assert headers["user-agent"] == f"boottop/{__version__} {CONTACT}"
    assert "application/json" in headers["accept"]
    assert "gzip" in headers["accept-encoding"]
    assert waits.slept_s == []


@pytest.mark.parametrize(
    "bad",
    [
        Say(status=500),
        Say(status=503, kind="text/html", body=b"<html>"),
        Say(body=b'{"answer": 42}', cut=6),
        Say(body=b'{"answer": 4'),
        Say(body=b'{"answer": NaN}'),
        Say(body=b"[" * 100_000),
    ],
    ids=["500", "503 page", "half a body", "half a document", "no JSON", "too deep"],
)
def test_a_passing_fault_is_tried_again_with_growing_waits(service: Service, tmp_path: Path, bad: Say) -> None:
    service.say("/x", bad, bad, said({"answer": 42}))
    with client_of(service, tmp_path) as (client, waits):
        assert client.get(question(service), now=NOW).value == 42
    assert waits.slept_s == [1.0, 2.0]


def test_gives_up_after_three_and_says_why(service: Service, tmp_path: Path) -> None:
    service.say("/x", Say(status=500))
    with (
        client_of(service, tmp_path) as (client, waits),
        pytest.raises(ServiceError, match=r"status 500 .tried 3 times"),
    ):
        client.get(question(service), now=NOW)
    assert len(service.asked) == 3
    assert waits.slept_s == [1.0, 2.0]


def test_slow_server_is_left(service: Service, tmp_path: Path) -> None:
    service.say("/x", Say(hang=True))
    begun = time.monotonic()
    with (
        client_of(service, tmp_path, timeout_s=0.1, patience=Patience(attempts=2)) as (client, _),
        pytest.raises(ServiceError, match=r"no answer in time .ReadTimeout. .tried 2 times"),
    ):
        client.get(question(service), now=NOW)
    assert time.monotonic() - begun < 3.0


def test_trickling_answer_is_left(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 42}))
    clock = iter(range(0, 10_000, 100))
    with (
        client_of(service, tmp_path, stopwatch=lambda: float(next(clock))) as (client, _),
        pytest.raises(ServiceError, match="an answer that trickles for over 60 s"),
    ):
        client.get(question(service), now=NOW)


def test_refused_connection_is_tried_twice_only(service: Service, tmp_path: Path) -> None:
    with (
        client_of(service, tmp_path) as (client, waits),
        pytest.raises(ServiceError, match=r"no connection .*tried 2 times"),
    ):
        client.get(question(service, url="http://127.0.0.1:9/x"), now=NOW)
    assert waits.slept_s == [1.0]


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (Say(kind="text/html", body=b"<html>log in</html>"), "text/html instead of weather.*log-in page"),
        (Say(kind="", body=b"{}"), "no content type instead of weather"),
        (Say(status=403, body=b'{"detail": "Forbidden: say who you are"}'), "status 403 .Forbidden: say who you are"),
        (Say(status=400, body=b'{"error": true, "reason": "no such model"}'), "status 400 .no such model"),
        (Say(status=404, kind="text/plain", body=b"gone"), "status 404.*a place that the service covers"),
        (Say(status=302, headers={"Location": "/x"}), "sent round in a circle"),
        (Say(status=304), "no answer in it"),
        (said({"question": 42}), "no answer in it"),
    ],
    ids=["page", "no type", "403", "400", "404", "circle", "304 unasked", "other document"],
)
def test_what_will_not_pass_is_not_tried_again(service: Service, tmp_path: Path, *, bad: Say, words: str) -> None:
    service.say("/x", bad)
    with client_of(service, tmp_path) as (client, waits), pytest.raises(ServiceError, match=words):
        client.get(question(service), now=NOW)
    assert waits.slept_s == []
    assert list(tmp_path.iterdir()) == []


def test_answer_without_end_is_cut_off(service: Service, tmp_path: Path) -> None:
    service.say("/x", Say(body=b" " * 300_000))
    small = Patience(max_bytes=100_000)
    with (
        client_of(service, tmp_path, patience=small) as (client, _),
        pytest.raises(ServiceError, match=r"an answer without an end; allowed: at most 0.1 MB"),
    ):
        client.get(question(service), now=NOW)


@pytest.mark.parametrize("told", ["7", "Mon, 04 May 2026 06:30:07 GMT"])
def test_retry_after_is_heeded(service: Service, tmp_path: Path, told: str) -> None:
    service.say("/x", Say(status=429, headers={"Retry-After": told, "Date": DATE}), said({"answer": 42}))
    with client_of(service, tmp_path) as (client, waits):
        assert client.get(question(service), now=NOW).value == 42
    assert waits.slept_s == [pytest.approx(7.25)]


def test_long_retry_after_is_remembered_and_no_one_asked_before(service: Service, tmp_path: Path) -> None:
    service.say("/x", Say(status=429, headers={"Retry-After": "3600"}), said({"answer": 42}))
    with client_of(service, tmp_path) as (client, waits):
        with pytest.raises(ServiceError, match="to be asked again after 3600 s"):
            client.get(question(service), now=NOW)
        with pytest.raises(ServiceError, match="asked to be left alone until 2026-05-04T07:30Z"):
            client.get(question(service), now=NOW + timedelta(minutes=59))
        assert len(service.asked) == 1
        assert client.get(question(service), now=NOW + timedelta(minutes=61)).value == 42
    assert waits.slept_s == []


def test_long_retry_after_keeps_the_last_answer(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 42}), Say(status=429, headers={"Retry-After": "3600"}))
    with client_of(service, tmp_path) as (client, _):
        client.get(question(service), now=NOW)
        later = NOW + timedelta(hours=2)
        for minutes in (0, 10):
            reply = client.get(question(service), now=later + timedelta(minutes=minutes))
            assert (reply.value, reply.stale, reply.confirmed) == (42, True, NOW)
    assert len(service.asked) == 2


def test_fresh_answer_is_not_asked_for_again(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 1}, Date=DATE, Expires="Mon, 04 May 2026 07:00:00 GMT"), said({"answer": 2}))
    with client_of(service, tmp_path) as (client, _):
        first = client.get(question(service), now=NOW)
        again = client.get(question(service), now=NOW + timedelta(minutes=29))
        later = client.get(question(service), now=NOW + timedelta(minutes=31))
    assert (first.value, again.value, later.value) == (1, 1, 2)
    assert again.confirmed == NOW


@pytest.mark.parametrize(
    ("headers", "minutes"),
    [
        ({"Cache-Control": "public, max-age=600"}, 10),
        ({"Cache-Control": "max-age=600", "Age": "300"}, 5),
        ({"Date": DATE, "Expires": "Mon, 04 May 2026 06:50:00 GMT", "Age": "300"}, 15),
        ({"Date": "Sun, 03 May 2026 06:30:00 GMT", "Expires": "Sun, 03 May 2026 06:50:00 GMT"}, 20),
        ({"Cache-Control": "max-age=99999999"}, 360),
        ({"Expires": "never", "Cache-Control": "max-age=x"}, 60),
    ],
    ids=["max-age", "age", "expires", "clock a day behind", "unbelievably long", "nonsense"],
)
def test_how_long_an_answer_is_good_for(
    service: Service, tmp_path: Path, *, headers: dict[str, str], minutes: int
) -> None:
    service.say("/x", Say(body=b'{"answer": 1}', headers=headers))
    with client_of(service, tmp_path) as (client, _):
        for passed in (0, minutes - 1):
            client.get(question(service), now=NOW + timedelta(minutes=passed))
        assert len(service.asked) == 1
        client.get(question(service), now=NOW + timedelta(minutes=minutes))
    assert len(service.asked) == 2


def test_not_modified_confirms_what_is_kept(service: Service, tmp_path: Path) -> None:
    modified = "Mon, 04 May 2026 05:00:00 GMT"
    service.say(
        "/x",
        said({"answer": 1}, ETag='"a"', Last_Modified=modified, Cache_Control="max-age=60"),
        Say(status=304, headers={"Cache-Control": "max-age=60"}),
    )
    later = NOW + timedelta(minutes=5)
    with client_of(service, tmp_path) as (client, _):
        client.get(question(service), now=NOW)
        reply = client.get(question(service), now=later)
        client.get(question(service), now=later + timedelta(minutes=5))
    assert (reply.value, reply.confirmed, reply.stale) == (1, later, False)
    for _, headers in service.asked[1:]:
        assert (headers["if-none-match"], headers["if-modified-since"]) == ('"a"', modified)


def test_without_network_the_last_answer_serves_with_its_age(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 1}), Say(status=500))
    later = NOW + timedelta(days=2)
    with client_of(service, tmp_path) as (client, _):
        client.get(question(service), now=NOW)
        reply = client.get(question(service), now=later)
    assert (reply.value, reply.stale, reply.confirmed) == (1, True, NOW)
    assert reply.trouble[0].found == "status 500 (tried 3 times)"


def test_an_answer_that_cannot_be_read_does_not_replace_the_last_one(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 1}), said({"changed": True}))
    later = NOW + timedelta(hours=2)
    with client_of(service, tmp_path) as (client, _):
        client.get(question(service), now=NOW)
        for _ in range(2):
            reply = client.get(question(service), now=later)
            assert (reply.value, reply.stale) == (1, True)
    assert reply.trouble[0].found == "no answer in it"


@pytest.mark.parametrize("offset_min", [-90, -3, 3, 90])
def test_a_wrong_clock_is_told(service: Service, tmp_path: Path, offset_min: int) -> None:
    service.say("/x", said({"answer": 1}, Date=DATE))
    with client_of(service, tmp_path) as (client, _):
        reply = client.get(question(service), now=NOW + timedelta(minutes=offset_min))
    side = "ahead of" if offset_min > 0 else "behind"
    assert reply.notes == (
        f"clock: this computer is {abs(offset_min)} min {side} the clock of Example; set it before you rely on times",
    )


def test_a_right_clock_is_not(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 1}, Date="Mon, 04 May 2026 06:20:00 GMT", Age="590"))
    with client_of(service, tmp_path) as (client, _):
        assert client.get(question(service), now=NOW).notes == ()


def test_a_clock_set_back_makes_no_answer_young(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 1}), said({"answer": 2}))
    with client_of(service, tmp_path) as (client, _):
        client.get(question(service), now=NOW)
        assert client.get(question(service), now=NOW - timedelta(days=1)).value == 2


def test_deprecated_address_is_told(service: Service, tmp_path: Path) -> None:
    service.say("/x", Say(status=203, body=b'{"answer": 1}'))
    with client_of(service, tmp_path) as (client, _):
        assert "look for a newer boottop" in client.get(question(service), now=NOW).notes[0]


@pytest.mark.parametrize("spoilt", [b"", b"{", b"[]", b"null", b'{"layout": 1}', b"\xff\xfe", b'{"layout": 99}'])
def test_a_spoilt_file_in_the_cache_is_as_good_as_none(service: Service, tmp_path: Path, spoilt: bytes) -> None:
    service.say("/x", said({"answer": 1}), said({"answer": 2}))
    with client_of(service, tmp_path) as (client, _):
        client.get(question(service), now=NOW)
        (kept,) = tmp_path.iterdir()
        kept.write_bytes(spoilt)
        assert client.get(question(service), now=NOW).value == 2
    assert json.loads(kept.read_text(encoding="utf-8"))["body"] == {"answer": 2}


def test_a_cache_that_cannot_be_written_hinders_nothing_but_is_told(service: Service, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    service.say("/x", said({"answer": 1}))
    with client_of(service, tmp_path / "file" / "folder") as (client, _):
        reply = client.get(question(service), now=NOW)
    assert reply.value == 1
    assert "without it there is no weather offline" in reply.notes[0]


def test_no_cache_keeps_nothing(service: Service) -> None:
    service.say("/x", said({"answer": 1}), said({"answer": 2}))
    with client_of(service, None) as (client, _):
        assert [client.get(question(service), now=NOW).value for _ in range(2)] == [1, 2]


def test_nothing_half_written_stays(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 1}))
    with client_of(service, tmp_path) as (client, _):
        client.get(question(service), now=NOW)
    assert [path.suffix for path in tmp_path.iterdir()] == [".json"]


def test_a_client_of_ones_own(service: Service, tmp_path: Path) -> None:
    service.say("/x", said({"answer": 1}))
    with open_client(CONTACT, cache_dir=tmp_path) as client:
        assert isinstance(client, Client)
        assert client.cache == Cache(tmp_path)
        assert client.http.follow_redirects
