"""`boottop backup` while the board is served, and `boottop restore`: log, photographs and paired phones come back."""

from __future__ import annotations

import hashlib
from pathlib import Path

from boottop.store.open import open_store
from tests.e2e.runner import refused, run
from tests.faults.served import paired_store, serving
from tests.web.made_events import event

JPEGS = [b"\xff\xd8\xff\xe0" + bytes([number]) * 30_000 for number in (1, 2)]
AS_JPEG = {"Content-Type": "image/jpeg"}


def test_log_photographs_and_phones_come_back(tmp_path: Path) -> None:
    job, (session,) = paired_store(tmp_path / "a.db")
    digests = [hashlib.sha256(content).hexdigest() for content in JPEGS]
    queue = [event(order=number) for number in range(5)]
    with serving(tmp_path / "a.db") as server, server.phone(session) as phone:
        for digest, content in zip(digests, JPEGS, strict=True):
            phone.put(f"/api/jobs/{job}/photos/{digest}", content=content, headers=AS_JPEG).raise_for_status()
            queue.append(event("photo", data={"sha256": digest, "name": "keel.jpg", "bytes": len(content)}))
        phone.post(f"/api/jobs/{job}/events", json={"events": queue}).raise_for_status()
        saved = run("backup", tmp_path / "kept.zip", "--store", tmp_path / "a.db", cwd=tmp_path)
        phone.post(f"/api/jobs/{job}/events", json={"events": [event()]}).raise_for_status()
    assert saved.code == 0, saved.err
    assert "7 events" in saved.err + saved.out
    brought = run("restore", tmp_path / "kept.zip", tmp_path / "b.db", cwd=tmp_path)
    assert brought.code == 0, brought.err
    with open_store(tmp_path / "b.db", create=False) as store:
        assert [one.event.id for one in store.events_after(job, 0)] == [one["id"] for one in queue]
        assert store.verify_chain(job) == []
    with serving(tmp_path / "b.db") as server, server.phone(session) as phone:
        for digest, content in zip(digests, JPEGS, strict=True):
            assert phone.get(f"/api/jobs/{job}/photos/{digest}").content == content


def test_a_place_that_is_taken_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    job, (session,) = paired_store(tmp_path / "a.db")
    assert run("backup", tmp_path / "kept.zip", "--store", tmp_path / "a.db", cwd=tmp_path).code == 0
    with serving(tmp_path / "a.db") as server, server.phone(session) as phone:
        phone.post(f"/api/jobs/{job}/events", json={"events": [event()]}).raise_for_status()
        said = refused("restore", tmp_path / "kept.zip", tmp_path / "a.db", cwd=tmp_path)
        assert "something there already" in said
        assert "never overwritten" in said
        assert phone.get(f"/api/jobs/{job}/events").json()["seq"] == 1
    said = refused("backup", tmp_path / "kept.zip", "--store", tmp_path / "a.db", cwd=tmp_path)
    assert "never overwritten" in said


def test_what_is_no_backup_or_no_store_is_said(tmp_path: Path) -> None:
    (tmp_path / "rubbish.zip").write_bytes(b"PK rubbish")
    assert "no whole backup" in refused("restore", tmp_path / "rubbish.zip", tmp_path / "b.db", cwd=tmp_path)
    assert not list(tmp_path.glob("b.db*"))
    assert "no file there" in refused("backup", tmp_path / "x.zip", "--store", tmp_path / "none.db", cwd=tmp_path)
    assert not (tmp_path / "x.zip").exists()
