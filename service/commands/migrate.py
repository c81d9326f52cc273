"""`python -m service migrate`: bring a database to this release's schema, with everything in it."""

from __future__ import annotations

from contextlib import closing

from service.commands.out import say
from service.settings import Settings


def migrate_database(settings: Settings) -> int:
    """Migrate in one transaction. Raises SQLAlchemyError, WrongSchema."""
    from service.storage import Quotes, State, migrate
    from service.storage.migrating import HEAD

    with closing(Quotes(settings.database_url, 1)) as once:
        before = migrate(once.engine())
    done = "was already" if before is State.CURRENT else "is"
    return say(f"The database {done} at schema {HEAD}.")
