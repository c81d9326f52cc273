"""`backup FILE` and `restore FILE`: save a whole database to one file, and restore it into either kind of database."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from service.cli.out import Refused, confirm, say
from service.settings import Settings, variable


def backup(settings: Settings, file: Path) -> int:
    """Write a backup while the service runs. Raises Refused, SQLAlchemyError, WrongSchema, OSError."""
    from service.storage import Quotes
    from service.storage.backup import back_up

    if file.exists():
        raise Refused(f"{file} already exists and was left as it is: name another file.")
    if not file.absolute().parent.is_dir():
        raise Refused(f"There is no folder {file.parent}.")
    with closing(Quotes(settings.database_url, 1)) as store:
        counted = back_up(store, file)
    return say(f"{file}: {counted.quotes} quotes, {counted.rows} rows.")


def restore(settings: Settings, file: Path, *, sure: bool) -> int:
    """Restore into a database without quotes. Raises Refused, SQLAlchemyError, WrongSchema, OSError."""
    from service.storage import Quotes
    from service.storage.backup import BadBackup
    from service.storage.backup import restore as fill

    confirm(f"Fill the database of {variable('database_url')} from {file}? Keys and tables that it has are replaced.", sure=sure)
    with closing(Quotes(settings.database_url, 1)) as store:
        try:
            counted = fill(store, file)
        except BadBackup as error:
            raise Refused(str(error)) from None
    return say(f"{counted.quotes} quotes, {counted.rows} rows restored from {file}.")
