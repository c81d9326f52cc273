"""The quote as it comes out of the engine: typed, frozen, and of the same shape as its JSON document.

Quote → assemblies → ends → members; lines, charges and totals; findings. Lengths are in mm as Decimal, rounded as printed; money is Decimal
in the quote's currency, with its decimals. Members that earlier releases did not write have a default, so that every stored document can be
read.
"""

from __future__ import annotations

from pricing.model.assembly import (
    Contributor,
    End,
    Ends,
    Exposed,
    Identified,
    Length,
    Member,
    Millimetres,
    Part,
    PlacedStop,
    Proposal,
    QuotedAssembly,
    QuotedFinding,
    QuotedTerm,
    QuotedTurnbuckle,
    QuotedWire,
    SharedPrice,
    Strength,
    Uncertainty,
    Work,
)
from pricing.model.prices import Adjusted, BillLine, DocumentAllowance, DocumentCharge, QuotedLine, QuotedTotals, Tax, TaxTotal
from pricing.model.quote import Address, Boat, Customer, Provenance, Quote, Seller
from pricing.model.standing import AcceptedBy, Question, Settlement, Standing, Undone

__all__ = [
    "AcceptedBy", "Address", "Adjusted", "BillLine", "Boat", "Contributor", "Customer", "DocumentAllowance", "DocumentCharge", "End", "Ends", "Exposed", "Identified", "Length", "Member",
    "Millimetres", "Part", "PlacedStop", "Proposal", "Provenance", "Question", "Quote", "QuotedAssembly", "QuotedFinding", "QuotedLine", "QuotedTerm",
    "QuotedTotals", "QuotedTurnbuckle", "QuotedWire", "Seller", "Settlement", "SharedPrice", "Standing", "Strength", "Tax", "TaxTotal", "Uncertainty", "Undone", "Work",
]  # fmt: skip
