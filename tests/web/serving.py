"""A server of its own for a test: the real one, on a free port of this computer, with a clock that can be set."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import uvicorn

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Weather
from boottop.files.job import Job
from boottop.store.open import open_store
from boottop.store.people import Role
from boottop.web.app import create_app
from boottop.web.desk import WeatherFor
from boottop.web.doors import CountedProtocol
from boottop.web.house import House
from boottop.web.serve import Serving, house_on, listening

OWN = {"X-Boottop": "1"}


def no_weather(_job: Job, _now: datetime) -> Weather:
    """For tests that need no plan: it fails at once, as without a network."""
    raise InputError(Problem(where="weather", found="none", allowed="some", advice="This is a test."))


@dataclass(kw_only=True)
class Running:
    """A server that runs."""

    house: House
    base: str
    job: str
    clients: list[httpx.Client] = field(default_factory=list)

    def client(self, **rest: Any) -> httpx.Client:
        """A browser without a session, whose changes come from the server's own pages."""
        made = httpx.Client(base_url=self.base, headers={"Origin": self.base} | OWN, timeout=20.0, **rest)
        self.clients.append(made)
        return made

    def paired(self, role: Role, who: str = "Ana", job: str | None = None) -> httpx.Client:
        """A phone that was paired with a code."""
        code = self.house.store.people.make_pairing(
            job or self.job, role, now=self.house.now(), valid_for=timedelta(minutes=15)
        )
        made = self.client()
        made.post("/api/pair", json={"code": code, "device": f"{who}'s", "who": who}).raise_for_status()
        self.house.limits.__init__()  # type: ignore[misc]  # a test pairs more phones a minute than a yard does
        return made

    def keeper(self) -> httpx.Client:
        """The browser of the computer that runs the server."""
        made = self.client()
        made.get("/enter", params={"token": self.house.local.token()}).raise_for_status()
        return made

    def later(self, by: timedelta) -> None:
        """Set the server's clock on."""
        before: Callable[[], datetime] = self.house.now
        self.house.now = lambda: before() + by


@contextmanager
def running(
    folder: Path,
    *,
    weather: WeatherFor = no_weather,
    job: str = "Invented job",
    address: str = "",
    hosts: tuple[str, ...] = (),
) -> Iterator[Running]:
    """A server on a new store with one empty job. `address` of the store: a file in the folder when empty; `hosts`:
    names under which it may be asked."""
    with (
        open_store(
            address or folder / "test.db", photo_folder=folder / "photos" if "://" in address else None
        ) as store,
        house_on(store, weather=weather) as house,
        listening(Serving(store="", port=0)) as sock,
    ):
        made = store.jobs.create(job, now=datetime.now(UTC)).id
        config = uvicorn.Config(
            create_app(house, hosts=hosts), http=CountedProtocol, log_level="error", timeout_graceful_shutdown=1
        )
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        until = time.monotonic() + 20.0
        while not server.started and time.monotonic() < until:
            time.sleep(0.01)
        assert server.started
        found = Running(house=house, base=f"http://127.0.0.1:{sock.getsockname()[1]}", job=made)
        try:
            yield found
        finally:
            for client in found.clients:
                client.close()
            server.should_exit = True
            thread.join(20.0)
            assert not thread.is_alive()
