"""Documents of a job: the sheet, the products' sheets, weather. Every save is a version; none is overwritten."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Connection, RowMapping, and_, func, insert, select

from boottop.base.errors import InputError
from boottop.store.database import Database
from boottop.store.refusal import check_aware, no_job, refuse
from boottop.store.tables import DOCUMENTS, JOBS

JOB_SHEET = "job"
PRODUCT_SHEET = "product"
WEATHER = "weather"
RECORD = "record"
KINDS = (JOB_SHEET, PRODUCT_SHEET, WEATHER, "hull", "plan", RECORD, "other")
CONTENT_BYTES_MAX = 64 * 1024 * 1024
_KEY = (DOCUMENTS.c.job, DOCUMENTS.c.kind, DOCUMENTS.c.name)


@dataclass(frozen=True, kw_only=True)
class Document:
    """One version of a document."""

    job: str
    kind: str
    name: str
    version: int
    saved: datetime
    content: bytes
    sha256: str

    @property
    def text(self) -> str:
        """The content as text (UTF-8)."""
        return self.content.decode("utf-8")


@dataclass(frozen=True, kw_only=True)
class Version:
    """A version without its content; `gone` when the document was taken away with it."""

    version: int
    saved: datetime
    sha256: str
    gone: bool


class Documents:
    """The documents of a store."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def put(
        self, job: str, content: bytes | str, *, kind: str, name: str, now: datetime, base: int | None = None
    ) -> int:
        """Save a document and give its version; the same content again makes no new one.

        With `base`, the version that the content was edited from (0: none), a save over someone else's newer version
        is refused instead of losing theirs.
        """
        data = content.encode("utf-8") if isinstance(content, str) else content
        _check(kind, name, size_bytes=len(data))
        check_aware(now, where=f"{kind} {name}")
        digest = hashlib.sha256(data).hexdigest()
        with self._database.write() as connection:
            last = _last(connection, job, kind=kind, name=name)
            version = last["version"] if last is not None else 0
            if last is not None and last["content"] is not None and last["sha256"] == digest:
                return int(version)
            if base is not None and base != version:
                raise _newer(kind, name, base=base, version=version)
            return _add(connection, (job, kind, name, version + 1), content=data, sha256=digest, now=now)

    def remove(self, job: str, *, kind: str, name: str, now: datetime) -> None:
        """Take a document away; its versions stay and can be read by their number."""
        check_aware(now, where=f"{kind} {name}")
        with self._database.write() as connection:
            last = _last(connection, job, kind=kind, name=name)
            if last is None or last["content"] is None:
                raise _none(kind, name)
            _add(connection, (job, kind, name, last["version"] + 1), content=None, sha256="", now=now)

    def get(self, job: str, *, kind: str, name: str, version: int | None = None) -> Document:
        """The newest version, or the one asked for; InputError when there is none."""
        statement = select(DOCUMENTS).where(_is(job, kind, name)).order_by(DOCUMENTS.c.version.desc()).limit(1)
        if version is not None:
            statement = statement.where(DOCUMENTS.c.version == version)
        with self._database.read() as connection:
            row = connection.execute(statement).mappings().one_or_none()
        if row is None or row["content"] is None:
            raise _none(kind, name)
        return Document(**row)

    def all(self, job: str, *, kind: str | None = None) -> list[Document]:
        """The newest version of every document of a job that was not taken away, by kind and name."""
        newest = select(*_KEY, func.max(DOCUMENTS.c.version).label("version")).group_by(*_KEY).subquery()
        same = and_(*(DOCUMENTS.c[name] == newest.c[name] for name in ("job", "kind", "name", "version")))
        statement = select(DOCUMENTS).join(newest, onclause=same)
        statement = statement.where(DOCUMENTS.c.job == job, DOCUMENTS.c.content.is_not(None)).order_by(*_KEY)
        if kind is not None:
            statement = statement.where(DOCUMENTS.c.kind == kind)
        with self._database.read() as connection:
            return [Document(**row) for row in connection.execute(statement).mappings()]

    def versions(self, job: str, *, kind: str, name: str) -> list[Version]:
        """Every version of a document, oldest first."""
        gone = DOCUMENTS.c.content.is_(None).label("gone")
        columns = (DOCUMENTS.c.version, DOCUMENTS.c.saved, DOCUMENTS.c.sha256, gone)
        statement = select(*columns).where(_is(job, kind, name)).order_by(DOCUMENTS.c.version)
        with self._database.read() as connection:
            return [Version(**row) for row in connection.execute(statement).mappings()]


def _is(job: str, kind: str, name: str) -> ColumnElement[bool]:
    return and_(DOCUMENTS.c.job == job, DOCUMENTS.c.kind == kind, DOCUMENTS.c.name == name)


def _last(connection: Connection, job: str, *, kind: str, name: str) -> RowMapping | None:
    if connection.execute(select(JOBS.c.id).where(JOBS.c.id == job)).first() is None:
        raise no_job(job)
    statement = select(DOCUMENTS).where(_is(job, kind, name)).order_by(DOCUMENTS.c.version.desc()).limit(1)
    return connection.execute(statement).mappings().one_or_none()


def _add(
    connection: Connection, key: tuple[str, str, str, int], *, content: bytes | None, sha256: str, now: datetime
) -> int:
    row = dict(zip(("job", "kind", "name", "version"), key, strict=True))
    connection.execute(insert(DOCUMENTS), {**row, "saved": now, "content": content, "sha256": sha256})
    return key[3]


def _check(kind: str, name: str, *, size_bytes: int) -> None:
    if kind not in KINDS:
        raise refuse(
            f"document {name[:80]!r}",
            found=f"the kind {kind!r}",
            allowed=", ".join(KINDS),
            advice="Say which kind of document it is.",
        )
    if not 0 < len(name) <= 200 or not name.isprintable():
        raise refuse(
            f"name of a {kind} document",
            found=repr(name[:80]),
            allowed="1 to 200 printable characters",
            advice="Give it a short name.",
        )
    if size_bytes > CONTENT_BYTES_MAX:
        raise refuse(
            f"{kind} {name}",
            found=f"{size_bytes / 1e6:.0f} MB",
            allowed=f"{CONTENT_BYTES_MAX / 1e6:.0f} MB at most",
            advice="Cut the file to the days or the part of the boat that the job needs.",
        )


def _newer(kind: str, name: str, *, base: int, version: int) -> InputError:
    return refuse(
        f"{kind} {name}",
        found=f"version {version}, saved by someone else since version {base} was opened",
        allowed="a save on top of the newest version",
        advice="Open the newest version and make the change there again; nothing was overwritten.",
    )


def _none(kind: str, name: str) -> InputError:
    return refuse(
        f"{kind} {name[:80]!r}",
        found="no such document in this job",
        allowed="a document that was saved and not taken away",
        advice="Look at the list of the job's documents.",
    )
