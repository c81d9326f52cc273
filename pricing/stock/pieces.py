"""The pieces required by quotes, each with the boat and tag for the bench to write on it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.cutting import Piece
from pricing.settling import cut_figure, pieces_cut

if TYPE_CHECKING:
    from pricing.measurement.assembly import Assembly
    from pricing.model import Quote, QuotedAssembly, QuotedLine


class WantedPieces(NamedTuple):
    """`quantity` pieces of `length` mm (to 0.1 mm) of the wire `sku`; pieces of one `pair` are best cut from one spool.

    `length_text` is the length as the quote prints it, rounded once from the exact length; empty if there is none in the plan's units.
    """

    sku: str
    length: Decimal
    quantity: int
    label: str
    boat: str | None = None
    quote: str | None = None
    pair: str | None = None
    length_text: str = ""

    def piece(self) -> Piece:
        """The piece as input to the planner."""
        return Piece(self.length, self.quantity, self.label, self.pair)


def wanted_pieces(assembly: Assembly | QuotedAssembly, sku: str, cut: Decimal, boat: str | None, quote: str | None = None) -> WantedPieces:
    """The pieces of wire of one assembly.

    Port and starboard of one role are a pair: cut from one spool, they stretch alike (common practice, no source).
    """
    pair = None
    if assembly.side in ("port", "starboard"):
        pair = f"{quote or boat or ''} {assembly.mast} {assembly.role} {assembly.number or ''}".strip()
    return WantedPieces(sku, cut, assembly.quantity, assembly.tag, boat=boat, quote=quote, pair=pair)


class LeftOut(NamedTuple):
    """Pieces that a plan leaves out; `reason` is `not_ready` (they may not be built yet) or `already_cut`."""

    quote: str
    tag: str
    quantity: int
    reason: str


@dataclass(frozen=True, slots=True)
class QuoteToPlan:
    """What a plan needs of a stored quote: its pieces, and its lines, which say what its customer pays for wire."""

    id: str
    number: str
    revision: int
    boat: str | None
    currency: str
    display_units: str
    pieces: tuple[WantedPieces, ...]
    lines: tuple[QuotedLine, ...]

    left_out: tuple[LeftOut, ...] = ()

    def pieces_in(self, units: str) -> tuple[WantedPieces, ...]:
        """The pieces for a plan in these units; the quote's length texts are dropped if its units differ."""
        return self.pieces if units == self.display_units else tuple([each._replace(length_text="") for each in self.pieces])

    @classmethod
    def of(cls, quote: Quote) -> QuoteToPlan:
        """From a stored quote. Only pieces that may be built and are not yet cut are planned."""
        number = str(quote.number)
        pieces, left = [], []
        for each in quote.assemblies:
            cut = cut_figure(quote, each)
            if cut is None or each.wire is None:
                left.append(LeftOut(number, each.tag, each.quantity, "not_ready"))
                continue
            done = min(pieces_cut(quote).get(each.tag, 0), each.quantity)
            if done:
                left.append(LeftOut(number, each.tag, done, "already_cut"))
            if done < each.quantity:
                piece = wanted_pieces(each, each.wire.sku, cut.mm, quote.boat.name, number)
                pieces.append(piece._replace(quantity=each.quantity - done, length_text=cut.text))
        head = (str(quote.id), number, quote.revision or 0, quote.boat.name, quote.currency, quote.display_units)
        lines = tuple([each for each in quote.lines if each.group in ("wire", "waste")])
        return cls(*head, tuple(pieces), lines, tuple(left))
