"""Backup while the store is in use, and restore: whole or not at all, and never over what is there."""

from __future__ import annotations

import hashlib
import json
import threading
import zipfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.store.backup import MANIFEST, backup, restore
from boottop.store.open import open_store
from boottop.store.store import Store
from tests.store.made import NOW, event, events, new_address
from tests.store.schemas import JOB, expected_events, load

PICTURE = b"\xff\xd8\xff picture"


@pytest.fixture
def job(file_store: Store) -> str:
    """A job with something of everything."""
    made = file_store.jobs.create("Gannet 2026", now=NOW)
    file_store.append(made.id, events(20), now=NOW)
    file_store.documents.put(made.id, "[boat]\n", kind="job", name="job.toml", now=NOW)
    file_store.photos.put(made.id, PICTURE, content_type="image/jpeg", now=NOW)
    file_store.people.open_session(made.id, "skipper", device="laptop", who="Ana", now=NOW)
    return made.id


def test_everything_comes_back(file_store: Store, job: str, tmp_path: Path) -> None:
    saved = backup(file_store, tmp_path / "backup.zip", now=NOW)
    assert saved.rows == {"jobs": 1, "events": 20, "documents": 1, "photos": 1, "people": 1, "sessions": 1}
    assert saved.missing == ()
    assert restore(tmp_path / "backup.zip", tmp_path / "again.db") == saved
    with open_store(tmp_path / "again.db", create=False) as again:
        assert again.events_after(job, 0) == file_store.events_after(job, 0)
        assert again.jobs.all() == file_store.jobs.all()
        assert again.documents.all(job) == file_store.documents.all(job)
        assert [again.photos.read(photo) for photo in again.photos.all(job)] == [PICTURE]
        assert again.people.sessions(job, now=NOW) == file_store.people.sessions(job, now=NOW)
        assert again.append(job, [event()], now=NOW).first_seq == 21
    assert sorted(path.name for path in tmp_path.iterdir() if "job.db" not in path.name) == [
        "again.db", "again.db.photos", "backup.zip",
    ]  # fmt: skip


def test_a_backup_in_the_middle_of_the_work(file_store: Store, job: str, tmp_path: Path) -> None:
    stop, posted = threading.Event(), [0]

    def post() -> None:
        while not stop.is_set():
            posted[0] += file_store.append(job, [event()], now=NOW).added

    writers = [threading.Thread(target=post) for _ in range(3)]
    for writer in writers:
        writer.start()
    counts = []
    for number in range(4):
        counts.append(backup(file_store, tmp_path / f"{number}.zip", now=NOW).rows["events"])
        restore(tmp_path / f"{number}.zip", tmp_path / f"again{number}.db")
    stop.set()
    for writer in writers:
        writer.join()
    assert counts == sorted(counts)
    assert counts[-1] > 20
    assert file_store.verify_chain(job) == []


def test_nothing_is_overwritten(file_store: Store, job: str, tmp_path: Path) -> None:
    target = tmp_path / "backup.zip"
    backup(file_store, target, now=NOW)
    before = target.read_bytes()
    with pytest.raises(InputError, match="something there already"):
        backup(file_store, target, now=NOW + timedelta(days=1))
    assert target.read_bytes() == before
    for name in ("again.db", "again.db-wal", "again.db-shm", "again.db.photos"):
        place = tmp_path / name
        place.write_text("mine")
        with pytest.raises(InputError, match="something there already"):
            restore(target, tmp_path / "again.db")
        assert place.read_text() == "mine"
        place.unlink()


def test_places_that_cannot_be_written_or_read(file_store: Store, job: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"cannot be written or read .No such file"):
        backup(file_store, tmp_path / "none" / "backup.zip", now=NOW)
    with pytest.raises(InputError, match=r"cannot be written or read .No such file"):
        restore(tmp_path / "none.zip", tmp_path / "again.db")


