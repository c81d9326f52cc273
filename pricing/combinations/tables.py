"""The tables of combinations: wires, their terminals, turnbuckles by thread or pin, and links. Sizes are written as in a request."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from pricing.combinations import links, turnbuckles
from pricing.combinations.ends import by_pin, fitted
from pricing.combinations.folding import Folded, Single, folded, joined

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

Row = Folded
_LINKS = ("kind", "pin", "next_kind", "next_pin")


@dataclass(frozen=True, slots=True)
class Offer:
    """One table: its name, columns and rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]

    def values(self, column: str) -> tuple[str, ...]:
        """Each value of a column once, in order."""
        place = self.columns.index(column)
        return tuple(dict.fromkeys(value for row in self.rows for value in row[place]))


@lru_cache(maxsize=2)
def offers(catalogue: Catalogue) -> tuple[Offer, ...]:
    """All tables of combinations that the catalogue offers."""
    fitted_ends = fitted(catalogue)
    wires = (
        (wire.construction, wire.material, wire.size, joined(wire.construction, wire.material))
        for wire in dict.fromkeys(each.wire for each in fitted_ends)
    )
    terminals = (
        (
            each.family,
            each.attachment,
            each.wire.construction,
            each.wire.material,
            each.wire.size,
            each.pin,
            each.thread,
            each.hand,
            joined(each.thread, each.hand) if each.thread else "",
        )
        for each in fitted_ends
    )
    pinned = by_pin(fitted_ends)
    return (
        _offer("wires", ("construction", "material", "diameter", "kind"), wires),
        _offer(
            "terminals", ("terminal", "attachment", "construction", "material", "diameter", "pin", "thread", "hand", "screw"), terminals
        ),
        _offer("turnbuckles", ("thread", "hand", "body_hand", "body", "end", "pin", "outer"), turnbuckles.on_studs(catalogue)),
        _offer(
            "hung_turnbuckles",
            ("terminal", "on_pin", "thread", "body", "inner_end", "inner_pin", "end", "pin"),
            turnbuckles.on_pins(pinned, catalogue),
        ),
        _offer("links", ("terminal", "on_pin", "diameter", *_LINKS), links.on_terminals(pinned, catalogue)),
        _offer("turnbuckle_links", ("end", "on_pin", *_LINKS), links.on_turnbuckles(catalogue)),
    )


def _offer(name: str, columns: tuple[str, ...], singles: Iterable[Single]) -> Offer:
    return Offer(name, columns, folded(singles))
