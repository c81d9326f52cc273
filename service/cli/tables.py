"""`catalogue check` and `catalogue load`: check a shop's own tables as a whole and put them in force."""

from __future__ import annotations

from pathlib import Path

from service.cli.editions import named, put
from service.cli.out import refuse, say
from service.engine.engine import engine_of
from service.settings import Settings, variable
from service.storage.catalogue_editions import Said

OWN_FOLDER = f"The demo tables are not changed: copy them to a folder of your own and set {variable('catalogue')}."


def check(settings: Settings, folder: Path) -> int:
    """Check the tables in a folder. Raises TableError with every fault."""
    return say(f"{folder} can be used: {named(engine_of(folder, settings))}.")


def load(settings: Settings, *, sure: bool) -> int:
    """Put the configured folder in force from today on, also for running servers. Raises Refused, TableError, SQLAlchemyError, WrongSchema,
    OSError.
    """
    if settings.catalogue is None:
        return refuse(OWN_FOLDER)
    return put(settings, settings.catalogue, None, Said(), sure=sure)
