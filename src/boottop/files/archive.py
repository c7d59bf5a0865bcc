"""A whole job as one file: log with its chain, every version of every document, photographs, checksums of all of it."""

from __future__ import annotations

import hashlib
import json
import re
import zipfile
import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import IO, Any
from uuid import UUID

from sqlalchemy import Connection, insert, select

from boottop.base.errors import InputError, Problem
from boottop.job.check import event_problems
from boottop.job.coding import event_dict
from boottop.job.events import Event
from boottop.store.canonical import canonical
from boottop.store.chain import verify as verify_chain
from boottop.store.entry import entry_of
from boottop.store.jobs import NAME_LENGTH_MAX, Job
from boottop.store.photos import CONTENT_TYPES
from boottop.store.store import Store
from boottop.store.tables import DOCUMENTS, EVENTS, JOBS, PHOTOS, utc_text, utc_time

FORMAT = "boottop job"
VERSION = 1
"""Raised when an older boottop could not read the file any more; every version that was ever written is read."""
MANIFEST = "manifest.json"
LOG, PAPERS, PICTURES = "log.jsonl", "documents.json", "photos.json"
FILE_BYTES_MAX = 64 * 1024 * 1024
TOTAL_BYTES_MAX = 8 * 1024**3
FILES_MAX = 50_000
CHUNK_BYTES = 1 << 20
_NAME = re.compile(r"log\.jsonl|documents\.json|photos\.json|documents/[0-9a-f]{64}|photos/[0-9a-f]{64}")


@dataclass(frozen=True, kw_only=True)
class Packed:
    """What an archive holds. `missing`: photographs whose file is gone or was changed, left out and said."""

    job: str
    name: str
    events: int
    head: str
    documents: int
    photos: int
    missing: tuple[str, ...] = ()


def export_job(store: Store, job: str, target: Path, *, now: datetime) -> Packed:
    """Write a job to a file that is not there yet; read again and compared before it gets its name."""
    if target.exists() or target.is_symlink():
        raise _refused(str(target), "something there already", allowed="a place where there is nothing yet",
                       advice="Give another place: nothing is ever overwritten.")  # fmt: skip
    kept = store.jobs.get(job)
    documents, contents = _documents(store, job)
    photos, missing = _photos(store, job)
    tables = {
        LOG: "".join(f"{line}\n" for line in _log_lines(store, job)).encode(),
        PAPERS: json.dumps(documents, ensure_ascii=False, indent=1).encode(),
        PICTURES: json.dumps(photos, ensure_ascii=False, indent=1).encode(),
    }
    part = target.with_name(f".{target.name}.part")
    try:
        with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
            sums: dict[str, str] = {}
            for name, content in tables.items():
                sums[name] = _put(archive, name, content)
            for digest, content in contents.items():
                sums[f"documents/{digest}"] = _put(archive, f"documents/{digest}", content)
            for one in store.photos.all(job):
                if one.sha256 not in missing and f"photos/{one.sha256}" not in sums:
                    name = f"photos/{one.sha256}"
                    sums[name] = _put(archive, name, store.photos.read(one), packed=False)
            about = _about(kept, sums, missing, made=now)
            archive.writestr(MANIFEST, json.dumps(about, ensure_ascii=False, indent=1))
        with zipfile.ZipFile(part) as archive:
            _manifest(archive, target.name)
        part.replace(target)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise _refused(str(target), f"it cannot be written ({error.strerror or error})",
                       allowed="a file in a folder that exists and may be written to",
                       advice="Give another place.") from None  # fmt: skip
    return Packed(job=job, name=kept.name, events=kept.events, head=kept.head, documents=len(documents),
                  photos=len(photos) - len(missing), missing=missing)  # fmt: skip


def import_job(store: Store, source: Path) -> Packed:
    """Bring a job in, under its own id and with its own chain, so that the end printed on paper still holds.

    All checksums, sizes and names are looked at before anything is written; nothing of the file's is used as a path.
    A job that is there already is refused: two logs of one job are not mixed.
    """
    try:
        with zipfile.ZipFile(source) as archive:
            about = _manifest(archive, source.name)
            _check_new(store, about)
            lines = archive.read(LOG).decode().splitlines()
            documents, photos = json.loads(archive.read(PAPERS)), json.loads(archive.read(PICTURES))
            missing = set(about["missing"])
            for one in photos:
                if one["sha256"] not in missing:
                    _keep_photo(store, archive, one["sha256"])
            rows = [_document_row(one, about["job"]["id"], archive) for one in documents]
            with store.database.write() as connection:
                _write(connection, about, lines)
                if rows:
                    connection.execute(insert(DOCUMENTS), rows)
                for one in photos:
                    connection.execute(insert(PHOTOS), _photo_row(one, about["job"]["id"]))
                faults = verify_chain(connection, about["job"]["id"])
                if faults:
                    raise _spoilt(source.name, "; ".join(faults[:3]))
    except (zipfile.BadZipFile, zlib.error, KeyError, EOFError, NotImplementedError, RuntimeError) as error:
        raise _spoilt(source.name, f"no whole archive ({error})") from None
    except (ValueError, TypeError, AttributeError) as error:
        raise _spoilt(source.name, f"contents that cannot be read ({type(error).__name__})") from None
    except OSError as error:
        raise _spoilt(str(source), error.strerror or str(error)) from None
    job = about["job"]
    return Packed(job=job["id"], name=job["name"], events=job["events"], head=job["head"], documents=len(rows),
                  photos=len(photos) - len(missing), missing=tuple(sorted(missing)))  # fmt: skip


