"""A weather service on this machine that answers what a test tells it to, well or badly."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Event, Lock, Thread
from typing import Any

import httpx

from boottop.services.cache import Cache
from boottop.services.http import Client, Patience

DATA = Path(__file__).parents[1] / "data" / "forecasts"
LONGEST_WAIT_S = 5.0
CONTACT = "https://example.org/boottop"


@dataclass(frozen=True, kw_only=True)
class Say:
    """One answer. `cut`: send only so many bytes of the body that was announced; `hang`: never answer."""

    status: int = 200
    body: bytes = b"{}"
    headers: Mapping[str, str] = field(default_factory=dict)
    kind: str = "application/json"
    cut: int | None = None
    hang: bool = False


def said(payload: object, **headers: str) -> Say:
    """An answer in JSON, headers with underscores for hyphens."""
    return Say(
        body=json.dumps(payload).encode(), headers={name.replace("_", "-"): value for name, value in headers.items()}
    )


@dataclass
class Service:
    """What the server says, by the beginning of the path; the last answer of a list is said again and again."""

    base: str = ""
    answers: dict[str, list[Say]] = field(default_factory=dict)
    asked: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    over: Event = field(default_factory=Event)
    lock: Lock = field(default_factory=Lock)

    def say(self, path: str, *answers: Say) -> None:
        self.answers[path] = list(answers)

    def next_for(self, path: str, headers: dict[str, str]) -> Say:
        with self.lock:
            self.asked.append((path, headers))
            for begin in sorted(self.answers, key=len, reverse=True):
                if path.startswith(begin):
                    left = self.answers[begin]
                    return left.pop(0) if len(left) > 1 else left[0]
        return Say(status=404, body=b'{"title": "Data Unavailable For Requested Point"}')


class _Server(ThreadingHTTPServer):
    service: Service

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A client that hangs up is part of the tests."""


class _Handler(BaseHTTPRequestHandler):
    server: _Server

    def do_GET(self) -> None:
        service = self.server.service
        answer = service.next_for(self.path, {name.lower(): value for name, value in self.headers.items()})
        if answer.hang:
            service.over.wait(LONGEST_WAIT_S)
            return
        self.send_response_only(answer.status)
        headers = {"Content-Type": answer.kind, "Content-Length": str(len(answer.body))} | dict(answer.headers)
        for name, value in headers.items():
            self.send_header(name, value)
        self.end_headers()
        if answer.status != 304:
            self.wfile.write(answer.body if answer.cut is None else answer.body[: answer.cut])

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing."""


@contextmanager
def running() -> Iterator[Service]:
    """A server on a free port of this machine, stopped at the end whatever happens."""
    server = _Server(("127.0.0.1", 0), _Handler)
    server.service = service = Service(base=f"http://127.0.0.1:{server.server_address[1]}")
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True)
    thread.start()
    try:
        yield service
    finally:
        service.over.set()
        server.shutdown()
        server.server_close()
        thread.join(LONGEST_WAIT_S)


@dataclass
class Waits:
    """Stands in for sleeping: remembers how long it was."""

    slept_s: list[float] = field(default_factory=list)

    def __call__(self, wait_s: float) -> None:
        self.slept_s.append(wait_s)


@contextmanager
def client_of(service: Service, folder: Path | None, **changes: Any) -> Iterator[tuple[Client, Waits]]:
    """A client that knows all services at the local server, never sleeps, and throws no dice."""
    waits = Waits()
    names = ("nws", "metno", "smhi", "openmeteo", "openmeteo-recent", "openmeteo-ensemble", "openmeteo-archive")
    with httpx.Client(timeout=changes.pop("timeout_s", 2.0), follow_redirects=True, trust_env=False) as http:
        given: dict[str, Any] = {
            "http": http,
            "contact": CONTACT,
            "cache": Cache(folder),
            "patience": Patience(),
            "bases": {name: f"{service.base}/{name}" for name in names},
            "sleep": waits,
            "chance": lambda: 0.5,
        }
        yield Client(**(given | changes)), waits


def sample(name: str) -> Any:
    """A sample from tests/data/forecasts."""
    return json.loads((DATA / name).read_text(encoding="utf-8"))
