"""`boottop serve` as a process of its own, with phones that were paired before it started."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx

from boottop.store.open import open_store
from boottop.web.auth import session_cookie
from tests.faults.store_places import ROOT
from tests.web.serving import OWN


@dataclass(kw_only=True)
class Process:
    """A server that runs as a process of its own. `said`: its first lines."""

    process: subprocess.Popen[str]
    base: str
    token: str
    said: list[str]

    @contextmanager
    def client(self) -> Iterator[httpx.Client]:
        """The browser of this computer, let in."""
        with self._client() as made:
            made.get("/enter", params={"token": self.token}).raise_for_status()
            yield made

    @contextmanager
    def phone(self, session: str) -> Iterator[httpx.Client]:
        """A phone that was paired before."""
        with self._client(cookies={session_cookie(int(self.base.rpartition(":")[2])): session}) as made:
            yield made

    def _client(self, **rest: Any) -> httpx.Client:
        return httpx.Client(base_url=self.base, headers={"Origin": self.base} | OWN, timeout=20.0, **rest)


@contextmanager
def serving(store: Path | str, *options: str, file_bytes: int = 0, **environment: str) -> Iterator[Process]:
    """`boottop serve` on a free port, stopped at the end if it still runs. `file_bytes`: no file may grow longer."""
    limit = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (N, N)); ".replace("N", str(file_bytes))
    start = f"{limit if file_bytes else ''}from boottop.cli import main; main()"
    command = [sys.executable, "-c", start, "serve", "--store", str(store), "--port", "0", "--no-open", *options]
    env = os.environ | {"COLUMNS": "200"} | environment
    process = subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, text=True, env=env)
    rest = threading.Thread(target=_read_on, args=(process,), daemon=True)
    try:
        found = _started(process)
        rest.start()
        yield found
    finally:
        if process.poll() is None:
            process.kill()
        process.wait(20)
        if rest.is_alive():
            rest.join(20)
        assert process.stderr is not None
        process.stderr.close()


def _read_on(process: subprocess.Popen[str]) -> None:
    """Read what the server says, or it would wait for a reader once the pipe is full."""
    assert process.stderr is not None
    for _ in process.stderr:
        pass


def _started(process: subprocess.Popen[str]) -> Process:
    assert process.stderr is not None
    said: list[str] = []
    for line in process.stderr:
        said.append(line)
        found = re.search(r"(http://127\.0\.0\.1:\d+)/enter\?token=([\w-]+)", line)
        if found:
            _wait_for(found[1])
            return Process(process=process, base=found[1], token=found[2], said=said)
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


def paired_store(place: Path | str, *, phones: int = 1, photo_folder: Path | None = None) -> tuple[str, list[str]]:
    """A store with one job and so many paired phones: the job and the secrets of their sessions."""
    now = datetime.now(UTC)
    with open_store(place, photo_folder=photo_folder) as store:
        job = store.jobs.create("Invented boat", now=now).id
        code, sessions = "", list[str]()
        for number in range(phones):
            if number % 10 == 0:  # a code lets ten phones in
                code = store.people.make_pairing(job, "hand", now=now, valid_for=timedelta(hours=1))
            sessions.append(store.people.redeem(code, device=f"phone-{number}", who=f"hand {number}", now=now))
    return job, sessions