def _about(kept: Job, sums: Mapping[str, str], missing: Sequence[str], *, made: datetime) -> dict[str, Any]:
    job = {
        "id": kept.id,
        "name": kept.name,
        "created": utc_text(kept.created),
        "events": kept.events,
        "head": kept.head,
    }
    return {
        "format": FORMAT,
        "version": VERSION,
        "made": utc_text(made),
        "job": job,
        "files": dict(sums),
        "missing": list(missing),
    }


# -- writing ------------------------------------------------------------------------------------------------------


def _log_lines(store: Store, job: str) -> Iterator[str]:
    for one in store.events_after(job, 0):
        event = one.event
        kept = event_dict(event) | {"happened": utc_text(event.happened), "recorded": utc_text(event.recorded)}
        yield canonical({"seq": one.seq, "received": utc_text(one.received), "chain": one.chain, "event": kept})


def _documents(store: Store, job: str) -> tuple[list[dict[str, Any]], dict[str, bytes]]:
    """Every version of every document, and contents by their hash."""
    statement = select(DOCUMENTS).where(DOCUMENTS.c.job == job)
    order = (DOCUMENTS.c.kind, DOCUMENTS.c.name, DOCUMENTS.c.version)
    listed, contents = [], {}
    with store.database.read() as connection:
        for row in connection.execute(statement.order_by(*order)).mappings():
            gone = row["content"] is None
            digest = "" if gone else hashlib.sha256(row["content"]).hexdigest()
            if not gone:
                contents[digest] = row["content"]
            listed.append({"kind": row["kind"], "name": row["name"], "version": row["version"],
                           "saved": utc_text(row["saved"]), "sha256": digest})  # fmt: skip
    return listed, contents


def _photos(store: Store, job: str) -> tuple[list[dict[str, Any]], tuple[str, ...]]:
    listed, missing = [], []
    for one in store.photos.all(job):
        listed.append({"sha256": one.sha256, "size_bytes": one.size_bytes, "content_type": one.content_type,
                       "received": utc_text(one.received)})  # fmt: skip
        try:
            store.photos.read(one)
        except InputError:
            missing.append(one.sha256)
    return listed, tuple(missing)


def _put(archive: zipfile.ZipFile, name: str, content: bytes, *, packed: bool = True) -> str:
    archive.writestr(name, content, zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED)
    return hashlib.sha256(content).hexdigest()


# -- reading ------------------------------------------------------------------------------------------------------


def _manifest(archive: zipfile.ZipFile, label: str) -> dict[str, Any]:
    """The manifest of an archive whose every file has a known name, a bounded size and the checksum that it should."""
    infos = archive.infolist()
    if len(infos) > FILES_MAX or sum(one.file_size for one in infos) > TOTAL_BYTES_MAX:
        raise _spoilt(label, f"{len(infos)} files of {sum(one.file_size for one in infos) / 1e9:.1f} GB together")
    large = [one.filename for one in infos if one.file_size > FILE_BYTES_MAX]
    if large:
        raise _spoilt(label, f"{large[0][:60]!r}, larger than {FILE_BYTES_MAX // 1024**2} MB once unpacked")
    about: dict[str, Any] = json.loads(_bounded(archive, MANIFEST, label))
    if not isinstance(about, dict) or about.get("format") != FORMAT:
        raise _spoilt(label, "another kind of file")
    if not isinstance(about.get("version"), int) or about["version"] > VERSION:
        raise _spoilt(label, f"version {about.get('version')} of the format, newer than this boottop knows")
    names = [one.filename for one in infos if one.filename != MANIFEST]
    strange = [name for name in names if not _NAME.fullmatch(name)]
    if strange or len(set(names)) != len(names) or set(names) != set(about["files"]):
        raise _spoilt(label, f"files that do not belong in it, such as {(strange or names)[:1]}")
    for name, digest in about["files"].items():
        if _sum_of(archive, name, label) != digest:
            raise _spoilt(label, f"{name} does not have the checksum that the manifest gives")
    return about


