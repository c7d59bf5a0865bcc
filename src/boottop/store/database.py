"""Connections: SQLite with write-ahead log and full flushing, or PostgreSQL; one writer at a time on either."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL

from boottop.store.failure import told

WAIT_MS = 10_000
WRITE_KEY = 0x626F6F74
"""Key of PostgreSQL's advisory lock that one writer holds at a time ("boot" in ASCII)."""

_PRAGMAS = (
    f"PRAGMA busy_timeout={WAIT_MS}",
    "PRAGMA journal_mode=WAL",
    "PRAGMA synchronous=FULL",
    "PRAGMA fullfsync=ON",
    "PRAGMA foreign_keys=ON",
    "PRAGMA recursive_triggers=ON",
    "PRAGMA trusted_schema=OFF",
)
"""`fullfsync`: on a Mac an ordinary flush stops at the disk's own cache. `recursive_triggers`: without it INSERT OR
REPLACE would delete a row of the log past the trigger that forbids it."""


class Database:
    """One database: `path` of the SQLite file or None, `place` its name in messages."""

    def __init__(self, engine: Engine, *, path: Path | None, place: str) -> None:
        self.engine = engine
        self.path = path
        self.place = place
        self._writer = threading.Lock()

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A connection that sees one moment of the database."""
        with told(self.place), self.engine.connect() as connection:
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that no other writer, in this process or another, is inside of; kept when it ends well.

        Threads queue on a lock of their own: SQLite makes them sleep and ask again, which is neither fair nor fast.
        """
        with told(self.place), self._writer, self.engine.connect() as plain:
            connection = plain.execution_options(boottop_write=True)
            with connection.begin():
                if self.path is None:
                    connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": WRITE_KEY})
                yield connection

    def close(self) -> None:
        """Close every connection; SQLite then folds its write-ahead log into the file."""
        self.engine.dispose()


def sqlite_database(path: Path) -> Database:
    """The database in a file; nothing is opened yet."""
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
        connect_args={"isolation_level": None, "timeout": WAIT_MS / 1000.0},
        pool_size=8,
        max_overflow=-1,
    )
    event.listen(engine, "connect", _set_pragmas)
    event.listen(engine, "begin", _begin)
    return Database(engine, path=path, place=str(path))


def postgres_database(url: URL) -> Database:
    """The database on a server; nothing is opened yet."""
    engine = create_engine(url, pool_size=8, max_overflow=40, pool_pre_ping=True, connect_args={"connect_timeout": 10})
    event.listen(engine, "connect", _set_durable)
    return Database(engine, path=None, place=url.render_as_string(hide_password=True))


def _set_pragmas(raw: Any, _record: object) -> None:
    cursor = raw.cursor()
    for pragma in _PRAGMAS:
        cursor.execute(pragma)
    cursor.close()


def _set_durable(raw: Any, _record: object) -> None:
    with raw.cursor() as cursor:
        cursor.execute("SET synchronous_commit = on")
        cursor.execute("SET lock_timeout = '10s'")
    raw.commit()


def _begin(connection: Connection) -> None:
    """Begin by hand: the driver would begin too late for a read and without the lock for a write."""
    writing = connection.get_execution_options().get("boottop_write", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")
