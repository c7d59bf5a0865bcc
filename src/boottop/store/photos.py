"""Photographs of a job: files named by their hash in a folder beside the database, with a row each."""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

from sqlalchemy import Select, insert, select

from boottop.base.errors import InputError
from boottop.store.copying import flush_folder, no_place
from boottop.store.database import Database
from boottop.store.refusal import check_aware, no_job, refuse
from boottop.store.tables import JOBS, PHOTOS

CONTENT_TYPES = ("image/jpeg", "image/png", "image/webp", "image/heic", "image/heif", "image/avif")
PHOTO_BYTES_MAX = 30_000_000


@dataclass(frozen=True, kw_only=True)
class Photo:
    """A photograph: `path` is its place within the folder of photographs."""

    job: str
    sha256: str
    size_bytes: int
    content_type: str
    path: str
    received: datetime


class Photos:
    """The photographs of a store; `folder` is None when a PostgreSQL store was opened without one."""

    def __init__(self, database: Database, folder: Path | None) -> None:
        self._database = database
        self.folder = folder

    def put(self, job: str, content: bytes, *, content_type: str, now: datetime) -> Photo:
        """Keep a photograph, on the disk before this returns; the same one again is the same one."""
        check_aware(now, where="photograph")
        _check(content, content_type)
        digest = hashlib.sha256(content).hexdigest()
        path = f"{digest[:2]}/{digest}"
        photo = Photo(
            job=job, sha256=digest, size_bytes=len(content), content_type=content_type, path=path, received=now
        )
        with self._database.read() as connection:
            if connection.execute(select(JOBS.c.id).where(JOBS.c.id == job)).first() is None:
                raise no_job(job)
        _write_once(self._folder() / path, content)
        with self._database.write() as connection:
            there = connection.execute(_row(job, digest)).mappings().one_or_none()
            if there is not None:
                return Photo(**there)
            connection.execute(insert(PHOTOS), vars(photo))
        return photo

    def keep_file(self, content: bytes) -> str:
        """Keep the file alone, by its hash, which this gives: for whoever writes the rows of a whole job at once."""
        digest = hashlib.sha256(content).hexdigest()
        _write_once(self._folder() / f"{digest[:2]}/{digest}", content)
        return digest

    def get(self, job: str, sha256: str) -> Photo:
        """The photograph of a job by its hash; InputError when there is none."""
        with self._database.read() as connection:
            row = connection.execute(_row(job, sha256)).mappings().one_or_none()
        if row is None:
            raise _none(sha256, "no such photograph in this job")
        return Photo(**row)

    def all(self, job: str) -> list[Photo]:
        """Every photograph of a job, in the order in which they came."""
        statement = select(PHOTOS).where(PHOTOS.c.job == job).order_by(PHOTOS.c.received, PHOTOS.c.sha256)
        with self._database.read() as connection:
            return [Photo(**row) for row in connection.execute(statement).mappings()]

    def read(self, photo: Photo) -> bytes:
        """The content, compared with its hash; InputError when the file is gone or was changed."""
        try:
            content = (self._folder() / photo.path).read_bytes()
        except OSError as error:
            raise _none(photo.sha256, f"its file cannot be read ({error.strerror})") from error
        if hashlib.sha256(content).hexdigest() != photo.sha256:
            raise _none(photo.sha256, "its file was changed")
        return content

    def _folder(self) -> Path:
        if self.folder is None:
            raise refuse(
                "folder of photographs",
                found="none",
                allowed="a folder that may be written to",
                advice="Open the store with a folder for photographs: they are not kept in the database.",
            )
        return self.folder


def _row(job: str, sha256: str) -> Select[Any]:
    return select(PHOTOS).where(PHOTOS.c.job == job, PHOTOS.c.sha256 == sha256)


def _write_once(path: Path, content: bytes) -> None:
    if path.is_file() and path.stat().st_size == len(content):
        return
    part = path.with_name(f".{uuid4()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with part.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
        flush_folder(path.parent)
        flush_folder(path.parent.parent)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise no_place(path, error) from error


def _check(content: bytes, content_type: str) -> None:
    if content_type not in CONTENT_TYPES:
        raise refuse(
            "photograph",
            found=f"the type {content_type[:80]!r}",
            allowed=", ".join(CONTENT_TYPES),
            advice="Send it as the camera made it.",
        )
    if not 0 < len(content) <= PHOTO_BYTES_MAX:
        raise refuse(
            "photograph",
            found=f"{len(content)} bytes",
            allowed=f"1 to {PHOTO_BYTES_MAX} bytes",
            advice="Take it again at a lower resolution.",
        )


def _none(sha256: str, found: str) -> InputError:
    return refuse(
        f"photograph {sha256[:16]}",
        found=found,
        allowed="a photograph that was received whole",
        advice="Restore it from a backup, or send it again from the phone that took it.",
    )
