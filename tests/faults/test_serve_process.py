"""`boottop serve` as a process: starts, lets this computer in, is killed in the middle of work, and loses nothing."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest

from boottop.store.open import open_store
from tests.e2e.runner import run
from tests.web.made_events import event
from tests.web.serving import OWN


@dataclass(kw_only=True)
class Process:
    """A server that runs as a process of its own."""

    process: subprocess.Popen[str]
    base: str
    token: str

    @contextmanager
    def client(self) -> Iterator[httpx.Client]:
        """The browser of this computer, let in."""
        with httpx.Client(base_url=self.base, headers={"Origin": self.base} | OWN, timeout=20.0) as made:
            made.get("/enter", params={"token": self.token}).raise_for_status()
            yield made


@contextmanager
def serving(store: Path, *options: str) -> Iterator[Process]:
    """`boottop serve` on a free port, stopped at the end if it still runs."""
    command = [sys.executable, "-m", "boottop", "serve", "--store", str(store), "--port", "0", "--no-open", *options]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=os.environ | {"COLUMNS": "200"})
    try:
        yield _started(process)
    finally:
        if process.poll() is None:
            process.kill()
        process.wait(20)
        assert process.stderr is not None
        process.stderr.close()


def _started(process: subprocess.Popen[str]) -> Process:
    assert process.stderr is not None
    for line in process.stderr:
        found = re.search(r"(http://127\.0\.0\.1:\d+)/enter\?token=([\w-]+)", line)
        if found:
            _wait_for(found[1])
            return Process(process=process, base=found[1], token=found[2])
    raise AssertionError("the server ended without saying where it is")


def _wait_for(base: str) -> None:
    until = time.monotonic() + 30.0
    while True:
        try:
            httpx.get(f"{base}/api/version", timeout=5.0)
        except httpx.TransportError:
            assert time.monotonic() < until
            time.sleep(0.05)
        else:
            return


def _job(client: httpx.Client) -> str:
    answer = client.post("/new-job", data={"what": "new", "name": "Invented boat"})
    return str(answer.headers["location"]).split("/")[2]


def test_it_starts_answers_and_stops(tmp_path: Path) -> None:
    with serving(tmp_path / "a.db") as found:
        with found.client() as client:
            assert "first bottom job" in client.get("/").text
            assert client.get(f"/jobs/{_job(client)}/sheet").status_code == 200
        found.process.send_signal(signal.SIGINT)
        found.process.wait(10)
    with open_store(tmp_path / "a.db", create=False) as store:
        assert [job.name for job in store.jobs.all()] == ["Invented boat"]


def test_it_stops_while_phones_listen(tmp_path: Path) -> None:
    with (
        serving(tmp_path / "a.db") as found,
        found.client() as client,
        client.stream("GET", f"/api/jobs/{_job(client)}/live") as stream,
    ):
        assert next(stream.iter_lines()) == "event: log"
        found.process.send_signal(signal.SIGTERM)
        found.process.wait(10)


def test_it_answers_to_this_computer_alone(tmp_path: Path) -> None:
    with serving(tmp_path / "a.db") as found:
        port = int(found.base.rpartition(":")[2])
        others = {str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
        for address in (one for one in others if not one.startswith("127.")):
            with pytest.raises(OSError, match=r"refused|unreachable|timed out"):
                socket.create_connection((address, port), timeout=2.0)


def test_killed_in_the_middle_it_has_what_it_acknowledged_once(tmp_path: Path) -> None:
    acknowledged: list[str] = []
    sent: list[dict[str, Any]] = []
    with serving(tmp_path / "a.db") as found, found.client() as client:
        job = _job(client)
        for number in range(60):
            batch = [event(order=20 * number + n) for n in range(10)]
            sent += batch
            if number == 40:
                found.process.kill()
            try:
                answer = client.post(f"/api/jobs/{job}/events", json={"events": batch})
            except httpx.TransportError:
                break
            acknowledged += answer.json()["acknowledged"]
    assert len(acknowledged) >= 400
    with serving(tmp_path / "a.db") as again, again.client() as client:
        for start in range(0, len(sent), 500):
            client.post(f"/api/jobs/{job}/events", json={"events": sent[start : start + 500]}).raise_for_status()
    with open_store(tmp_path / "a.db", create=False) as store:
        ids = [one.event.id for one in store.events_after(job, 0)]
        assert store.verify_chain(job) == []
    assert ids[: len(acknowledged)] == acknowledged
    assert ids == [one["id"] for one in sent]


def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        found = run("serve", "--store", tmp_path / "a.db", "--port", port, "--no-open", cwd=tmp_path)
    assert found.code == 2
    assert "give another one with --port" in found.err
    assert "Traceback" not in found.err


@pytest.mark.parametrize(("content", "words"), [(b"no database", "no database"), (None, "folder that is not there")])
def test_a_store_that_cannot_be_opened_is_said(tmp_path: Path, content: bytes | None, *, words: str) -> None:
    place = tmp_path / "a.db" if content else tmp_path / "nowhere" / "a.db"
    if content:
        place.write_bytes(content)
    found = run("serve", "--store", place, "--port", "0", "--no-open", cwd=tmp_path)
    assert found.code == 2
    assert words in found.err
    assert "Traceback" not in found.err


def test_a_backup_made_while_it_is_served_comes_back(tmp_path: Path) -> None:
    with serving(tmp_path / "a.db") as found, found.client() as client:
        job = _job(client)
        client.post(f"/api/jobs/{job}/events", json={"events": [event() for _ in range(5)]}).raise_for_status()
        saved = run("backup", tmp_path / "kept.zip", "--store", tmp_path / "a.db", cwd=tmp_path)
    assert saved.code == 0, saved.err
    brought = run("restore", tmp_path / "kept.zip", tmp_path / "b.db", cwd=tmp_path)
    assert brought.code == 0, brought.err
    with open_store(tmp_path / "a.db", create=False) as old, open_store(tmp_path / "b.db", create=False) as new:
        assert old.events_after(job, 0) == new.events_after(job, 0)
        assert new.verify_chain(job) == []
    again = run("restore", tmp_path / "kept.zip", tmp_path / "b.db", cwd=tmp_path)
    assert again.code == 2
    assert run("backup", tmp_path / "x.zip", "--store", tmp_path / "none.db", cwd=tmp_path).code == 2
