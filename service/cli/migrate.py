"""`python -m service migrate`: migrate a database with all its data to this release's schema."""

from __future__ import annotations

from contextlib import closing

from service.cli.out import confirm, say
from service.settings import Settings


def migrate_database(settings: Settings, *, sure: bool) -> int:
    """Migrate in one transaction; asks first if tables of an earlier release will be changed. Raises Refused, SQLAlchemyError,
    WrongSchema.
    """
    from service.storage import Quotes, State, migrate
    from service.storage.schema_version import HEAD, state_of

    with closing(Quotes(settings.database_url, 1)) as once:
        with once.engine().connect() as connection:
            state = state_of(connection)
        if state in (State.BEHIND, State.UNNUMBERED):
            confirm(
                f"Bring the database from an earlier schema to {HEAD}? Earlier releases cannot use it afterwards: make a backup first.",
                sure=sure,
            )
        before = migrate(once.engine())
    done = "was already" if before is State.CURRENT else "is"
    return say(f"The database {done} at schema {HEAD}.")
