"""`boottop serve` as a process: starts, lets this computer in alone, stops, and says what is in its way."""

from __future__ import annotations

import signal
import socket
from pathlib import Path

import httpx
import pytest

from boottop.store.open import open_store
from tests.e2e.runner import run
from tests.faults.served import serving


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
