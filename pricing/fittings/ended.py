"""Articles that are no longer sold: the finding for one that a request needs, and the articles that fit in its place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Any

from pricing import rows
from pricing.findings import Finding, code, finding
from pricing.values import Text, Value, texts

if TYPE_CHECKING:
    from pricing.catalogue import Article, Catalogue
    from pricing.fittings.base import Part

NO_LONGER_SOLD = code(
    "no-longer-sold", "stop", "An article that the request needs is not sold on the quote's day: its last day is before it."
)
MOST = 3  # articles named in the place of one
#: Parts that requests do not name: the engine substitutes another of the same size by itself.
OF_THEMSELVES = (rows.Pin, rows.Cotter, rows.Locknut, rows.Thimble, rows.Sleeve, rows.Cone, rows.BackingPlate)
Key = Callable[[Any], Any]
_ALIKE: dict[type, tuple[str, Key]] = {  # the table, and the key that interchangeable rows share
    rows.Wire: ("wires", lambda row: (row.construction, row.diameter)),
    rows.Body: ("turnbuckle_bodies", lambda row: (row.thread, row.stud_hand)),
    rows.Screw: ("screws", lambda row: (row.thread, row.hand, row.pin)),
    rows.Link: ("links", lambda row: (row.kind, row.pin)),
    rows.Pin: ("pins", lambda row: row.diameter),
    rows.Cotter: ("cotters", lambda row: row.diameter),
    rows.Locknut: ("locknuts", lambda row: (row.thread, row.hand)),
    rows.Terminal: ("terminals", lambda row: (row.family, row.pin, row.thread, row.hand, row.ball)),
    rows.Ball: ("balls", lambda row: row.ball),
    rows.Thimble: ("thimbles", lambda row: None),
    rows.Sleeve: ("sleeves", lambda row: None),
    rows.Cone: ("cones", lambda row: None),
    rows.BackingPlate: ("backing_plates", lambda row: None),
}


def instead_of(article: Article, catalogue: Catalogue, wire: rows.Wire | None = None) -> tuple[Article, ...]:
    """The articles in the catalogue that fit where `article` did: of its family, with its thread or pin, for all its wires (or for `wire`)."""
    if type(article) not in _ALIKE:
        return ()
    others: Iterable[Any] = getattr(catalogue.tables, _ALIKE[type(article)][0])
    return tuple(row for row in others if row.sku != article.sku and takes_its_place(type(article), row, article, wire))


def takes_its_place(kind: type, row: Any, article: Any, wire: rows.Wire | None = None) -> bool:
    """Whether a row fits where an article of the same class does; always False for a class without a key in `_ALIKE`."""
    if kind not in _ALIKE:
        return False
    key = _ALIKE[kind][1]
    return bool(key(row) == key(article)) and _fits(row, article, wire)


def _fits(row: Any, article: Any, wire: rows.Wire | None) -> bool:
    if hasattr(row, "grip"):
        return bool(row.grip >= article.grip)
    if not hasattr(row, "wire_sizes"):
        return True
    if wire is None:
        sizes, constructions = set(article.wire_sizes), set(getattr(article, "constructions", ()))
        return sizes <= set(row.wire_sizes) and constructions <= set(getattr(row, "constructions", constructions))
    return (
        wire.diameter in row.wire_sizes
        and wire.construction in getattr(row, "constructions", (wire.construction,))
        and wire.material in (getattr(row, "materials", None) or (wire.material,))
    )


def discontinued_values(article: Article) -> dict[str, Value]:
    """A discontinued article's name, number and last day, as values for a finding."""
    until = getattr(article, "until", None)
    return {"article": Text(article.name), "sku": Text(article.sku), "until": Text("" if until is None else until.isoformat())}


def no_longer_sold(at: str, article: Article, instead: Iterable[Article]) -> Finding:
    """The finding for a discontinued article, with up to MOST of the articles sold in its place."""
    values = discontinued_values(article)
    names = [each.name for each in instead][:MOST]
    if not names:
        return finding(NO_LONGER_SOLD, at, "nothing", **values)
    return finding(NO_LONGER_SOLD, at, "instead", **values, instead=texts(names, "or"))


def ended(parts: Iterable[Part], catalogue: Catalogue) -> Iterator[tuple[Part, Article]]:
    """The new (not kept) parts that the catalogue no longer sells, each once, with their articles."""
    for part in dict.fromkeys(parts):
        row = None if part.kept else catalogue.with_discontinued.article(part.sku)
        if row is not None and catalogue.article(part.sku) is None:
            yield part, row
