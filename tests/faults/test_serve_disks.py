"""Full disks, folders that may only be read and damaged files under a running server: said, and nothing lost."""

from __future__ import annotations

import hashlib
import os
import shutil
from pathlib import Path
from typing import Any

import httpx
import pytest

from boottop.store.open import open_store
from tests.e2e.runner import run
from tests.faults.served import paired_store, serving
from tests.faults.store_places import read_only, small_disk
from tests.web.made_events import event

JPEG = b"\xff\xd8\xff\xe0" + bytes(400_000)
PAGE = 4096


def _long(number: int) -> dict[str, Any]:
    return event(order=number, data={"text": "x" * 1_900})


def _fill(phone: httpx.Client, job: str, acknowledged: list[str]) -> tuple[list[dict[str, Any]], httpx.Response]:
    """Post until the server cannot write; what was not taken, and the answer."""
    for number in range(100):
        batch = [_long(20 * number + place) for place in range(20)]
        answer = phone.post(f"/api/jobs/{job}/events", json={"events": batch})
        if answer.status_code != 200:
            return batch, answer
        acknowledged += answer.json()["acknowledged"]
    raise AssertionError("the disk did not become full")


def test_full_disk(tmp_path: Path) -> None:
    with small_disk(tmp_path, size_kb=1500) as disk:
        job, (session,) = paired_store(disk / "job.db")
        (disk / "ballast").write_bytes(bytes(400_000))
        acknowledged: list[str] = []
        with serving(disk / "job.db") as server, server.phone(session) as phone:
            waits, answer = _fill(phone, job, acknowledged)
            assert answer.status_code == 503
            assert "the disk is full" in answer.json()["problems"][0]["found"]
            assert "still on the phone" in answer.json()["problems"][0]["advice"]
            assert int(answer.headers["retry-after"]) > 0
            put = phone.put(
                f"/api/jobs/{job}/photos/{hashlib.sha256(JPEG).hexdigest()}",
                content=JPEG,
                headers={"Content-Type": "image/jpeg"},
            )
            assert put.status_code == 503
            assert phone.get(f"/api/jobs/{job}/events").json()["seq"] == len(acknowledged), "it can be read still"
            (disk / "ballast").unlink()
            again = phone.post(f"/api/jobs/{job}/events", json={"events": waits})
            assert again.json()["acknowledged"] == [one["id"] for one in waits]
        _is_whole(disk / "job.db", job, [*acknowledged, *(one["id"] for one in waits)])


def _is_whole(place: Path, job: str, ids: list[str]) -> None:
    with open_store(place, create=False) as store:
        assert [one.event.id for one in store.events_after(job, 0)] == ids
        assert store.verify_chain(job) == []


@pytest.mark.skipif(os.name != "posix", reason="limits of file sizes are a thing of POSIX")
def test_files_that_may_grow_no_more(tmp_path: Path) -> None:
    job, (session,) = paired_store(tmp_path / "job.db")
    acknowledged: list[str] = []
    with serving(tmp_path / "job.db", file_bytes=1_000_000) as server, server.phone(session) as phone:
        waits, answer = _fill(phone, job, acknowledged)
        assert answer.status_code == 503
        assert "nothing of this step was written" in answer.json()["problems"][0]["found"]
    with serving(tmp_path / "job.db") as server, server.phone(session) as phone:
        again = phone.post(f"/api/jobs/{job}/events", json={"events": waits})
        assert again.json()["acknowledged"] == [one["id"] for one in waits]
    _is_whole(tmp_path / "job.db", job, [*acknowledged, *(one["id"] for one in waits)])


def test_a_folder_that_may_only_be_read_is_said_at_the_start(tmp_path: Path) -> None:
    if os.geteuid() == 0:
        with small_disk(tmp_path, size_kb=2_000) as disk:
            _read_only(disk, tmp_path)
    else:
        _read_only(tmp_path, tmp_path)


def _read_only(folder: Path, work: Path) -> None:
    job, _ = paired_store(folder / "job.db")
    with read_only(folder):
        for name in ("job.db", "new.db"):
            found = run("serve", "--store", folder / name, "--port", "0", "--no-open", cwd=work)
            assert found.code == 2
            assert "may only be read" in found.err
    _is_whole(folder / "job.db", job, [])


def test_a_file_that_is_damaged_while_it_is_served_is_said_and_a_backup_with_the_phone_brings_all_back(
    tmp_path: Path,
) -> None:
    place = tmp_path / "job.db"
    job, (session,) = paired_store(place)
    queue = [_long(number) for number in range(60)]
    with serving(place) as server, server.phone(session) as phone:
        phone.post(f"/api/jobs/{job}/events", json={"events": queue[:40]}).raise_for_status()
    assert run("backup", tmp_path / "kept.zip", "--store", place, cwd=tmp_path).code == 0
    with serving(place) as server, server.phone(session) as phone, server.client() as keeper:
        with place.open("r+b") as file:
            file.seek(PAGE)
            file.write(os.urandom(place.stat().st_size - PAGE))
        address = f"/api/jobs/{job}/events"
        read, sent = phone.get(address), phone.post(address, json={"events": queue[40:]})
        for answer in (read, sent, keeper.get(address)):
            assert answer.status_code == 503, answer.text
            assert "damaged" in answer.json()["problems"][0]["found"]
    damaged = place.read_bytes()
    refused = run("serve", "--store", place, "--port", "0", "--no-open", cwd=tmp_path)
    assert refused.code == 2
    assert "damaged" in refused.err
    assert "restore the last backup" in " ".join(refused.err.split())
    assert place.read_bytes() == damaged, "the damaged file is left for whoever can rescue it"
    assert run("restore", tmp_path / "kept.zip", tmp_path / "again.db", cwd=tmp_path).code == 0
    with serving(tmp_path / "again.db") as server, server.phone(session) as phone:
        answer = phone.post(f"/api/jobs/{job}/events", json={"events": queue})
        assert answer.json()["acknowledged"] == [one["id"] for one in queue]
    _is_whole(tmp_path / "again.db", job, [one["id"] for one in queue])


def test_the_place_of_the_photographs_is_gone(tmp_path: Path) -> None:
    job, (session,) = paired_store(tmp_path / "job.db")
    digest = hashlib.sha256(JPEG).hexdigest()
    with serving(tmp_path / "job.db") as server, server.phone(session) as phone:
        address = f"/api/jobs/{job}/photos/{digest}"
        phone.put(address, content=JPEG, headers={"Content-Type": "image/jpeg"}).raise_for_status()
        shutil.rmtree(tmp_path / "job.db.photos")
        answer = phone.get(address)
        assert answer.status_code == 503
        assert "its file cannot be read" in answer.json()["problems"][0]["found"]
        phone.put(address, content=JPEG, headers={"Content-Type": "image/jpeg"}).raise_for_status()
        assert phone.get(address).content == JPEG
