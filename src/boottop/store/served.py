"""Whether another server has the same store open: a lock that the system itself lets go when its holder dies.

Every server holds a share of the lock for as long as it runs, so that a new one, which asks for all of it, learns of
any other. Nothing is refused by it: both servers keep every entry, only the live updates of one do not reach the
other's phones. Where no lock can be had (a disk that knows none, a folder that is full) nothing is said rather than
something wrong.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from sqlalchemy import Connection, text
from sqlalchemy.exc import SQLAlchemyError

from boottop.store.database import Database

SERVING_KEY = 0x736572766564
"""Key of PostgreSQL's advisory lock that every server shares ("served" in ASCII)."""
ENDING = ".serving"
SLOTS = 16


@contextmanager
def marked_as_served(database: Database) -> Iterator[bool]:
    """Hold a share of the store's lock meanwhile; gives whether another server holds one as well."""
    if database.path is None:
        with _server_share(database) as others:
            yield others
    else:
        with _file_share(database.path.with_name(database.path.name + ENDING)) as others:
            yield others


@contextmanager
def _file_share(path: Path) -> Iterator[bool]:
    try:
        file = path.open("a+b")
    except OSError:
        yield False
        return
    with file:  # closing it lets the lock go
        yield _share_taken(file)


if sys.platform == "win32":
    import msvcrt

    def _share_taken(file: IO[bytes]) -> bool:
        """Windows has no shares here: every server locks a byte of its own, the first that is free (not tried there);
        whether another is locked."""
        mine, others = False, False
        for slot in range(SLOTS):
            file.seek(slot)
            try:
                msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
            except OSError:
                others = True
                continue
            if mine:
                file.seek(slot)
                msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
            mine = True
        return others

else:
    import fcntl

    def _share_taken(file: IO[bytes]) -> bool:
        """Take a share; whether somebody else holds one."""
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            others = False
        except BlockingIOError:
            others = True
        except OSError:  # a disk that knows no locks
            return False
        fcntl.flock(file, fcntl.LOCK_SH)  # who has all of it keeps it for an instant only
        return others


@contextmanager
def _server_share(database: Database) -> Iterator[bool]:
    """The lock is of the connection, which is kept open; PostgreSQL lets it go when the connection ends."""
    try:
        connection = database.engine.connect().execution_options(isolation_level="AUTOCOMMIT")
    except SQLAlchemyError:
        yield False
        return
    with connection:
        try:
            others = _shared(connection)
        except SQLAlchemyError:
            others = False
        yield others
        connection.invalidate()  # not back to the pool with the lock on it


def _shared(connection: Connection) -> bool:
    key = {"key": SERVING_KEY}
    alone = bool(connection.execute(text("SELECT pg_try_advisory_lock(:key)"), key).scalar_one())
    connection.execute(text("SELECT pg_advisory_lock_shared(:key)"), key)
    if alone:
        connection.execute(text("SELECT pg_advisory_unlock(:key)"), key)
    return not alone
