"""Pairing: codes end, wrong ones are counted, the laptop shows them with their QR."""

from __future__ import annotations

import re
from datetime import timedelta

from tests.web.serving import Running


def _code(server: Running, minutes: int = 15) -> str:
    return server.house.store.people.make_pairing(
        server.job, "hand", now=server.house.now(), valid_for=timedelta(minutes=minutes)
    )


def _pair(server: Running, code: str, device: str = "phone") -> int:
    asked = {"code": code, "device": device, "who": "Ana"}
    return server.client().post("/api/pair", json=asked).status_code


def test_a_code_ends(server: Running) -> None:
    code = _code(server)
    server.later(timedelta(minutes=14))
    assert _pair(server, code) == 200
    server.later(timedelta(minutes=2))
    assert _pair(server, code) == 422


def test_me_is_answered_with_the_pairing(server: Running) -> None:
    phone = server.client()
    answer = phone.post("/api/pair", json={"code": _code(server).lower(), "device": "phone", "who": "Ana"})
    assert answer.json() == phone.get("/api/me").json() | {"server_s": answer.json()["server_s"]}
    assert answer.json()["role"] == "hand"
    assert answer.json()["may"] == {"log": True, "plan": False, "pair": False}


def test_guessing_is_stopped_whatever_the_device_calls_itself(server: Running) -> None:
    found = [_pair(server, f"GUESS{n:03}", device=f"phone {n}") for n in range(12)]
    assert found[:8] == [422] * 8
    assert found[8:] == [429] * 4
    answer = server.client().post("/api/pair", json={"code": "x", "device": "d", "who": "w"})
    assert int(answer.headers["retry-after"]) > 0


def test_a_session_ends_after_sixty_days(server: Running) -> None:
    phone = server.paired("hand")
    server.later(timedelta(days=59))
    assert phone.get("/api/me").status_code == 200
    server.later(timedelta(days=2))
    assert phone.get("/api/me").status_code == 401


def test_the_laptop_shows_a_code_with_its_qr_and_a_phone_joins_by_the_form(server: Running) -> None:
    server.house.addresses = ["http://192.168.7.20:8460"]
    keeper = server.keeper()
    assert keeper.post(f"/jobs/{server.job}/crew/code", data={"role": "guest", "valid": "15"}).status_code == 303
    page = keeper.get(f"/jobs/{server.job}/crew").text
    shown = re.search(r'<p class="code">(\w{4}) (\w{4})</p>', page)
    assert shown is not None
    assert "<svg" in page
    code = shown[1] + shown[2]
    assert f"http://192.168.7.20:8460/join?code={code}" in page
    phone = server.client()
    assert f'value="{code}"' in phone.get("/join", params={"code": code}).text
    joined = phone.post("/join", data={"code": f"{shown[1]} {shown[2]}", "who": "Ben"})
    assert joined.headers["location"] == f"/jobs/{server.job}/today"
    assert phone.get("/api/me").json()["who"] == "Ben"
    assert "Ben" in keeper.get(f"/jobs/{server.job}/crew").text


def test_a_code_can_be_taken_back(server: Running) -> None:
    keeper, code = server.keeper(), _code(server)
    ident = server.house.store.people.pairings(server.job, now=server.house.now())[0].id
    assert keeper.post(f"/jobs/{server.job}/crew/forget", data={"id": ident}).status_code == 303
    assert _pair(server, code) == 422


def test_without_a_network_the_page_says_what_to_do(server: Running) -> None:
    assert "boottop serve --lan" in server.keeper().get(f"/jobs/{server.job}/crew").text
