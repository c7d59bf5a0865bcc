"""Backup of a store in use to one file, and its restore to a new place: both are checked before they count."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import IO

from boottop.base.errors import InputError
from boottop.store.copying import check_sound, copy_database, flush, flush_folder, no_place
from boottop.store.failure import told
from boottop.store.open import open_store, photo_folder_of
from boottop.store.refusal import check_aware, refuse
from boottop.store.store import Store
from boottop.store.tables import utc_text

MANIFEST = "manifest.json"
DATABASE = "store.db"
FORMAT = "boottop backup 1"
CHUNK_BYTES = 1 << 20
COUNTED = ("jobs", "events", "documents", "photos", "people", "sessions")
_NAME = re.compile(r"store\.db|photos/[0-9a-f]{2}/[0-9a-f]{64}")


@dataclass(frozen=True, kw_only=True)
class Saved:
    """What a backup holds: rows by table, files by name with their SHA-256, the hash at the end of every job's log.
    `missing`: photographs that could not be saved, because their file is gone or was changed."""

    made: str
    rows: Mapping[str, int]
    heads: Mapping[str, str]
    files: Mapping[str, str]
    missing: tuple[str, ...] = ()


def backup(store: Store, target: Path, *, now: datetime) -> Saved:
    """Write database and photographs as they stand at one moment to a file that is not there yet; others may write on.

    The finished file is read again and compared before it gets its name. InputError for a place that is taken or
    cannot be written to, and for a PostgreSQL store, which has a better tool of its own.
    """
    check_aware(now, where="time of the backup")
    if store.database.path is None:
        raise _use_pg_dump(store.database.place)
    target = target.absolute()
    _check_free(target)
    with _work_folder(target) as folder:
        copy = folder / DATABASE
        copy_database(store.database.path, copy)
        check_sound(copy)
        photos, missing = _photo_files(copy, store.photos.folder)
        saved = _saved(copy, photos, missing, now=now)
        packed = folder / "backup.zip"
        _pack(packed, {DATABASE: copy} | photos, saved)
        _check_packed(packed, saved)
        packed.replace(target)
        flush_folder(target.parent)
    return saved


def restore(source: Path, target: Path) -> Saved:
    """Unpack a backup to a database file that is not there yet, with its photographs in `<target>.photos`.

    Nothing gets its name before every hash, SQLite's own check, the number of rows and the chain of every log were
    found right. A backup of an older version is brought forward on the way.
    """
    target = target.absolute()
    photos = photo_folder_of(target)
    for place in (target, photos, target.with_name(f"{target.name}-wal"), target.with_name(f"{target.name}-shm")):
        _check_free(place)
    with _work_folder(target) as folder:
        saved = _unpack(source, folder)
        _check_restored(source, folder, saved)
        if (folder / "photos").is_dir():
            (folder / "photos").replace(photos)
        copy_database(folder / DATABASE, target)
    return saved


def _check_restored(source: Path, folder: Path, saved: Saved) -> None:
    copy = folder / DATABASE
    check_sound(copy)
    if _rows(copy) != saved.rows:
        raise _bad_backup(source, f"other numbers of rows ({_rows(copy)}) than it says ({dict(saved.rows)})")
    with open_store(copy, create=False, photo_folder=folder / "photos") as store:
        for job in store.jobs.all():
            faults = store.verify_chain(job.id)
            if job.head != saved.heads.get(job.id):
                faults.append("its end is not the one that the backup says")
            if faults:
                raise _bad_backup(source, f"a broken log of the job {job.name!r} ({'; '.join(faults[:3])})")


def _photo_files(database: Path, folder: Path | None) -> tuple[dict[str, Path], tuple[str, ...]]:
    files: dict[str, Path] = {}
    missing: list[str] = []
    with told(str(database)), closing(sqlite3.connect(database)) as connection:
        rows = connection.execute("SELECT DISTINCT sha256, path FROM photos ORDER BY path").fetchall()
    for digest, path in rows:
        file = None if folder is None else folder / path
        if file is None or not file.is_file():
            missing.append(f"{digest}: its file is missing")
        elif _sha256(file) != digest:
            missing.append(f"{digest}: its file was changed")
        else:
            files[f"photos/{path}"] = file
    return files, tuple(missing)


def _saved(copy: Path, photos: Mapping[str, Path], missing: tuple[str, ...], *, now: datetime) -> Saved:
    with told(str(copy)), closing(sqlite3.connect(copy)) as connection:
        heads = dict(connection.execute("SELECT id, head FROM jobs").fetchall())
    files = {name: _sha256(path) for name, path in ({DATABASE: copy} | dict(photos)).items()}
    return Saved(made=utc_text(now), rows=_rows(copy), heads=heads, files=files, missing=missing)


def _rows(database: Path) -> dict[str, int]:
    """Number of rows of every table that holds something of a person's."""
    with told(str(database)), closing(sqlite3.connect(database)) as connection:
        there = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        counted = [name for name in COUNTED if name in there]
        return {name: connection.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in counted}


