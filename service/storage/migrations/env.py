"""Run by Alembic on the connection, already in a transaction, that `service.storage.migrating` hands it."""

from __future__ import annotations

from alembic import context

from service.storage.tables import metadata

# SQLite's changes of tables can be undone, too, once the driver does not begin transactions by itself (connect.py)
context.configure(connection=context.config.attributes["connection"], target_metadata=metadata, transactional_ddl=True)
context.run_migrations()