def test_missing_and_changed_photographs_are_listed_and_the_rest_is_saved(
    file_store: Store, job: str, tmp_path: Path
) -> None:
    kept = file_store.photos.put(job, b"second", content_type="image/png", now=NOW)
    gone = file_store.photos.put(job, b"third", content_type="image/png", now=NOW)
    folder = file_store.photos.folder
    assert folder is not None
    (folder / kept.path).write_bytes(b"changed")
    (folder / gone.path).unlink()
    saved = backup(file_store, tmp_path / "backup.zip", now=NOW)
    assert sorted(saved.missing) == sorted(
        [f"{kept.sha256}: its file was changed", f"{gone.sha256}: its file is missing"]
    )
    assert restore(tmp_path / "backup.zip", tmp_path / "again.db") == saved


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-500])


def _flip(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[len(content) // 3] ^= 0xFF
    path.write_bytes(content)


def _rewrite(path: Path, change: Callable[[dict[str, object]], object]) -> None:
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    table = json.loads(parts[MANIFEST])
    change(table)
    parts[MANIFEST] = json.dumps(table).encode()
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


SPOILT: dict[str, tuple[Callable[[Path], object], str]] = {
    "cut short": (_cut, "no whole backup"),
    "one byte": (_flip, "no whole backup|a damaged store.db"),
    "no zip": (lambda path: path.write_text("nothing"), "no whole backup"),
    "other rows": (lambda path: _rewrite(path, lambda table: table.update(rows={})), "other numbers of rows"),
    "other end": (lambda path: _rewrite(path, lambda table: table.update(heads={})), "its end is not the one"),
    "other format": (lambda path: _rewrite(path, lambda table: table.update(format="2")), "another format"),
    "way out": (lambda path: _rewrite(path, lambda table: table.update(files={"../x": "0"})), "cannot be read"),
    "no manifest": (lambda path: _rewrite(path, lambda table: table.clear()), "cannot be read"),
    "more files": (
        lambda path: _rewrite(path, lambda table: table.update(files={"store.db": "0" * 64})), "a damaged store.db",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_backup_is_refused_and_leaves_nothing(
    file_store: Store, job: str, *, tmp_path: Path, name: str
) -> None:
    spoil, words = SPOILT[name]
    backup(file_store, tmp_path / "backup.zip", now=NOW)
    spoil(tmp_path / "backup.zip")
    with pytest.raises(InputError, match=words):
        restore(tmp_path / "backup.zip", tmp_path / "again.db")
    assert not [path for path in tmp_path.iterdir() if "again" in path.name]


def test_a_log_that_was_changed_before_the_backup_is_told_at_restore(
    file_store: Store, job: str, tmp_path: Path
) -> None:
    with file_store.database.write() as connection:
        connection.exec_driver_sql("DROP TRIGGER events_no_update")
        connection.exec_driver_sql("UPDATE events SET who = 'Eve' WHERE seq = 7")
    backup(file_store, tmp_path / "backup.zip", now=NOW)
    with pytest.raises(InputError, match=r"a broken log of the job 'Gannet 2026' .event 7 .* was changed"):
        restore(tmp_path / "backup.zip", tmp_path / "again.db")


def test_a_backup_of_an_older_version_comes_forward(tmp_path: Path) -> None:
    load("0001", tmp_path / "old.db")
    with open_store(tmp_path / "old.db") as store:
        backup(store, tmp_path / "backup.zip", now=NOW)
    old = tmp_path / "old.db.schema-0001"
    with zipfile.ZipFile(tmp_path / "backup.zip") as archive:
        table = json.loads(archive.read(MANIFEST))
    table["files"] = {"store.db": hashlib.sha256(old.read_bytes()).hexdigest()}
    table["rows"] = {"jobs": 1, "events": 12, "documents": 1, "photos": 0}
    with zipfile.ZipFile(tmp_path / "older.zip", "w") as archive:
        archive.writestr(MANIFEST, json.dumps(table))
        archive.write(old, "store.db")
    restore(tmp_path / "older.zip", tmp_path / "again.db")
    with open_store(tmp_path / "again.db", create=False) as again:
        assert [entry.event for entry in again.events_after(JOB, 0)] == expected_events()
    assert not list(tmp_path.glob("again.db.schema-*"))


def test_a_server_has_its_own_tool(tmp_path: Path) -> None:
    with open_store(new_address("postgresql", tmp_path)) as store, pytest.raises(InputError, match="pg_dump"):
        backup(store, tmp_path / "backup.zip", now=NOW)
