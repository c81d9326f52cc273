"""`python -m service recompute [NUMBER | --all]`: recompute stored quotes from their own tables and print the differences."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from typing import Any

from pricing.version import ENGINE
from service.cli.out import refuse, say
from service.engine.catalogues import Catalogues, NotKept
from service.engine.engine import open_engine
from service.http.problems import REFUSED, problem_of
from service.quotes.recompute import differences, recomputed
from service.settings import Settings
from service.storage import Editions, Quotes
from service.storage.stored_quotes import StoredIssue, kept_quotes

DIFFERENT = 1


def recompute(settings: Settings, number: str | None) -> int:
    """Recompute all issues of one number, or all quotes; returns 1 if any result differs. Raises SQLAlchemyError, WrongSchema."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        catalogues = Catalogues(settings, Editions(store), open_engine(settings))
        count, different = 0, 0
        for kept in kept_quotes(store, number):
            count += 1
            lines = list(_differences(kept, catalogues))
            different += bool(lines)
            remarks = [*_of_another_engine(kept), *lines]
            if remarks:
                say("\n".join([f"{kept.number} revision {kept.revision}:", *(f"  {line}" for line in remarks)]))
    if not count:
        return refuse(f"There is no quote {number}." if number else "There is no quote.")
    say(f"{count} recomputed, {count - different} the same, {different} different.")
    return DIFFERENT if different else 0


def _of_another_engine(kept: StoredIssue) -> Iterator[str]:
    """A remark if another engine version made the quote. Old engines are not kept, so such a quote stays as stored, and differences
    need not come from the tables.
    """
    made_by = kept.document["provenance"]["engine"]
    if made_by != ENGINE:
        yield f"made by engine {made_by}; this is {ENGINE}, which may compute differently. The stored quote stays as it is."


def _differences(kept: StoredIssue, catalogues: Catalogues) -> Iterator[str]:
    try:
        again: dict[str, Any] = recomputed(kept, catalogues)
    except NotKept as error:
        yield f"cannot be recomputed: {error}"
    except REFUSED as error:
        yield f"cannot be recomputed: {problem_of(error).detail}"
    else:
        yield from differences(kept.document, again)
