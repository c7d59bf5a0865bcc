"""Pairing codes that may still be shown: the store keeps only their hashes."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from datetime import datetime, timedelta

from boottop.store.people import People, Role


@dataclass(frozen=True, kw_only=True)
class Shown:
    """A pairing code that may still be shown: the store keeps only its hash."""

    pairing: str
    code: str
    role: Role
    expires: datetime


class Codes:
    """Codes of this run of the server, by the id of their pairing."""

    def __init__(self, people: People) -> None:
        self._people = people
        self._lock = threading.Lock()
        self._codes: dict[str, str] = {}

    def make(self, job: str, role: Role, *, now: datetime, valid_for: timedelta) -> None:
        """Make a code and remember it until the server stops."""
        people = self._people
        with self._lock:
            before = {one.id for one in people.pairings(job, now=now)}
            code = people.make_pairing(job, role, now=now, valid_for=valid_for)
            added = [one.id for one in people.pairings(job, now=now) if one.id not in before]
            self._codes[added[0]] = code

    def shown(self, job: str, *, now: datetime) -> list[Shown]:
        """The codes that a phone can join with now, the newest first."""
        return [
            Shown(pairing=one.id, code=self._codes.get(one.id, ""), role=one.role, expires=one.expires)
            for one in reversed(self._people.pairings(job, now=now))
        ]
