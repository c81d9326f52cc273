"""`backup FILE` and `restore FILE`: a whole database to one file, and back into either kind of database."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from service.commands.out import refuse, say
from service.settings import Settings


def backup(settings: Settings, file: str) -> int:
    """Write a backup beside the work. Raises SQLAlchemyError, WrongSchema, OSError."""
    from service.storage import Quotes
    from service.storage.backup import back_up

    with closing(Quotes(settings.database_url, 1)) as store:
        counted = back_up(store, Path(file))
    return say(f"{file}: {counted.quotes} quotes, {counted.rows} rows.")


def restore(settings: Settings, file: str) -> int:
    """Restore into a database without quotes. Raises SQLAlchemyError, WrongSchema, OSError."""
    from service.storage import Quotes
    from service.storage.backup import BadBackup
    from service.storage.backup import restore as fill

    with closing(Quotes(settings.database_url, 1)) as store:
        try:
            counted = fill(store, Path(file))
        except BadBackup as error:
            return refuse(str(error))
    return say(f"{counted.quotes} quotes, {counted.rows} rows restored from {file}.")
