"""Jobs, their documents and photographs, and the log that is only ever added to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_SQLITE = (
    "CREATE TRIGGER events_no_update BEFORE UPDATE ON events "
    "BEGIN SELECT RAISE(ABORT, 'events are never changed: a correction is a new event'); END",
    "CREATE TRIGGER events_no_delete BEFORE DELETE ON events "
    "BEGIN SELECT RAISE(ABORT, 'events are never deleted: a correction is a new event'); END",
)
_POSTGRES = (
    "CREATE FUNCTION boottop_events_refuse() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
    "RAISE EXCEPTION 'events are never changed or deleted: a correction is a new event'; END $$",
    "CREATE TRIGGER events_no_change BEFORE UPDATE OR DELETE ON events "
    "FOR EACH ROW EXECUTE FUNCTION boottop_events_refuse()",
    "CREATE TRIGGER events_no_truncate BEFORE TRUNCATE ON events "
    "FOR EACH STATEMENT EXECUTE FUNCTION boottop_events_refuse()",
)


def upgrade() -> None:
    """Make the tables, then close the log."""
    op.create_table(
        "jobs",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("created", sa.Text, nullable=False),
        sa.Column("events", sa.BigInteger, nullable=False),
        sa.Column("head", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
    )
    _events()
    _documents()
    _photos()
    for statement in _SQLITE if op.get_bind().dialect.name == "sqlite" else _POSTGRES:
        op.execute(statement)


def _events() -> None:
    op.create_table(
        "events",
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("seq", sa.BigInteger, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("happened", sa.Text, nullable=False),
        sa.Column("recorded", sa.Text, nullable=False),
        sa.Column("received", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("device_order", sa.BigInteger, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("zone", sa.Text),
        sa.Column("data", sa.Text, nullable=False),
        sa.Column("chain", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_events_job"),
        sa.PrimaryKeyConstraint("job", "seq", name="pk_events"),
        sa.UniqueConstraint("id", name="uq_events_id"),
    )


def _documents() -> None:
    op.create_table(
        "documents",
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("saved", sa.Text, nullable=False),
        sa.Column("content", sa.LargeBinary),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_documents_job"),
        sa.PrimaryKeyConstraint("job", "kind", "name", "version", name="pk_documents"),
    )


def _photos() -> None:
    op.create_table(
        "photos",
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("size_bytes", sa.BigInteger, nullable=False),
        sa.Column("content_type", sa.Text, nullable=False),
        sa.Column("path", sa.Text, nullable=False),
        sa.Column("received", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_photos_job"),
        sa.PrimaryKeyConstraint("job", "sha256", name="pk_photos"),
    )
