"""kill -9 in the middle of appends, and two processes at once: what was acknowledged is there, once."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from boottop.store.open import open_store
from tests.faults.store_places import appender
from tests.store.made import ENGINES, NOW, event, new_address, numbered_id


def _job(address: str, folder: Path) -> str:
    with open_store(address, photo_folder=folder) as store:
        return store.jobs.create("Gannet", now=NOW).id


@pytest.mark.parametrize("killed_after", [1, 137, 640])
@pytest.mark.parametrize("engine", ENGINES)
def test_killed_during_a_thousand_appends(engine: str, killed_after: int, tmp_path: Path) -> None:
    address = new_address(engine, tmp_path)
    job = _job(address, tmp_path)
    process = appender(address, job)
    assert process.stdout is not None
    acknowledged = [process.stdout.readline().strip() for _ in range(killed_after)]
    process.kill()
    rest, errors = process.communicate(timeout=30)
    acknowledged += rest.split()
    assert process.returncode == -9, errors
    with open_store(address, create=False, photo_folder=tmp_path) as store:
        logged = [entry.event.id for entry in store.events_after(job, 0)]
        assert logged[: len(acknowledged)] == acknowledged
        assert len(logged) - len(acknowledged) in (0, 1), "one may be in the log whose answer was on its way"
        assert len(set(logged)) == len(logged) < 1000
        assert store.verify_chain(job) == []
        again = [event(number, id=numbered_id(number)) for number in range(1, 1001)]
        assert store.append(job, again, now=NOW).added == 1000 - len(logged)
        assert store.verify_chain(job) == []


@pytest.mark.parametrize("engine", ENGINES)
def test_two_processes_with_events_in_common(engine: str, tmp_path: Path) -> None:
    address = new_address(engine, tmp_path)
    job = _job(address, tmp_path)
    processes = [appender(address, job, first=first, count=200) for first in (1, 101)]
    for process in processes:
        told, errors = process.communicate(timeout=120)
        assert (process.returncode, len(told.split())) == (0, 200), errors
    with open_store(address, create=False, photo_folder=tmp_path) as store:
        logged = [entry.event.id for entry in store.events_after(job, 0)]
        assert sorted(logged) == sorted(numbered_id(number) for number in range(1, 301))
        assert store.verify_chain(job) == []


@pytest.mark.parametrize("kept", ["half", "none", "garbage"])
def test_a_spoilt_write_ahead_log_leaves_a_whole_beginning(kept: str, tmp_path: Path) -> None:
    """What a disk that lies about flushing leaves behind: the log ends earlier, but it is whole up to there."""
    address = str(tmp_path / "job.db")
    job = _job(address, tmp_path)
    process = appender(address, job)
    assert process.stdout is not None
    for _ in range(60):
        process.stdout.readline()
    process.kill()
    process.communicate(timeout=30)
    wal = tmp_path / "job.db-wal"
    content = wal.read_bytes()
    middle = len(content) // 2
    wal.write_bytes({"half": content[:middle], "none": b"", "garbage": content[:middle] + b"\xa5" * middle}[kept])
    with open_store(address, create=False) as store:
        if kept == "none":
            assert store.jobs.all() in ([], [store.jobs.get(job)])
            return
        logged = store.events_after(job, 0)
        assert [entry.event.id for entry in logged] == [numbered_id(number + 1) for number in range(len(logged))]
        assert 0 < len(logged) < 60
        assert store.verify_chain(job) == []
        store.append(job, [event(number, id=numbered_id(number)) for number in range(1, 61)], now=NOW).check()
        assert [entry.event.order for entry in store.events_after(job, 0)] == list(range(1, 61))


def test_a_copy_of_the_file_without_its_write_ahead_log_is_sound(tmp_path: Path) -> None:
    """Copying the one file is no backup (events may be missing) but never gives a broken log."""
    with open_store(tmp_path / "job.db") as store:
        job = store.jobs.create("Gannet", now=NOW).id
        store.append(job, [event()], now=NOW)
        shutil.copy(tmp_path / "job.db", tmp_path / "copy.db")
    with open_store(tmp_path / "copy.db") as copy:
        assert all(copy.verify_chain(one.id) == [] for one in copy.jobs.all())
