"""The tables: wires, terminals on them, turnbuckles on their threads or pins, links. Sizes are in the words that a request takes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from pricing.offer import links, turnbuckles
from pricing.offer.ends import by_pin, fitted
from pricing.offer.folding import Folded, Single, folded

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

Row = Folded
_LINKS = ("kind", "pin", "next_kind", "next_pin")


@dataclass(frozen=True, slots=True)
class Offer:
    """One table: its name, its columns, its rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


@lru_cache(maxsize=2)
def offers(catalogue: Catalogue) -> tuple[Offer, ...]:
    """Every table of the catalogue's offer."""
    found = fitted(catalogue)
    wires = ((wire.construction, wire.material, wire.size) for wire in dict.fromkeys(each.wire for each in found))
    terminals = (
        (each.family, each.attachment, each.wire.construction, each.wire.material, each.wire.size, each.pin, each.thread, each.hand)
        for each in found
    )
    pinned = by_pin(found)
    return (
        _offer("wires", ("construction", "material", "diameter"), wires),
        _offer("terminals", ("terminal", "attachment", "construction", "material", "diameter", "pin", "thread", "hand"), terminals),
        _offer("turnbuckles", ("thread", "hand", "body_hand", "body", "end", "pin"), turnbuckles.on_studs(catalogue)),
        _offer(
            "hung_turnbuckles",
            ("terminal", "on_pin", "thread", "body", "inner_end", "inner_pin", "end", "pin"),
            turnbuckles.on_pins(pinned, catalogue),
        ),
        _offer("links", ("terminal", "on_pin", *_LINKS), links.on_terminals(pinned, catalogue)),
        _offer("turnbuckle_links", ("end", "on_pin", *_LINKS), links.on_turnbuckles(catalogue)),
    )


def _offer(name: str, columns: tuple[str, ...], singles: Iterable[Single]) -> Offer:
    return Offer(name, columns, folded(singles))
