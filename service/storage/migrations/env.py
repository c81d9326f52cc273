"""Run by Alembic on the connection, already in a transaction, that `service.storage.schema_version` hands it."""

from __future__ import annotations

from alembic import context

from service.storage.tables import metadata

# the caller's transaction rolls back table changes on SQLite, too, since the driver begins and ends none by itself (engines.py)
context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
context.run_migrations()
