"""People, the codes by which their phones join, and their sessions."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_ROLES = "role IN ('skipper', 'hand', 'guest')"


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "people",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("created", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_people_job"),
        sa.PrimaryKeyConstraint("id", name="pk_people"),
        sa.UniqueConstraint("job", "name", name="uq_people_job"),
    )
    _pairings()
    op.create_table(
        "sessions",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("person", sa.Text, nullable=False),
        sa.Column("token_hash", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("created", sa.Text, nullable=False),
        sa.Column("expires", sa.Text, nullable=False),
        sa.Column("revoked", sa.Text),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_sessions_job"),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name="fk_sessions_person"),
        sa.PrimaryKeyConstraint("id", name="pk_sessions"),
        sa.UniqueConstraint("token_hash", name="uq_sessions_token_hash"),
        sa.CheckConstraint(_ROLES, name="ck_sessions_role"),
    )


def _pairings() -> None:
    op.create_table(
        "pairings",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("salt", sa.Text, nullable=False),
        sa.Column("code_hash", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("created", sa.Text, nullable=False),
        sa.Column("expires", sa.Text, nullable=False),
        sa.Column("revoked", sa.Text),
        sa.Column("uses_left", sa.Integer, nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_pairings_job"),
        sa.PrimaryKeyConstraint("id", name="pk_pairings"),
        sa.CheckConstraint(_ROLES, name="ck_pairings_role"),
    )
    op.create_table(
        "pairing_misses",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_pairing_misses"),
    )
    op.create_index("ix_pairing_misses_at", "pairing_misses", ["at"])
