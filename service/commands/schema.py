"""A database made ready for a command: a file, or one without tables, is brought to this release's schema; a server's is only looked at."""

from __future__ import annotations

from service.storage import Quotes, State, WrongSchema, migrate
from service.storage.connect import is_sqlite


def brought_up(store: Quotes) -> None:
    """Raises SQLAlchemyError where the database does not answer, WrongSchema where another release's tables are in it."""
    try:
        store.ready()
    except WrongSchema as error:
        if not is_sqlite(store.url) and error.state is not State.EMPTY:
            raise
        migrate(store.engine())
