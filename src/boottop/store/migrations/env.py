"""Run by Alembic: the steps on the connection that `boottop.store.migrate` hands over, in its transaction."""

from __future__ import annotations

from alembic import context

from boottop.store.tables import METADATA, VERSION_TABLE

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    version_table=VERSION_TABLE,
)
context.run_migrations()