def _bounded(archive: zipfile.ZipFile, name: str, label: str) -> bytes:
    with archive.open(name) as file:
        content = file.read(FILE_BYTES_MAX + 1)
    if len(content) > FILE_BYTES_MAX:
        raise _spoilt(label, f"{name}, larger than it says")
    return content


def _sum_of(archive: zipfile.ZipFile, name: str, label: str) -> str:
    digest, total = hashlib.sha256(), 0
    with archive.open(name) as file:
        while block := _block(file):
            total += len(block)
            if total > FILE_BYTES_MAX:
                raise _spoilt(label, f"{name}, larger than it says")
            digest.update(block)
    return digest.hexdigest()


def _block(file: IO[bytes]) -> bytes:
    return file.read(CHUNK_BYTES)


def _check_new(store: Store, about: Mapping[str, Any]) -> None:
    job, name = about["job"]["id"], about["job"]["name"]
    if not isinstance(name, str) or not 0 < len(name) <= NAME_LENGTH_MAX or not name.isprintable():
        raise ValueError("a job without a name")
    if not isinstance(job, str) or str(UUID(job)) != job:
        raise ValueError("a job without an id")
    if any(one.id == job for one in store.jobs.all()):
        raise _refused(f"job {about['job']['name'][:80]!r}", "a job that is in this store already",
                       allowed="a job that is not here yet",
                       advice="Keep the one that is here, or import into another store with --store.")  # fmt: skip


def _keep_photo(store: Store, archive: zipfile.ZipFile, digest: str) -> None:
    if store.photos.keep_file(archive.read(f"photos/{digest}")) != digest:
        raise ValueError("a photograph with another content than its hash")


def _write(connection: Connection, about: Mapping[str, Any], lines: list[str]) -> None:
    job = about["job"]
    connection.execute(insert(JOBS), {"id": job["id"], "name": str(job["name"]), "created": utc_time(job["created"]),
                                      "events": int(job["events"]), "head": job["head"]})  # fmt: skip
    rows = [_event_row(json.loads(line), job["id"]) for line in lines]
    if rows:
        connection.execute(insert(EVENTS), rows)


def _event_row(line: Mapping[str, Any], job: str) -> dict[str, Any]:
    """The row of an event that may be written down; InputError for one that no device may send."""
    kept = line["event"]
    event = Event(**{**kept, "happened": utc_time(kept["happened"]), "recorded": utc_time(kept["recorded"])})
    entry = entry_of(event)
    problems = event_problems(event) or ([entry] if isinstance(entry, Problem) else [])
    if problems or isinstance(entry, Problem):
        raise InputError(replace(one, where=f"event {int(line['seq'])}, {one.where}") for one in problems)
    return {
        **entry.columns,
        "job": job,
        "seq": int(line["seq"]),
        "received": utc_time(line["received"]),
        "chain": str(line["chain"]),
    }


def _document_row(one: Mapping[str, Any], job: str, archive: zipfile.ZipFile) -> dict[str, Any]:
    content = archive.read(f"documents/{one['sha256']}") if one["sha256"] else None
    if content is not None and hashlib.sha256(content).hexdigest() != one["sha256"]:
        raise ValueError("a document with another content than its hash")
    return {
        "job": job,
        "kind": str(one["kind"]),
        "name": str(one["name"]),
        "version": int(one["version"]),
        "saved": utc_time(one["saved"]),
        "content": content,
        "sha256": str(one["sha256"]),
    }


def _photo_row(one: Mapping[str, Any], job: str) -> dict[str, Any]:
    if one["content_type"] not in CONTENT_TYPES or not re.fullmatch(r"[0-9a-f]{64}", one["sha256"]):
        raise ValueError("a photograph of a kind that is not kept")
    return {
        "job": job,
        "sha256": one["sha256"],
        "size_bytes": int(one["size_bytes"]),
        "content_type": str(one["content_type"]),
        "path": f"{one['sha256'][:2]}/{one['sha256']}",
        "received": utc_time(one["received"]),
    }


def _spoilt(where: str, found: str) -> InputError:
    return _refused(
        where,
        found,
        allowed="a file that boottop export wrote, unchanged",
        advice="Export the job again, or use another copy. Nothing was brought in.",
    )


def _refused(where: str, found: str, *, allowed: str, advice: str) -> InputError:
    return InputError(Problem(where=where, found=found, allowed=allowed, advice=advice))
