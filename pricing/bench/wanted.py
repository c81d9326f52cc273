"""The pieces that quotes ask for, each with the boat and the tag that the bench writes on it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from pricing.cutting import Piece


@dataclass(frozen=True, slots=True)
class Wanted:
    """`quantity` pieces of `length` mm (to 0.1 mm) of the wire `sku`; pieces of one `pair` are best cut off one spool."""

    sku: str
    length: Decimal
    quantity: int
    label: str
    boat: str | None = None
    quote: str | None = None
    pair: str | None = None

    def piece(self) -> Piece:
        """The piece as the planner takes it."""
        return Piece(self.length, self.quantity, self.label, self.pair)


def wanted(assemblies: Iterable[Mapping[str, Any]], boat: str | None, quote: str | None = None) -> Iterator[Wanted]:
    """The pieces of a quote's assemblies (as its document has them); those on hold have no cut length and are left out.

    Port and starboard of one role are a pair: off one spool they stretch alike (common practice, no source).
    """
    for each in assemblies:
        if each["cut_length"] is not None:
            pair = f"{quote or boat or ''} {each['mast']} {each['role']}".strip() if each["side"] in ("port", "starboard") else None
            yield Wanted(
                each["wire"]["sku"], Decimal(each["cut_length"]["mm"]), each["quantity"], each["tag"], boat=boat, quote=quote, pair=pair
            )
