"""Photographs: files by their hash beside the database."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.store.open import open_store
from boottop.store.store import Store
from tests.store.made import NOW, new_address

PICTURE = b"\xff\xd8\xff" + bytes(range(256)) * 40


def test_a_photograph_is_kept_once(store: Store, tmp_path: Path) -> None:
    job = store.jobs.create("Gannet", now=NOW).id
    photo = store.photos.put(job, PICTURE, content_type="image/jpeg", now=NOW)
    assert photo.sha256 == hashlib.sha256(PICTURE).hexdigest()
    assert store.photos.put(job, PICTURE, content_type="image/jpeg", now=NOW) == photo
    assert store.photos.all(job) == [photo]
    assert store.photos.get(job, photo.sha256) == photo
    assert store.photos.read(photo) == PICTURE
    assert [path for path in (tmp_path / "photos").rglob("*") if path.is_file()] == [tmp_path / "photos" / photo.path]


def test_a_photograph_of_another_job_is_not_seen(store: Store) -> None:
    one, two = (store.jobs.create(name, now=NOW).id for name in ("Gannet", "Tern"))
    photo = store.photos.put(one, PICTURE, content_type="image/jpeg", now=NOW)
    with pytest.raises(InputError, match="no such photograph"):
        store.photos.get(two, photo.sha256)
    assert replace(store.photos.put(two, PICTURE, content_type="image/jpeg", now=NOW), job=one) == photo


def test_a_changed_or_missing_file_is_told(store: Store, tmp_path: Path) -> None:
    job = store.jobs.create("Gannet", now=NOW).id
    photo = store.photos.put(job, PICTURE, content_type="image/png", now=NOW)
    path = tmp_path / "photos" / photo.path
    path.write_bytes(b"x")
    with pytest.raises(InputError, match="its file was changed"):
        store.photos.read(photo)
    assert store.photos.put(job, PICTURE, content_type="image/png", now=NOW) == photo
    assert store.photos.read(photo) == PICTURE
    path.unlink()
    with pytest.raises(InputError, match="its file cannot be read"):
        store.photos.read(photo)


def test_what_is_no_photograph_is_refused(store: Store) -> None:
    job = store.jobs.create("Gannet", now=NOW).id
    with pytest.raises(InputError, match="the type 'text/html'"):
        store.photos.put(job, PICTURE, content_type="text/html", now=NOW)
    for content in (b"", bytes(30_000_001)):
        with pytest.raises(InputError, match="1 to 30000000 bytes"):
            store.photos.put(job, content, content_type="image/png", now=NOW)
    with pytest.raises(InputError, match="no such job"):
        store.photos.put("none", PICTURE, content_type="image/png", now=NOW)


def test_a_server_needs_a_folder_for_photographs(tmp_path: Path) -> None:
    with open_store(new_address("postgresql", tmp_path)) as store:
        job = store.jobs.create("Gannet", now=NOW).id
        with pytest.raises(InputError, match="folder of photographs"):
            store.photos.put(job, PICTURE, content_type="image/png", now=NOW)
