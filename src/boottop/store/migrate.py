"""Bringing a database forward to the schema of this version: one transaction a step, one program at a time."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from boottop.base.errors import InputError
from boottop.store.copying import copy_database
from boottop.store.database import Database
from boottop.store.refusal import refuse
from boottop.store.tables import HEAD, VERSION_TABLE

REVISIONS = ("0001", "0002")
"""Every revision there has been, oldest first."""


def bring_forward(database: Database, *, create: bool) -> None:
    """Run the migrations that are missing; a SQLite file that holds a job already is copied first.

    InputError for a database of another program or of a newer version of boottop, which is then left as it is.
    """
    with database.read() as connection:
        revision = _revision(connection, database.place)
    if revision is None and not create:
        raise _no_store(database.place)
    keep = revision is not None
    while revision != HEAD:
        revision = _step(database, keep=keep)
        keep = False


def _step(database: Database, *, keep: bool) -> str:
    """One step in one transaction. Who waited for the lock meanwhile finds the step done and goes on from there."""
    with database.write() as connection:
        revision = _revision(connection, database.place)
        if revision == HEAD:
            return HEAD
        if keep and revision is not None and database.path is not None:
            _keep_copy(database.path, revision)
        following = REVISIONS[0] if revision is None else REVISIONS[REVISIONS.index(revision) + 1]
        upgrade(connection, following)
    return following


def upgrade(connection: Connection, revision: str) -> None:
    """Run the steps up to a revision in the transaction of the connection."""
    from alembic import command  # 0.2 s that an up-to-date store need not wait for
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, revision)


def _revision(connection: Connection, place: str) -> str | None:
    """Revision of the database, None for an empty one."""
    tables = inspect(connection).get_table_names()
    if VERSION_TABLE not in tables:
        if tables and connection.dialect.name == "sqlite":
            raise _foreign(place, tables)
        return None
    revision = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar_one_or_none()
    if revision is not None and revision not in REVISIONS:
        raise _newer(place, revision)
    return revision


def _keep_copy(path: Path, revision: str) -> None:
    """Copy beside the file, under a name that is free: `job.db.schema-0001`, then `job.db.schema-0001-2`."""
    base = path.with_name(f"{path.name}.schema-{revision}")
    number = 1
    target = base
    while target.exists():
        number += 1
        target = base.with_name(f"{base.name}-{number}")
    copy_database(path, target)


def _foreign(place: str, tables: list[str]) -> InputError:
    return refuse(
        place,
        found=f"a database of another program (tables {', '.join(sorted(tables)[:5])})",
        allowed="a file made by boottop",
        advice="Give the place of a job's file, or a place where there is no file yet.",
    )


def _newer(place: str, revision: str) -> InputError:
    return refuse(
        place,
        found=f"schema {revision}, made by a newer version of boottop",
        allowed=f"schema {HEAD} or older",
        advice="Update boottop. Nothing in the file was changed.",
    )


def _no_store(place: str) -> InputError:
    return refuse(
        place,
        found="no job's database there",
        allowed="a database made by boottop",
        advice="Check the place, or let boottop make a new one there.",
    )
