"""Made-up events and jobs for the tests of the store."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest

from boottop.job.events import Event
from tests.store.postgres import cluster

NOW = datetime(2026, 4, 18, 9, 30, 15, 123456, tzinfo=UTC)
ENGINES = ("sqlite", "postgresql")


def event(number: int = 1, **changes: Any) -> Event:
    """A finished coat, typed two minutes after it happened, with an id of its own."""
    values: dict[str, Any] = {
        "id": str(uuid4()),
        "kind": "coat_finished",
        "happened": NOW + timedelta(minutes=number),
        "recorded": NOW + timedelta(minutes=number + 2),
        "device": "phone-a",
        "order": number,
        "who": "Ana",
        "zone": "topside port",
        "data": {"product": "demo-copper-epoxy-a", "coat": 2, "litres": 1.75, "people": None},
    }
    return Event(**{**values, **changes})


def events(count: int, **changes: Any) -> list[Event]:
    """Events 1 to `count`."""
    return [event(number, **changes) for number in range(1, count + 1)]


def numbered_id(number: int) -> str:
    """The same UUID for the same number."""
    return str(UUID(int=number, version=4))


def new_address(engine: str, folder: Path) -> str:
    """Address of an empty store; skips where there is no server."""
    if engine == "sqlite":
        return str(folder / f"{secrets.token_hex(4)}.db")
    server = cluster()
    if isinstance(server, str):
        pytest.skip(server)
    return server.new_database()
