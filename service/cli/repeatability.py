"""`repeatability`: the repeatability of a single reading, pooled over everything that customers read more than once, ready for
terms.csv.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from decimal import Decimal
from typing import Any

from pricing.measurement.readings import BLUNDER
from pricing.measurement.repeatability import pooled
from service.cli.out import refuse, say
from service.settings import Settings
from service.storage import Quotes
from service.storage.stored_quotes import kept_quotes

SUPERSEDED = "superseded"  # a revision repeats the same readings


def repeatability(settings: Settings) -> int:
    """Print the term and the data it is based on. Raises SQLAlchemyError, WrongSchema."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        pool = pooled(_lengths(store))
    if pool.deviation is None:
        return refuse("No length in a stored quote was read more than once.")
    say(f"repeatability,{pool.deviation},mm")
    say(f"From {pool.lengths} lengths that were read more than once, {pool.degrees} degrees of freedom; what was asked about is left out.")
    return 0


def _lengths(store: Quotes) -> Iterator[list[Decimal]]:
    for kept in kept_quotes(store):
        if kept.status != SUPERSEDED:
            for assembly in kept.document["assemblies"]:
                yield _readings(assembly)


def _readings(assembly: dict[str, Any]) -> list[Decimal]:
    """The readings in mm, from the derivation's first line; none for a wire on hold, or if one of them may be a gross error."""
    if not assembly["derivation"] or any(each["code"] == BLUNDER for each in assembly["findings"]):
        return []
    readings = assembly["derivation"][0].get("values", {}).get("readings")
    return [Decimal(each["mm"]) for each in readings["items"]] if readings else []
