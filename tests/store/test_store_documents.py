"""Jobs and their documents: every save is a version, and nobody overwrites another's."""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta

import pytest

from boottop.base.errors import InputError
from boottop.store.documents import JOB_SHEET, PRODUCT_SHEET, WEATHER
from boottop.store.store import Store
from tests.store.made import NOW

LATER = NOW + timedelta(hours=1)


def test_jobs_newest_first(store: Store) -> None:
    old = store.jobs.create("  Gannet   2025 ", now=NOW)
    new = store.jobs.create("Tern 2026", now=LATER)
    assert [job.name for job in store.jobs.all()] == ["Tern 2026", "Gannet 2025"]
    assert store.jobs.get(old.id) == old
    store.jobs.rename(new.id, "Tern II")
    assert store.jobs.get(new.id).name == "Tern II"


def test_bad_names_and_unknown_jobs(store: Store) -> None:
    for name in ("", "  ", "x" * 201, "a\x07b"):
        with pytest.raises(InputError, match="1 to 200 printable characters"):
            store.jobs.create(name, now=NOW)
    for call in (store.jobs.get, lambda job: store.jobs.rename(job, "Tern")):
        with pytest.raises(InputError, match="no such job"):
            call("none")


def test_a_save_is_a_version_and_the_same_again_is_none(store: Store) -> None:
    job = store.jobs.create("Gannet", now=NOW).id
    assert store.documents.put(job, "a = 1\n", kind=JOB_SHEET, name="job.toml", now=NOW) == 1
    assert store.documents.put(job, "a = 1\n", kind=JOB_SHEET, name="job.toml", now=LATER) == 1
    assert store.documents.put(job, "a = 'é'\n", kind=JOB_SHEET, name="job.toml", now=LATER) == 2
    newest = store.documents.get(job, kind=JOB_SHEET, name="job.toml")
    assert (newest.text, newest.version, newest.saved) == ("a = 'é'\n", 2, LATER)
    assert newest.sha256 == hashlib.sha256("a = 'é'\n".encode()).hexdigest()
    assert store.documents.get(job, kind=JOB_SHEET, name="job.toml", version=1).text == "a = 1\n"
    assert [version.version for version in store.documents.versions(job, kind=JOB_SHEET, name="job.toml")] == [1, 2]


def test_the_folder_of_sheets_lists_the_newest_of_each(store: Store) -> None:
    job, other = (store.jobs.create(name, now=NOW).id for name in ("Gannet", "Tern"))
    for name in ("b.toml", "a.toml"):
        store.documents.put(job, f"old {name}", kind=PRODUCT_SHEET, name=name, now=NOW)
        store.documents.put(job, f"new {name}", kind=PRODUCT_SHEET, name=name, now=LATER)
    store.documents.put(job, b"\x00\xff", kind=WEATHER, name="weather.csv", now=NOW)
    store.documents.put(other, "x", kind=PRODUCT_SHEET, name="c.toml", now=NOW)
    assert [sheet.text for sheet in store.documents.all(job, kind=PRODUCT_SHEET)] == ["new a.toml", "new b.toml"]
    assert [document.name for document in store.documents.all(job)] == ["a.toml", "b.toml", "weather.csv"]
    assert store.documents.all(job, kind=WEATHER)[0].content == b"\x00\xff"


def test_taken_away_is_a_version_and_may_come_back(store: Store) -> None:
    job = store.jobs.create("Gannet", now=NOW).id
    store.documents.put(job, "x", kind=PRODUCT_SHEET, name="a.toml", now=NOW)
    store.documents.remove(job, kind=PRODUCT_SHEET, name="a.toml", now=LATER)
    assert store.documents.all(job) == []
    for call in (
        lambda: store.documents.get(job, kind=PRODUCT_SHEET, name="a.toml"),
        lambda: store.documents.remove(job, kind=PRODUCT_SHEET, name="a.toml", now=LATER),
    ):
        with pytest.raises(InputError, match="no such document"):
            call()
    assert store.documents.get(job, kind=PRODUCT_SHEET, name="a.toml", version=1).text == "x"
    assert store.documents.put(job, "x", kind=PRODUCT_SHEET, name="a.toml", now=LATER) == 3
    assert [version.gone for version in store.documents.versions(job, kind=PRODUCT_SHEET, name="a.toml")] == [
        False,
        True,
        False,
    ]


def test_a_save_over_a_newer_version_is_refused(store: Store) -> None:
    job = store.jobs.create("Gannet", now=NOW).id
    key = {"kind": JOB_SHEET, "name": "job.toml"}
    first = store.documents.put(job, "x = 1", **key, now=NOW, base=0)
    store.documents.put(job, "x = 2", **key, now=LATER, base=first)
    with pytest.raises(InputError, match="version 2, saved by someone else since version 1"):
        store.documents.put(job, "x = 3", **key, now=LATER, base=first)
    assert store.documents.put(job, "x = 2", **key, now=LATER, base=first) == 2


def test_what_is_no_document_is_refused(store: Store) -> None:
    job = store.jobs.create("Gannet", now=NOW).id
    with pytest.raises(InputError, match="the kind 'letter'"):
        store.documents.put(job, "x", kind="letter", name="a", now=NOW)
    with pytest.raises(InputError, match="1 to 200 printable"):
        store.documents.put(job, "x", kind=WEATHER, name="", now=NOW)
    with pytest.raises(InputError, match="67 MB at most"):
        store.documents.put(job, bytes(64 * 1024 * 1024 + 1), kind=WEATHER, name="a", now=NOW)
    with pytest.raises(InputError, match="without its offset"):
        store.documents.put(job, "x", kind=WEATHER, name="a", now=datetime(2026, 4, 18))  # noqa: DTZ001
    with pytest.raises(InputError, match="no such job"):
        store.documents.put("none", "x", kind=WEATHER, name="a", now=NOW)
