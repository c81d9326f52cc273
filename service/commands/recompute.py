"""`python -m service recompute [NUMBER | --all]`: make stored quotes again from their own tables and print what comes out otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from typing import Any

from service.catalogues import Catalogues, NotKept
from service.commands.out import refuse, say
from service.engine import open_engine
from service.problems import Problem
from service.recomputing import differences, recomputed
from service.settings import Settings
from service.storage import Editions, Quotes
from service.storage.reading import Kept, kept_quotes

DIFFERENT = 1


def recompute(settings: Settings, number: str | None) -> int:
    """Recompute one number's issues, or all quotes; 1 where any comes out otherwise. Raises SQLAlchemyError, WrongSchema."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        catalogues = Catalogues(settings, Editions(store), open_engine(settings))
        count, odd = 0, 0
        for kept in kept_quotes(store, number):
            count += 1
            lines = list(_said(kept, catalogues))
            odd += bool(lines)
            if lines:
                say("\n".join([f"{kept.number} revision {kept.revision}:", *(f"  {line}" for line in lines)]))
    if not count:
        return refuse(f"There is no quote {number}." if number else "There is no quote.")
    say(f"{count} recomputed, {count - odd} the same, {odd} otherwise.")
    return DIFFERENT if odd else 0


def _said(kept: Kept, catalogues: Catalogues) -> Iterator[str]:
    try:
        again: dict[str, Any] = recomputed(kept, catalogues)
    except NotKept as error:
        yield f"cannot be recomputed: {error}"
    except Problem as problem:
        yield f"cannot be recomputed: {problem.detail}"
    else:
        yield from differences(kept.document, again)
