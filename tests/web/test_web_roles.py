"""Who may do what: every role at every address, and nothing of any job for who is not paired."""

from __future__ import annotations

from typing import Any

import pytest

from boottop.store.people import Role
from tests.web.made_events import event
from tests.web.serving import Running

ROLES: tuple[Role, ...] = ("guest", "hand", "skipper")
READ = (
    "/api/jobs/{job}/board", "/api/jobs/{job}/events", "/jobs/{job}/today", "/jobs/{job}/plan", "/jobs/{job}/weather",
    "/jobs/{job}/order", "/jobs/{job}/areas", "/jobs/{job}/hull", "/jobs/{job}/log", "/jobs/{job}/sheet",
    "/jobs/{job}/sheet.toml",
)  # fmt: skip
HASH = "0" * 64
CHANGES: dict[tuple[str, str, Role], dict[str, Any]] = {
    ("POST", "/api/jobs/{job}/events", "hand"): {"json": {"events": []}},
    ("PUT", f"/api/jobs/{{job}}/photos/{HASH}", "hand"): {"content": b"x"},
    ("POST", "/jobs/{job}/log/note", "hand"): {"data": {"text": "x"}},
    ("POST", "/api/jobs/{job}/replan", "skipper"): {"json": {}},
    ("POST", "/jobs/{job}/plan", "skipper"): {},
    ("POST", "/jobs/{job}/sheet", "skipper"): {"data": {"toml": "format = 1"}},
    ("POST", "/jobs/{job}/sheet/check", "skipper"): {"json": {"toml": ""}},
    ("POST", "/jobs/{job}/hull", "skipper"): {"data": {"file": "x.stl"}},
    ("POST", "/jobs/{job}/hull/documents", "skipper"): {},
    ("POST", "/jobs/{job}/documents", "skipper"): {"data": {"remove": "x.csv"}},
    ("GET", "/jobs/{job}/crew", "skipper"): {},
    ("POST", "/jobs/{job}/crew/code", "skipper"): {"data": {"role": "hand", "valid": "15"}},
}


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("path", READ)
def test_every_role_reads(server: Running, role: Role, *, path: str) -> None:
    assert server.paired(role).get(path.format(job=server.job)).status_code == 200


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("change", CHANGES, ids=lambda change: f"{change[0]} {change[1]}")
def test_changes_need_their_role(server: Running, role: Role, *, change: tuple[str, str, Role]) -> None:
    method, path, needed = change
    answer = server.paired(role).request(method, path.format(job=server.job), **CHANGES[change])
    if ROLES.index(role) < ROLES.index(needed):
        assert answer.status_code == 403
    else:
        assert answer.status_code in (200, 202, 303, 415, 422)


@pytest.mark.parametrize("path", READ)
def test_nothing_for_who_is_not_paired(server: Running, path: str) -> None:
    answer = server.client().get(path.format(job=server.job))
    assert answer.status_code == 401
    assert "Invented job" not in answer.text


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: f"{change[0]} {change[1]}")
def test_no_change_by_who_is_not_paired(server: Running, change: tuple[str, str, Role]) -> None:
    answer = server.client().request(change[0], change[1].format(job=server.job), **CHANGES[change])
    assert answer.status_code == 401


@pytest.mark.parametrize("path", ["/", "/api/me", "/join", "/api/version", "/enter"])
def test_no_list_of_jobs_without_pairing(server: Running, path: str) -> None:
    answer = server.client().get(path)
    assert "Invented job" not in answer.text
    assert server.job not in answer.text


def test_another_job_looks_as_one_that_is_not_there(server: Running) -> None:
    other = server.house.store.jobs.create("Secret boat", now=server.house.now()).id
    phone = server.paired("skipper")
    there, nowhere = (phone.get(f"/api/jobs/{job}/events") for job in (other, "no-such-job"))
    assert there.status_code == nowhere.status_code == 404
    assert there.text == nowhere.text
    assert phone.post(f"/api/jobs/{other}/events", json={"events": [event()]}).status_code == 404
    assert server.house.store.event_count(other) == 0
    assert [job["id"] for job in phone.get("/api/me").json()["jobs"]] == [server.job]


def test_only_this_computer_lists_and_makes_jobs(server: Running) -> None:
    phone, keeper = server.paired("skipper"), server.keeper()
    assert phone.get("/").headers["location"] == f"/jobs/{server.job}/today"
    assert phone.post("/new-job", data={"what": "new", "name": "x"}).status_code == 404
    assert "Invented job" in keeper.get("/").text
    made = keeper.post("/new-job", data={"what": "new", "name": "Second boat"})
    assert made.status_code == 303
    assert "Second boat" in keeper.get("/").text


def test_this_computer_is_let_in_once(server: Running) -> None:
    token = server.house.local.token()
    first, second = server.client(), server.client()
    assert first.get("/enter", params={"token": token}).status_code == 200
    assert second.get("/enter", params={"token": token}).status_code == 401
    assert first.get("/enter", params={"token": token}).status_code == 200, "a second look by who is in already"
    assert first.get("/api/me").json()["local"] is True
    first.post("/api/leave", json={}).raise_for_status()
    assert first.get("/api/me").status_code == 401


def test_a_revoked_phone_is_out_at_once(server: Running) -> None:
    skipper, hand = server.paired("skipper", "Eva"), server.paired("hand", "Ben")
    ident = next(one.id for one in server.house.store.people.sessions(server.job, now=server.house.now())
                 if one.who == "Ben")  # fmt: skip
    assert hand.get("/api/me").status_code == 200
    assert skipper.post(f"/jobs/{server.job}/crew/revoke", data={"id": ident}).status_code == 303
    assert hand.get("/api/me").status_code == 401


def test_a_skipper_of_one_job_cannot_end_sessions_of_another(server: Running) -> None:
    other = server.house.store.jobs.create("Secret boat", now=server.house.now()).id
    stranger = server.paired("hand", "Ben", other)
    ident = server.house.store.people.sessions(other, now=server.house.now())[0].id
    assert server.paired("skipper").post(f"/jobs/{server.job}/crew/revoke", data={"id": ident}).status_code == 422
    assert stranger.get("/api/me").status_code == 200
