"""Full disks, read-only folders, damaged files: said in words, and nothing that was acknowledged is lost."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.store.backup import backup
from boottop.store.open import open_store
from boottop.store.store import Store
from tests.faults.store_places import appender, read_only, small_disk
from tests.store.made import NOW, event, events
from tests.store.schemas import load


def test_full_disk(tmp_path: Path) -> None:
    with small_disk(tmp_path, size_kb=1200) as disk, open_store(disk / "job.db") as store:
        (disk / "ballast").write_bytes(bytes(300_000))
        job = store.jobs.create("Gannet", now=NOW).id
        acknowledged: list[str] = []
        with pytest.raises(InputError, match="the disk is full; nothing of this step was written"):
            _fill(store, job, acknowledged)
        assert acknowledged
        assert [entry.event.id for entry in store.events_after(job, 0)] == acknowledged
        with pytest.raises(InputError, match=r"disk is full|No space left"):
            backup(store, disk / "backup.zip", now=NOW)
        with pytest.raises(InputError, match="No space left"):
            store.photos.put(job, bytes(2_000_000), content_type="image/png", now=NOW)
        assert sorted(path.name for path in disk.iterdir() if path.is_file() and "job.db" not in path.name) == [
            "ballast"
        ]
        (disk / "ballast").unlink()
        store.append(job, [event()], now=NOW).check()
        assert store.event_count(job) == len(acknowledged) + 1
        assert store.verify_chain(job) == []


def _fill(store: Store, job: str, acknowledged: list[str]) -> None:
    for number in range(5_000):
        sent = event(number, data={"text": "x" * 2_000})
        acknowledged += store.append(job, [sent], now=NOW).acknowledged


def test_no_room_for_the_copy_before_a_migration(tmp_path: Path) -> None:
    with small_disk(tmp_path, size_kb=400) as disk:
        load("0001", disk / "job.db")
        before = (disk / "job.db").read_bytes()
        room = os.statvfs(disk)
        (disk / "ballast").write_bytes(bytes(room.f_bavail * room.f_frsize))
        with pytest.raises(InputError, match=r"disk is full|No space left|disk reported an error"):
            open_store(disk / "job.db")
        (disk / "ballast").unlink()
        assert (disk / "job.db").read_bytes()[100:] == before[100:]
        open_store(disk / "job.db").close()


@pytest.mark.skipif(os.name != "posix", reason="limits of file sizes are a thing of POSIX")
def test_a_file_that_may_grow_no_more(tmp_path: Path) -> None:
    with open_store(tmp_path / "job.db") as store:
        job = store.jobs.create("Gannet", now=NOW).id
    process = appender(str(tmp_path / "job.db"), job, count=5_000, limit_bytes=400_000)
    told, errors = process.communicate(timeout=120)
    assert process.returncode == 2
    assert "nothing of this step was written" in errors
    with open_store(tmp_path / "job.db") as store:
        logged = [entry.event.id for entry in store.events_after(job, 0)]
        assert logged == told.split()
        assert len(logged) > 10
        assert store.verify_chain(job) == []


def test_read_only_folder(tmp_path: Path) -> None:
    if os.geteuid() == 0:
        with small_disk(tmp_path, size_kb=2_000) as disk:
            _read_only(disk)
    else:
        _read_only(tmp_path)


def _read_only(folder: Path) -> None:
    with open_store(folder / "job.db") as store:
        job = store.jobs.create("Gannet", now=NOW).id
        store.append(job, events(3), now=NOW)
    with read_only(folder):
        for name in ("job.db", "new.db"):
            with pytest.raises(InputError, match="may only be read"):
                open_store(folder / name)
    with open_store(folder / "job.db") as store:
        assert store.event_count(job) == 3
        assert store.verify_chain(job) == []


def _zero_start(content: bytearray) -> None:
    content[:4096] = bytes(4096)


def _noise_in_the_middle(content: bytearray) -> None:
    content[4096 * 3 : 4096 * 9] = b"\xa5" * (4096 * 6)


def _cut(content: bytearray) -> None:
    del content[len(content) // 2 :]


DAMAGE: dict[str, tuple[Callable[[bytearray], None], str]] = {
    "start zeroed": (_zero_start, "no database"),
    "noise in the middle": (_noise_in_the_middle, "damaged"),
    "cut in half": (_cut, "damaged"),
}


@pytest.mark.parametrize("name", DAMAGE)
def test_damaged_file(name: str, tmp_path: Path) -> None:
    damage, words = DAMAGE[name]
    path = tmp_path / "job.db"
    with open_store(path) as store:
        store.append(store.jobs.create("Gannet", now=NOW).id, events(200), now=NOW)
    content = bytearray(path.read_bytes())
    damage(content)
    path.write_bytes(content)
    with pytest.raises(InputError, match=words):
        open_store(path)
    assert path.read_bytes() == bytes(content), "the damaged file is left for whoever can rescue it"


def test_one_changed_letter_is_found_by_the_chain(tmp_path: Path) -> None:
    """SQLite's own check sees the shape of the file only."""
    path = tmp_path / "job.db"
    with open_store(path) as store:
        job = store.jobs.create("Gannet", now=NOW).id
        store.append(job, [event(number, who=f"Person {number}") for number in range(1, 21)], now=NOW)
    path.write_bytes(path.read_bytes().replace(b"Person 13", b"Persom 13"))
    with open_store(path) as store:
        (fault,) = store.verify_chain(job)
    assert fault.startswith("event 13 (coat_finished, ")
