"""What every request passes: host, origin, the own header, size; and what every answer carries."""

from __future__ import annotations

import socket
from pathlib import Path

import httpx
import pytest

from boottop.web.serve import Serving, listening
from tests.web.made_events import event
from tests.web.serving import OWN, Running, running

ELSEWHERE = "http://elsewhere.example"


def _post(server: Running, phone: httpx.Client, headers: dict[str, str | None]) -> int:
    """Status of a post with these headers instead of the usual ones; None takes one away."""
    request = phone.build_request("POST", f"/api/jobs/{server.job}/events", json={"events": [event()]})
    for name, value in headers.items():
        if value is None:
            del request.headers[name]
        else:
            request.headers[name] = value
    return phone.send(request).status_code


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Origin": None}, 200),
        ({"Origin": ELSEWHERE}, 403),
        ({"Origin": "null"}, 403),
        ({"X-Boottop": None}, 403),
        ({"X-Boottop": None, "Origin": None}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Sec-Fetch-Site": "same-origin"}, 200),
    ],
)
def test_a_change_must_come_from_a_page_of_the_server(
    server: Running, headers: dict[str, str | None], *, status: int
) -> None:
    assert _post(server, server.paired("hand"), headers) == status
    assert server.house.store.event_count(server.job) == (1 if status == 200 else 0)


@pytest.mark.parametrize("origin", [ELSEWHERE, "null"])
def test_a_form_of_another_site_is_refused(server: Running, origin: str) -> None:
    hand = server.paired("hand")
    del hand.headers["X-Boottop"]
    path = f"/jobs/{server.job}/log/note"
    assert hand.post(path, data={"text": "x"}, headers={"Origin": origin}).status_code == 403
    assert server.house.store.event_count(server.job) == 0
    assert hand.post(path, data={"text": "x"}).status_code == 303


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("elsewhere.example", 400),
        ("127.0.0.1.elsewhere.example", 400),
        ("", 400),
        ("[", 400),
        ("localhost", 401),
        ("192.168.7.20:8460", 401),
        ("[::1]:8460", 401),
    ],
)
def test_a_name_that_is_not_the_server_s_is_refused(server: Running, host: str, *, status: int) -> None:
    """Another site's name server may point its name here; then its pages would be of the same origin."""
    assert server.client().get("/api/me", headers={"Host": host}).status_code == status


def test_too_long_a_body_is_refused_before_it_is_read(server: Running) -> None:
    hand = server.paired("hand")
    path = f"/api/jobs/{server.job}/events"
    assert hand.post(path, content=b" " * 1_000_001).status_code == 413
    assert hand.post(path, content=iter([b" " * 600_000] * 2)).status_code == 413


def test_every_answer_is_armoured(server: Running) -> None:
    hand = server.paired("hand")
    for path in ("/", "/join", "/api/me", "/nowhere", f"/jobs/{server.job}/log", "/static/app.css"):
        headers = hand.get(path).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert "cache-control" in headers


def test_small_answers_are_sent_at_once() -> None:
    """asyncio switches Nagle's algorithm off only on a socket that names its protocol."""
    with listening(Serving(store="", port=0)) as sock:
        assert sock.proto == socket.IPPROTO_TCP


def test_cookies_are_out_of_reach_of_scripts_and_of_other_sites(server: Running) -> None:
    code = server.keeper().get("/enter")
    assert code.status_code == 200
    client = server.client()
    answer = client.get("/enter", params={"token": server.house.local.token()})
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


def test_two_servers_on_one_computer_leave_each_other_s_sessions_alone(server: Running, tmp_path: Path) -> None:
    """A browser keeps cookies by the name of the computer, whatever the port."""
    (tmp_path / "other").mkdir()
    with running(tmp_path / "other") as other:
        browser = httpx.Client(headers=OWN)
        for one in (server, other):
            token = one.house.local.token()
            browser.get(f"{one.base}/enter", params={"token": token}).raise_for_status()
        assert [browser.get(f"{one.base}/api/me").json()["local"] for one in (server, other)] == [True, True]
        browser.cookies.clear()
        for one, who in ((server, "Ana"), (other, "Ben")):
            paired = one.paired("hand", who)
            browser.cookies.update(paired.cookies)
        assert [browser.get(f"{one.base}/api/me").json()["who"] for one in (server, other)] == ["Ana", "Ben"]
        browser.post(f"{other.base}/api/leave", headers={"Origin": other.base}).raise_for_status()
        assert [browser.get(f"{one.base}/api/me").status_code for one in (server, other)] == [200, 401]
        browser.close()


def test_errors_are_json_for_programs_and_pages_for_people(server: Running) -> None:
    client = server.client()
    assert client.get("/api/jobs/x/board").json()["problems"][0]["where"] == "session"
    del client.headers["X-Boottop"]
    page = client.get("/jobs/x/plan")
    assert page.headers["content-type"].startswith("text/html")
    assert "Join a job" in page.text
