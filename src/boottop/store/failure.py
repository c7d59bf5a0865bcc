"""What a database reports, said in words a person can act on: full disk, read-only folder, damaged file, no server."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from boottop.base.errors import InputError, Problem

_RESTORE = "Keep the file, restore the last backup to a new place (boottop restore), and let the phones send again."
_FREE = "Free some space, then send again: what was not acknowledged is still on the phone that made it."
_RIGHTS = "Give the right to write to the file and to its folder, or keep the job in another folder."

_SQLITE = {
    sqlite3.SQLITE_FULL: ("the disk is full; nothing of this step was written", "free space on the disk", _FREE),
    sqlite3.SQLITE_READONLY: ("the file or its folder may only be read", "a folder that may be written to", _RIGHTS),
    sqlite3.SQLITE_PERM: ("access was refused", "a file that may be read and written", _RIGHTS),
    sqlite3.SQLITE_CANTOPEN: (
        "it, or the files beside it (-wal, -shm), cannot be opened",
        "a file in a folder that exists and may be written to",
        _RIGHTS,
    ),
    sqlite3.SQLITE_IOERR: (
        "the disk reported an error; nothing of this step was written",
        "a disk that works and has space left",
        "Check the disk and its space. Keep the job on a disk of this computer: not on a network share, "
        "nor in a synchronised folder.",
    ),
    sqlite3.SQLITE_CORRUPT: ("the file is damaged", "a sound SQLite database", _RESTORE),
    sqlite3.SQLITE_NOTADB: (
        "the file is no database",
        "a file made by boottop",
        "Give the place of a job's file, or a place where there is no file yet.",
    ),
    sqlite3.SQLITE_BUSY: (
        "another program has held the file for longer than 10 s",
        "a file that only boottop writes to",
        "Close the other program, then try again.",
    ),
}
_POSTGRES = {
    "53100": ("the server's disk is full; nothing of this step was written", "free space on the disk", _FREE),
    "42501": (
        "this user may not do that",
        "a user who owns the schema",
        "Ask the keeper of the server for the right to create tables in this database.",
    ),
    "55P03": (
        "another program has held the log for longer than 10 s",
        "a log that only boottop writes to",
        "Try again; look for a session that sits idle in a transaction on the server.",
    ),
    "25006": (
        "the server accepts no writing now",
        "a primary server",
        "Give the address of the primary server.",
    ),
}


@contextmanager
def told(place: str) -> Iterator[None]:
    """Turn what the database reports inside into an InputError about `place`, where a person can do something."""
    try:
        yield
    except DBAPIError as error:
        problem = _problem(error.orig, place)
        if problem is None:
            raise
        raise InputError(problem) from error
    except sqlite3.Error as error:
        problem = _problem(error, place)
        if problem is None:
            raise
        raise InputError(problem) from error


def _problem(error: BaseException | None, place: str) -> Problem | None:
    if isinstance(error, sqlite3.Error):
        words = _SQLITE.get(getattr(error, "sqlite_errorcode", 0) & 0xFF)
        words = words or (_SQLITE[sqlite3.SQLITE_NOTADB] if "not a database" in str(error) else None)
    else:
        words = _POSTGRES.get(getattr(error, "sqlstate", None) or "") or _unreachable(error)
    if words is None:
        return None
    found, allowed, advice = words
    return Problem(where=place, found=found, allowed=allowed, advice=advice)


def _unreachable(error: BaseException | None) -> tuple[str, str, str] | None:
    """PostgreSQL gives no code to a connection that never came about or broke off."""
    code = getattr(error, "sqlstate", None)
    if type(error).__name__ != "OperationalError" or (code and not code.startswith(("08", "28", "3D", "57P"))):
        return None
    reason = str(error).strip().splitlines()[0]
    return (
        f"the server does not answer as asked ({reason})",
        "a running PostgreSQL server, with a database and a user that exist",
        "Check that the server runs, and its address, database, user and password.",
    )
