"""`catalogue check` and `catalogue load`: check a shop's own tables as a whole and put them in force."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from pricing.errors import TableError
from service.cli.doubts import SOME_DOUBTED, accept_in, doubt_lines, stale_lines
from service.cli.editions import described, put
from service.cli.out import refuse, say
from service.cli.whole_folders import finish_and_say
from service.engine.catalogues import engine_from
from service.engine.engine import Engine, engine_of
from service.settings import Settings, variable
from service.storage.catalogue_editions import Attribution

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.plausibility import Examination

OWN_FOLDER = f"The demo tables are not changed: copy them to a folder of your own and set {variable('catalogue')}."


def check(settings: Settings, folder: Path, accept: Sequence[str] = (), by: str | None = None, words: str | None = None) -> int:
    """Check the tables in a folder, and keep there which doubts are accepted. Returns SOME_DOUBTED while a doubt is open. Raises TableError with
    every fault, Refused, OSError.
    """
    from pricing.catalogue.plausibility import examine

    finish_and_say(folder)
    engine = engine_of(folder, settings)
    before = _before(settings, engine)
    examination = examine(folder, before)
    if accept:
        accept_in(folder, examination, accept, by, words, engine.today())
        examination = examine(folder, before)
    say("".join(f"{line}\n" for line in stale_lines(examination)) + _summary(folder, engine, examination, before))
    return refuse(*doubt_lines(examination.open), code=SOME_DOUBTED) if examination.open else 0


def _summary(folder: Path, engine: Engine, examination: Examination, before: Catalogue | None) -> str:
    kept = f" {len(examination.accepted)} doubt(s) are accepted." if examination.accepted else ""
    compared = " Prices were compared with those in force." if before is not None else ""
    if examination.open:
        return f"{folder} can be read, but {len(examination.open)} cell(s) are doubted.{kept}{compared} Correct each, or accept it by its name with --accept and --by:"
    return f"{folder} can be used: {described(engine)}.{kept}{compared}"


def _before(settings: Settings, engine: Engine) -> Catalogue | None:
    """The tables in force, if there is a database that has some and can be read: a check of a folder needs none."""
    from sqlalchemy.exc import SQLAlchemyError

    from service.cli.in_force import readable
    from service.storage import Editions

    try:
        with readable(settings) as store:
            if store is None:
                return None
            editions = Editions(store)
            edition = editions.current(engine.today())
            files = None if edition is None or edition == engine.key else editions.content(edition)
            return None if files is None else engine_from(files, settings).catalogue
    except (SQLAlchemyError, TableError, OSError, ValueError):
        return None


def load(settings: Settings, *, sure: bool) -> int:
    """Put the configured folder in force from today on, also for running servers. Raises Refused, TableError, SQLAlchemyError, WrongSchema,
    OSError.
    """
    if settings.catalogue is None:
        return refuse(OWN_FOLDER)
    return put(settings, settings.catalogue, None, Attribution(), sure=sure)