def _pack(packed: Path, files: Mapping[str, Path], saved: Saved) -> None:
    manifest = json.dumps({"format": FORMAT, **asdict(saved)}, indent=1, ensure_ascii=False)
    with zipfile.ZipFile(packed, "x") as archive:
        archive.writestr(MANIFEST, manifest)
        for name, path in files.items():
            deflate = name == DATABASE
            archive.write(path, name, zipfile.ZIP_DEFLATED if deflate else zipfile.ZIP_STORED)
    flush(packed)


def _check_packed(packed: Path, saved: Saved) -> None:
    with zipfile.ZipFile(packed) as archive:
        for name, digest in saved.files.items():
            with archive.open(name) as file:
                if _digest(file) != digest:
                    raise _bad_backup(packed, f"{name} does not read back as it was written")


def _unpack(source: Path, folder: Path) -> Saved:
    try:
        with zipfile.ZipFile(source) as archive:
            saved = _read_manifest(source, archive)
            for name, digest in saved.files.items():
                path = folder / name
                path.parent.mkdir(parents=True, exist_ok=True)
                with archive.open(name) as file, path.open("wb") as out:
                    shutil.copyfileobj(file, out, CHUNK_BYTES)
                if _sha256(path) != digest:
                    raise _bad_backup(source, f"a damaged {name}")
                flush(path)
    except (zipfile.BadZipFile, zlib.error, KeyError, EOFError, NotImplementedError) as error:
        raise _bad_backup(source, f"no whole backup ({error})") from error
    except OSError as error:
        raise no_place(source, error) from error
    return saved


def _read_manifest(source: Path, archive: zipfile.ZipFile) -> Saved:
    try:
        table = json.loads(archive.read(MANIFEST))
        if table.pop("format") != FORMAT:
            raise _bad_backup(source, "another format than this version knows")
        saved = Saved(**{**table, "missing": tuple(table["missing"])})
        good = DATABASE in saved.files and all(_NAME.fullmatch(name) for name in saved.files)
    except (ValueError, TypeError, AttributeError, KeyError):
        good = False
    if not good:
        raise _bad_backup(source, f"a {MANIFEST} that cannot be read")
    return saved


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return _digest(file)


def _digest(file: IO[bytes]) -> str:
    digest = hashlib.sha256()
    while block := file.read(CHUNK_BYTES):
        digest.update(block)
    return digest.hexdigest()


@contextmanager
def _work_folder(target: Path) -> Iterator[Path]:
    """A folder on the same disk as the target, gone afterwards."""
    try:
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=f".{target.name}.") as name:
            yield Path(name)
    except OSError as error:
        raise no_place(target, error) from error


def _check_free(place: Path) -> None:
    if place.exists() or place.is_symlink():
        raise refuse(
            str(place),
            found="something there already",
            allowed="a place where there is nothing yet",
            advice="Give another place, or move away what is there: it is never overwritten.",
        )


def _use_pg_dump(place: str) -> InputError:
    return refuse(
        place,
        found="a PostgreSQL store",
        allowed="a store in a file",
        advice="Save it with the server's own tools: pg_dump --format=custom --file=boottop.dump <address>; "
        "pg_restore --dbname=<empty database> boottop.dump brings it back. Copy the folder of photographs beside it.",
    )


def _bad_backup(source: Path, found: str) -> InputError:
    return refuse(
        str(source),
        found=found,
        allowed="a file that boottop backup wrote, unchanged",
        advice="Use another backup. Nothing was restored.",
    )
