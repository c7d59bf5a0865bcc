"""Stores as released versions left them, as SQL text; made once, with `python -m tests.store.schemas REVISION`."""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

from boottop.job.events import Event
from boottop.store.database import sqlite_database
from boottop.store.log import append, batch_of
from boottop.store.migrate import REVISIONS, upgrade
from boottop.store.tables import DOCUMENTS, JOBS
from tests.store.made import NOW, event, numbered_id

FOLDER = Path(__file__).parent / "data"
JOB = numbered_id(999)


def fixture(revision: str) -> Path:
    """SQL text of a store of that revision."""
    return FOLDER / f"schema_{revision}.sql"


def expected_events() -> list[Event]:
    """What is in the log of every fixture."""
    return [event(number, id=numbered_id(number)) for number in range(1, 13)]


def load(revision: str, path: Path) -> None:
    """Make a database file from the fixture."""
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(fixture(revision).read_text(encoding="utf-8"))
        connection.execute("PRAGMA journal_mode=WAL")


def write(revision: str) -> None:
    """Write the fixture; only for a revision that is about to be released, never for one that was."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.db"
        database = sqlite_database(path)
        for step in REVISIONS[: REVISIONS.index(revision) + 1]:
            with database.write() as connection:
                upgrade(connection, step)
        with database.write() as connection:
            row = {"id": JOB, "name": "Gannet 2026", "created": NOW, "events": 0, "head": "0" * 64}
            connection.execute(JOBS.insert(), row)
            key = {"job": JOB, "kind": "job", "name": "job.toml", "version": 1, "saved": NOW, "sha256": "x"}
            connection.execute(DOCUMENTS.insert(), {**key, "content": b"[boat]\n"})
            append(connection, batch_of(JOB, expected_events(), now=NOW))
        database.close()
        with closing(sqlite3.connect(path)) as connection:
            fixture(revision).write_text("\n".join(connection.iterdump()) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(sys.argv[1])
