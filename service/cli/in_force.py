"""The tables that commands work with: those in force in the database, which running servers quote with, else the configured folder's."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from service.cli.editions import Proposed, described
from service.engine.catalogues import engine_from, files_of
from service.engine.engine import Engine, folder_of, open_engine
from service.settings import Settings
from service.storage import Editions, Quotes


def in_force(settings: Settings, editions: Editions) -> Proposed:
    """The tables in force today, otherwise those of the configured folder, which the next start would put in force. Raises TableError."""
    engine, folder = open_engine(settings), folder_of(settings)
    now = editions.current(engine.today())
    if now is not None and now != engine.key and (files := editions.content(now)) is not None:
        return Proposed(files, now.id, engine_from(files, settings))
    return Proposed(files_of(folder), str(folder), engine)


def engine_in_force(settings: Settings, store: Quotes) -> Engine:
    """The engine with the tables in force; prints a note if they are not the folder's. Raises TableError."""
    proposed = in_force(settings, Editions(store))
    if settings.catalogue is not None and proposed.place != str(settings.catalogue):
        sys.stderr.write(f"With the tables in force, {described(proposed.engine)}: they are not those of {settings.catalogue}.\n")
    return proposed.engine


def engine_with_or_without(settings: Settings) -> Engine:
    """The same for a command that needs no database; prints which tables are used. Raises TableError."""
    with readable(settings) as store:
        proposed = None if store is None else in_force(settings, Editions(store))
    engine = open_engine(settings) if proposed is None else proposed.engine
    whose = f"of {folder_of(settings)}" if proposed is None or proposed.place == str(folder_of(settings)) else "in force"
    sys.stderr.write(f"With the tables {whose}: {described(engine)}.\n")
    return engine


@contextmanager
def readable(settings: Settings) -> Iterator[Quotes | None]:
    """The database if there is one that can be read, else None; never creates one."""
    from sqlalchemy.engine import make_url
    from sqlalchemy.exc import SQLAlchemyError

    from service.storage import WrongSchema

    url = make_url(settings.database_url)
    if url.get_backend_name() == "sqlite" and not (url.database and Path(url.database).exists()):
        yield None
        return
    with closing(Quotes(settings.database_url, 1)) as store:
        try:
            store.ready()
        except (SQLAlchemyError, WrongSchema, OSError):
            there = None
        else:
            there = store
        yield there
