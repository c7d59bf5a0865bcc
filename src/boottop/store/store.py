"""The store of a yard or a boat: jobs, their documents, photographs and people, and the log of events."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from types import TracebackType

from boottop.job.events import Event
from boottop.store import chain, log
from boottop.store.database import Database
from boottop.store.documents import Documents
from boottop.store.entry import Logged
from boottop.store.jobs import Jobs
from boottop.store.people import People
from boottop.store.photos import Photos
from boottop.store.refusal import check_aware
from boottop.store.turn import Turnstile


class Store:
    """One open database. May be used by many threads at once; close it at the end, or use it in a `with`.

    It has no clock: whoever calls says what time it is (`now`, aware).
    """

    def __init__(self, database: Database, *, photo_folder: Path | None) -> None:
        self.database = database
        self.jobs = Jobs(database)
        self.documents = Documents(database)
        self.people = People(database)
        self.photos = Photos(database, photo_folder)
        self._turnstile = Turnstile(database)

    def append(self, job: str, events: Iterable[Event], *, now: datetime) -> log.Appended:
        """Add events to the log of a job, on the disk before this returns; `now` is when they were received.

        What is there already is acknowledged again and not added twice. An event with an id of the log but other
        content, or one that cannot be kept, is listed under `refused`; the rest goes in.
        """
        check_aware(now, where="time of receipt")
        return self._turnstile.append(log.batch_of(job, events, now=now))

    def events_after(self, job: str, seq: int, *, limit: int | None = None) -> list[Logged]:
        """Events beyond place `seq` (0: all), in the order of arrival; none for a job that is not there."""
        with self.database.read() as connection:
            return log.events_after(connection, job, seq, limit=limit)

    def event_count(self, job: str) -> int:
        """Number of events of a job, and the place of its last one."""
        with self.database.read() as connection:
            return log.event_count(connection, job)

    def verify_chain(self, job: str) -> list[str]:
        """Every fault of a job's log in a sentence (changed, missing or reordered events); none when it is whole."""
        with self.database.read() as connection:
            return chain.verify(connection, job)

    def close(self) -> None:
        """Close the connections."""
        self.database.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
