"""Articles whose last day of sale falls within the quote's validity: a customer who accepts later must still be supplied."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.values import Text

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.bill import Counted
    from pricing.measurement.assembly import ExtraArticle

SOLD_UNTIL = code("sold-until", "note", "An article of the quote has its last day before the quote's own.", "shop")


def ending(built: Iterable[Counted | None], extra: Sequence[ExtraArticle], catalogue: Catalogue, valid_until: date) -> list[Finding]:
    """A finding for each article whose last day is before `valid_until`, at the first place that uses it."""
    if not any(day < valid_until for day in catalogue.index.last_days):
        return []
    places = dict[str, str]()
    for sku, at in (*_parts(built), *((each.sku, f"/extra_articles/{place}") for place, each in enumerate(extra))):
        places.setdefault(sku, at)
    return [each for sku, at in places.items() for each in _ends(sku, at, catalogue, valid_until)]


def _parts(built: Iterable[Counted | None]) -> Iterator[tuple[str, str]]:
    for place, one in enumerate(built):
        if one is not None:
            at = f"/assemblies/{place}"
            yield one.wire.sku, f"{at}/wire"
            yield from ((part.sku, f"{at}/{_where(part.at)}") for part in one.parts if not part.kept)


def _where(at: str) -> str:
    """The pointer of a part's place; a stop's place is `stop 1`, counted from 1."""
    return f"stops/{int(at.removeprefix('stop ')) - 1}" if at.startswith("stop ") else at


def _ends(sku: str, at: str, catalogue: Catalogue, valid_until: date) -> Iterator[Finding]:
    row = catalogue.article(sku)
    until = getattr(row, "until", None)
    if row is not None and until is not None and until < valid_until:
        days = {"until": Text(until.isoformat()), "valid_until": Text(valid_until.isoformat())}
        yield finding(SOLD_UNTIL, at, article=Text(row.name), sku=Text(sku), **days)
