"""From every released schema forward: nothing lost, a copy kept, and the tables as the program thinks they are."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from importlib.resources import files
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from boottop.base.errors import InputError
from boottop.store.database import postgres_database, sqlite_database
from boottop.store.migrate import REVISIONS, upgrade
from boottop.store.open import open_store
from boottop.store.store import Store
from boottop.store.tables import DOCUMENTS, EVENTS, HEAD, JOBS, METADATA, VERSION_TABLE
from tests.store.made import NOW, event, new_address
from tests.store.schemas import JOB, expected_events, fixture, load


def test_the_list_of_revisions_is_that_of_the_steps() -> None:
    config = Config()
    config.set_main_option("script_location", str(files("boottop.store") / "migrations"))
    config.set_main_option("path_separator", "os")
    steps = [step.revision for step in ScriptDirectory.from_config(config).walk_revisions()]
    assert tuple(reversed(steps)) == REVISIONS
    assert REVISIONS[-1] == HEAD


def test_the_steps_make_the_tables_that_the_program_uses(store: Store) -> None:
    with store.database.read() as connection:
        context = MigrationContext.configure(connection, opts={"version_table": VERSION_TABLE})
        assert compare_metadata(context, METADATA) == []


@pytest.mark.parametrize("revision", REVISIONS)
def test_every_revision_has_a_store_to_start_from(revision: str) -> None:
    assert fixture(revision).is_file(), f"python -m tests.store.schemas {revision}"


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_file_of_a_released_version_comes_forward_with_all_it_holds(revision: str, tmp_path: Path) -> None:
    path = tmp_path / "job.db"
    load(revision, path)
    with open_store(path, create=False) as store:
        assert [entry.event for entry in store.events_after(JOB, 0)] == expected_events()
        assert store.verify_chain(JOB) == []
        assert store.documents.get(JOB, kind="job", name="job.toml").text == "[boat]\n"
        store.people.open_session(JOB, "skipper", device="laptop", who="Ana", now=NOW)
        assert store.append(JOB, [event()], now=NOW).first_seq == 13
    copies = [copy.name for copy in tmp_path.glob("*.schema-*")]
    assert copies == ([] if revision == HEAD else [f"job.db.schema-{revision}"])
    with open_store(path) as store:
        assert store.event_count(JOB) == 13


def test_the_copy_is_the_file_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "job.db"
    load("0001", path)
    (tmp_path / "job.db.schema-0001").write_text("an older copy")
    open_store(path).close()
    with closing(sqlite3.connect(tmp_path / "job.db.schema-0001-2")) as connection:
        assert connection.execute("SELECT version_num FROM boottop_schema").fetchone() == ("0001",)
        assert connection.execute("SELECT count(*) FROM events").fetchone() == (12,)
    assert (tmp_path / "job.db.schema-0001").read_text() == "an older copy"


def test_a_step_that_fails_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "job.db"
    load("0001", path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE pairing_misses (in_the_way)")
    with pytest.raises(Exception, match="pairing_misses already exists"):
        open_store(path)
    with closing(sqlite3.connect(path)) as connection:
        tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        assert not {"people", "sessions", "pairings"} & tables
        assert connection.execute("SELECT version_num FROM boottop_schema").fetchone() == ("0001",)
        assert connection.execute("SELECT count(*) FROM events").fetchone() == (12,)


def test_a_server_comes_forward_from_the_first_schema(tmp_path: Path) -> None:
    address = new_address("postgresql", tmp_path)
    load("0001", tmp_path / "job.db")
    source = sqlite_database(tmp_path / "job.db")
    with open_store(address, photo_folder=tmp_path) as store:
        url = store.database.engine.url
    target = postgres_database(url)
    with target.write() as connection:
        for table in (*reversed(METADATA.sorted_tables),):
            connection.execute(text(f"DROP TABLE {table.name}"))
        connection.execute(text(f"DROP TABLE {VERSION_TABLE}"))
        connection.execute(text("DROP FUNCTION boottop_events_refuse"))
        upgrade(connection, "0001")
        for table in (JOBS, DOCUMENTS, EVENTS):
            with source.read() as old:
                rows = [dict(row) for row in old.execute(table.select()).mappings()]
            connection.execute(table.insert(), rows)
    target.close()
    source.close()
    with open_store(address, create=False) as store:
        assert [entry.event for entry in store.events_after(JOB, 0)] == expected_events()
        assert store.verify_chain(JOB) == []
        assert store.append(JOB, [event()], now=NOW).first_seq == 13


def test_a_newer_schema_is_left_alone(address: str, tmp_path: Path) -> None:
    with open_store(address, photo_folder=tmp_path) as store, store.database.write() as connection:
        connection.execute(text(f"UPDATE {VERSION_TABLE} SET version_num = '0999'"))
    with pytest.raises(InputError, match="schema 0999, made by a newer version of boottop"):
        open_store(address, photo_folder=tmp_path)
