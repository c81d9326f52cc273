"""Prepares a database for a command: a file, or a database without tables, is migrated to this release's schema; a server's database
is only checked.
"""

from __future__ import annotations

from service.storage import Quotes, State, WrongSchema, migrate
from service.storage.engines import is_sqlite


def prepare_schema(store: Quotes) -> None:
    """Check or migrate the database. Raises SQLAlchemyError if it does not respond, WrongSchema if it has another release's tables."""
    try:
        store.ready()
    except WrongSchema as error:
        if not is_sqlite(store.url) and error.state is not State.EMPTY:
            raise
        migrate(store.engine())
