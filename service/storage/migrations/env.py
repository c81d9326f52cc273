"""Run by Alembic on the connection, already in a transaction, that `service.storage.migrating` hands it."""

from __future__ import annotations

from alembic import context

from service.storage.tables import metadata

# the caller's transaction undoes changes of tables on SQLite, too: the driver begins and ends none by itself (connect.py)
context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
context.run_migrations()
