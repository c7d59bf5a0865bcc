"""The tables, as this version has them; the migrations make them, and a test holds the two together."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)  # fmt: skip

VERSION_TABLE = "boottop_schema"
HEAD = "0002"
"""The newest revision of the migrations."""

METADATA = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)


def utc_text(when: datetime) -> str:
    """An aware time in UTC to the microsecond, always as long, so that texts sort as times do.

    >>> utc_text(datetime(2026, 10, 25, 1, 30, tzinfo=UTC))
    '2026-10-25T01:30:00.000000Z'
    """
    if when.utcoffset() is None:
        raise ValueError(f"{when.isoformat()}, a time without its offset from UTC")
    return when.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def utc_time(text: str) -> datetime:
    """The time that `utc_text` wrote."""
    return datetime.fromisoformat(text)


class UtcText(TypeDecorator[datetime]):
    """An aware time, kept as text: exact, and readable in any database shell."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        return None if value is None else utc_text(value)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        return None if value is None else utc_time(value)


JOBS = Table(
    "jobs", METADATA,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("created", UtcText, nullable=False),
    Column("events", BigInteger, nullable=False),
    Column("head", Text, nullable=False),
)  # fmt: skip
"""`events` and `head`: number of events and hash of the last one, so that a tail that is cut off is noticed."""

EVENTS = Table(
    "events", METADATA,
    Column("job", Text, ForeignKey("jobs.id"), nullable=False),
    Column("seq", BigInteger, nullable=False),
    Column("id", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("happened", UtcText, nullable=False),
    Column("recorded", UtcText, nullable=False),
    Column("received", UtcText, nullable=False),
    Column("device", Text, nullable=False),
    Column("device_order", BigInteger, nullable=False),
    Column("who", Text, nullable=False),
    Column("zone", Text),
    Column("data", Text, nullable=False),
    Column("chain", Text, nullable=False),
    PrimaryKeyConstraint("job", "seq"),
    UniqueConstraint("id"),
)  # fmt: skip
"""Append-only: triggers refuse UPDATE and DELETE. `seq` counts 1, 2, 3 without a gap within a job."""

DOCUMENTS = Table(
    "documents", METADATA,
    Column("job", Text, ForeignKey("jobs.id"), nullable=False),
    Column("kind", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("saved", UtcText, nullable=False),
    Column("content", LargeBinary),
    Column("sha256", Text, nullable=False),
    PrimaryKeyConstraint("job", "kind", "name", "version"),
)  # fmt: skip
"""Every save is a version of its own; a version without content says that the document was taken away."""

PHOTOS = Table(
    "photos", METADATA,
    Column("job", Text, ForeignKey("jobs.id"), nullable=False),
    Column("sha256", Text, nullable=False),
    Column("size_bytes", BigInteger, nullable=False),
    Column("content_type", Text, nullable=False),
    Column("path", Text, nullable=False),
    Column("received", UtcText, nullable=False),
    PrimaryKeyConstraint("job", "sha256"),
)  # fmt: skip
"""`path`: within the folder of photographs."""

PEOPLE = Table(
    "people", METADATA,
    Column("id", Text, primary_key=True),
    Column("job", Text, ForeignKey("jobs.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("created", UtcText, nullable=False),
    UniqueConstraint("job", "name"),
)  # fmt: skip

ROLE_CHECK = "role IN ('skipper', 'hand', 'guest')"

PAIRINGS = Table(
    "pairings", METADATA,
    Column("id", Text, primary_key=True),
    Column("job", Text, ForeignKey("jobs.id"), nullable=False),
    Column("salt", Text, nullable=False),
    Column("code_hash", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("created", UtcText, nullable=False),
    Column("expires", UtcText, nullable=False),
    Column("revoked", UtcText),
    Column("uses_left", Integer, nullable=False),
    CheckConstraint(ROLE_CHECK, name="role"),
)  # fmt: skip

MISSES = Table(
    "pairing_misses", METADATA,
    Column("id", Text, primary_key=True),
    Column("device", Text, nullable=False),
    Column("at", UtcText, nullable=False),
    Index(None, "at"),
)  # fmt: skip
"""One row for every wrong pairing code: what limits guessing."""

SESSIONS = Table(
    "sessions", METADATA,
    Column("id", Text, primary_key=True),
    Column("job", Text, ForeignKey("jobs.id"), nullable=False),
    Column("person", Text, ForeignKey("people.id"), nullable=False),
    Column("token_hash", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("created", UtcText, nullable=False),
    Column("expires", UtcText, nullable=False),
    Column("revoked", UtcText),
    UniqueConstraint("token_hash"),
    CheckConstraint(ROLE_CHECK, name="role"),
)  # fmt: skip
