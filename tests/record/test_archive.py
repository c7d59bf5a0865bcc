"""A whole job as one file: round trip, an archive of version 1, and what is refused."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from boottop.base.errors import InputError
from boottop.files import archive as archives
from boottop.files.archive import MANIFEST, export_job, import_job
from boottop.files.record_docs import read_facts, read_film, read_visits
from boottop.files.record_verify import verify_job
from boottop.store.open import open_store
from boottop.store.store import Store
from tests.record.archives import KEPT, changed
from tests.web.serving import Running

NOW = datetime(2026, 6, 1, tzinfo=UTC)
HEAD = "34dc3de879998eeb4dca0fa7fa6377fad062455d92bc6c748fae539d1f93ea30"
"""End of the log of the archive of version 1."""


def everything(store: Store, job: str) -> tuple[Any, ...]:
    """All that a store keeps of a job, for comparison."""
    documents = [
        (kind, name, version.version, version.sha256, version.gone, version.saved)
        for kind, name in sorted({(one.kind, one.name) for one in store.documents.all(job)})
        for version in store.documents.versions(job, kind=kind, name=name)
    ]
    photos = [(one, store.photos.read(one)) for one in store.photos.all(job)]
    return store.jobs.get(job), store.events_after(job, 0), documents, photos


def test_round_trip_of_the_finished_demonstration(finished: Running, tmp_path: Path) -> None:
    store, job = finished.house.store, finished.job
    packed = export_job(store, job, tmp_path / "job.zip", now=NOW)
    with open_store(tmp_path / "other.db") as other:
        assert import_job(other, tmp_path / "job.zip") == packed
        assert everything(other, job) == everything(store, job)
        assert verify_job(other, job, printed=packed.head).faults == ()


def test_an_archive_of_version_1_is_read_with_its_own_chain(tmp_path: Path) -> None:
    with open_store(tmp_path / "s.db") as store:
        packed = import_job(store, KEPT)
        assert (packed.events, packed.head, packed.documents, packed.photos) == (10, HEAD, 12, 1)
        found = verify_job(store, packed.job, printed=HEAD)
        assert (found.faults, found.printed_seq) == ((), 10)
        assert len(read_film(store, packed.job)) == 2
        assert read_facts(store, packed.job).papers["Owner"] == "Zoë Ålander (invented)"
        assert read_visits(store, packed.job)[0].fouling == 30
        versions = store.documents.versions(packed.job, kind="other", name="note.json")
        assert [one.gone for one in versions] == [False, False, True]


def test_the_same_archive_twice_is_refused(tmp_path: Path) -> None:
    with open_store(tmp_path / "s.db") as store:
        import_job(store, KEPT)
        with pytest.raises(InputError, match="in this store already"):
            import_job(store, KEPT)


def test_an_archive_never_overwrites(finished: Running, tmp_path: Path) -> None:
    (tmp_path / "taken.zip").write_text("mine")
    with pytest.raises(InputError, match="nothing is ever overwritten"):
        export_job(finished.house.store, finished.job, tmp_path / "taken.zip", now=NOW)
    assert (tmp_path / "taken.zip").read_text() == "mine"


def test_a_photograph_that_is_gone_is_said_and_the_rest_goes(copied: Path, tmp_path: Path) -> None:
    with open_store(copied) as store:
        job = store.jobs.all()[0].id
        lost = store.photos.all(job)[0]
        (copied.with_name("copy.db.photos") / lost.path).unlink()
        packed = export_job(store, job, tmp_path / "job.zip", now=NOW)
    assert packed.missing == (lost.sha256,)
    with open_store(tmp_path / "other.db") as other:
        assert import_job(other, tmp_path / "job.zip").photos == packed.photos == 5
        assert "cannot be read" in verify_job(other, packed.job).faults[0]


def bend(name: str) -> Callable[[dict[str, bytes]], None]:
    """Change one event of the log."""

    def change(files: dict[str, bytes]) -> None:
        files[name] = files[name].replace(b'"litres":2.1', b'"litres":2.9')

    return change


def turn(files: dict[str, bytes]) -> None:
    """Put two events of the log in another order, their numbers too."""
    lines = [json.loads(line) for line in files["log.jsonl"].splitlines()]
    lines[3]["event"], lines[4]["event"] = lines[4]["event"], lines[3]["event"]
    files["log.jsonl"] = "\n".join(json.dumps(line) for line in lines).encode()


def cut(files: dict[str, bytes]) -> None:
    """Take the last event away."""
    files["log.jsonl"] = b"".join(files["log.jsonl"].splitlines(keepends=True)[:-1])


@pytest.mark.parametrize(
    ("change", "match"), [(bend("log.jsonl"), "changed after it was logged"), (turn, "changed"), (cut, "missing")]
)
def test_a_log_that_was_bent_is_found_by_its_chain(
    tmp_path: Path, change: Callable[[dict[str, bytes]], None], match: str
) -> None:
    place = changed(tmp_path / "bent.zip", files=change)
    with open_store(tmp_path / "s.db") as store:
        with pytest.raises(InputError, match=match):
            import_job(store, place)
        assert store.jobs.all() == []


def test_a_file_with_another_checksum_is_refused(tmp_path: Path) -> None:
    place = changed(tmp_path / "bent.zip", files=bend("log.jsonl"), sums=False)
    with open_store(tmp_path / "s.db") as store, pytest.raises(InputError, match="does not have the checksum"):
        import_job(store, place)


@pytest.mark.parametrize("name", ["../evil", "/etc/evil", "photos/../../evil", "documents/x", "log.jsonl/..", "a\\b"])
def test_a_path_out_of_the_archive_is_refused(tmp_path: Path, name: str) -> None:
    place = changed(tmp_path / "evil.zip", files=lambda files: files.update({name: b"evil"}))
    (tmp_path / "in").mkdir()
    with open_store(tmp_path / "in" / "s.db") as store, pytest.raises(InputError, match="do not belong in it"):
        import_job(store, place)
    assert not any(one.name == "evil" for one in tmp_path.rglob("*"))


def test_a_bomb_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    place = tmp_path / "bomb.zip"
    with zipfile.ZipFile(place, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("log.jsonl", "w") as file:
        for _ in range(70):
            file.write(bytes(1 << 20))
    assert place.stat().st_size < 200_000
    with open_store(tmp_path / "s.db") as store, pytest.raises(InputError, match="larger than 64 MB"):
        import_job(store, place)


def test_many_files_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archives, "FILES_MAX", 3)
    with open_store(tmp_path / "s.db") as store, pytest.raises(InputError, match="files of"):
        import_job(store, KEPT)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        (lambda about: about.update(version=99), "version 99 of the format, newer"),
        (lambda about: about.update(format="other"), "another kind of file"),
        (lambda about: about["files"].pop("photos.json"), "do not belong in it"),
        (lambda about: about.pop("job"), "no whole archive"),
        (lambda about: about["job"].update(events="many"), "cannot be read"),
    ],
)
def test_a_manifest_that_lies_is_refused(tmp_path: Path, change: Callable[[dict[str, Any]], None], match: str) -> None:
    place = changed(tmp_path / "lie.zip", manifest=change)
    with open_store(tmp_path / "s.db") as store:
        with pytest.raises(InputError, match=match):
            import_job(store, place)
        assert store.jobs.all() == []


def exchange(name: str, old: bytes, new: bytes) -> Callable[[dict[str, bytes]], None]:
    """Put other words into a file of the archive."""

    def change(files: dict[str, bytes]) -> None:
        assert old in files[name]
        files[name] = files[name].replace(old, new)

    return change


@pytest.mark.parametrize(
    ("change", "match"),
    [
        (exchange("log.jsonl", b'"kind":"rain"', b'"kind":"party"'), "event 9, kind.*'party'"),
        (exchange("log.jsonl", b'"litres":2.5', b'"litres":2500'), "event 4, data.litres"),
        (exchange("photos.json", b"image/jpeg", b"text/html"), "cannot be read"),
        (exchange("documents.json", b'"version": 1', b'"version": "one"'), "cannot be read"),
    ],
)
def test_contents_that_no_device_may_send_are_refused(
    tmp_path: Path, change: Callable[[dict[str, bytes]], None], match: str
) -> None:
    place = changed(tmp_path / "bent.zip", files=change)
    with open_store(tmp_path / "s.db") as store:
        with pytest.raises(InputError, match=match):
            import_job(store, place)
        assert store.jobs.all() == []


@pytest.mark.parametrize("job", [{"id": "../x"}, {"id": 7}, {"name": ""}, {"name": "a\nb"}, {"name": None}])
def test_a_job_without_id_or_name_is_refused(tmp_path: Path, job: dict[str, Any]) -> None:
    place = changed(tmp_path / "bent.zip", manifest=lambda about: about["job"].update(job))
    with open_store(tmp_path / "s.db") as store, pytest.raises(InputError, match="cannot be read"):
        import_job(store, place)


@pytest.mark.parametrize("content", [b"", b"no zip", b"PK\x03\x04 half"])
def test_what_is_no_archive_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(content)
    with open_store(tmp_path / "s.db") as store, pytest.raises(InputError, match="no whole archive"):
        import_job(store, tmp_path / "x.zip")


def test_an_archive_without_a_manifest_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "x.zip", "w") as archive:
        archive.writestr("log.jsonl", "")
    with open_store(tmp_path / "s.db") as store, pytest.raises(InputError, match=MANIFEST):
        import_job(store, tmp_path / "x.zip")
