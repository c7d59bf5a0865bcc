"""Copies of a SQLite file in use, by SQLite's own backup call, and the check that a file is sound."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from boottop.base.errors import InputError
from boottop.store.failure import told
from boottop.store.refusal import refuse

MAGIC = b"SQLite format 3\0"


def copy_database(source: Path, target: Path) -> None:
    """Write a copy of the database as it stands at one moment, whole or not at all; writers are not held up.

    The copy is one file, without a write-ahead log beside it, and is flushed to the disk. InputError when it fails.
    """
    part = target.with_name(f".{target.name}.part")
    try:
        with told(str(target)), closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(part)) as new:
            old.backup(new)
            new.execute("PRAGMA journal_mode=DELETE")
        flush(part)
        part.replace(target)
        flush_folder(target.parent)
    except OSError as error:
        raise no_place(target, error) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def check_sound(path: Path) -> None:
    """InputError unless the file is a SQLite database without damage."""
    with path.open("rb") as file:
        start = file.read(len(MAGIC))
    if start != MAGIC:
        raise refuse(
            str(path),
            found=f"a file that is no database (it begins with {start!r})",
            allowed="a file made by boottop",
            advice="Give the place of a job's file, or a place where there is no file yet.",
        )
    with told(str(path)), closing(sqlite3.connect(path)) as connection:
        faults = [row[0] for row in connection.execute("PRAGMA quick_check(3)")]
    if faults != ["ok"]:
        raise _damaged(path, "; ".join(faults).replace("\n", " "))


def flush(path: Path) -> None:
    """Have the system put a file on the disk."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def flush_folder(folder: Path) -> None:
    """Have the system put the names in a folder on the disk, where folders can be flushed (not on Windows)."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def no_place(path: Path, error: OSError) -> InputError:
    """The error for a file that cannot be written or read."""
    return refuse(
        str(path),
        found=f"it cannot be written or read ({error.strerror or error})",
        allowed="a file in a folder that exists, may be written to and has space left",
        advice="Free some space, give the right to write there, or give another place.",
    )


def _damaged(path: Path, faults: str) -> InputError:
    return refuse(
        str(path),
        found=f"a damaged database ({faults})",
        allowed="a sound SQLite database",
        advice="Keep the file, restore the last backup to a new place (boottop restore); let the phones send again.",
    )
