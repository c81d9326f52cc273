"""The whole quote."""

from __future__ import annotations

from typing import Any

from msgspec import UNSET, Struct, UnsetType

from pricing.model.assembly import Millimetres, QuotedAssembly, QuotedFinding, Readiness
from pricing.model.prices import BillLine, DocumentAllowance, DocumentCharge, QuotedLine, QuotedTotals
from pricing.model.standing import AcceptedBy, Question, Settlement


class Address(Struct, frozen=True, gc=False):
    """An address for post; None for what is not given."""

    street: str | None
    city: str | None
    region: str | None
    postal_code: str | None
    country: str | None


class Seller(Struct, frozen=True, gc=False, kw_only=True):
    """The shop, as named in the head of a quotation."""

    name: str
    address: Address | None = None
    phone: str | None = None
    email: str | None = None
    tax_number: str | None = None
    legal: str | None = None
    payment_terms: str | None = None


class Customer(Struct, frozen=True, gc=False):
    """The customer, as sent in the request."""

    name: str | None
    reference: str | None
    email: str | None
    address: Address | None = None
    telephone: str | None = None
    tax_number: str | None = None
    delivery_address: Address | None = None
    external_id: str | None = None


class Boat(Struct, frozen=True, gc=False):
    """The boat, as sent."""

    name: str | None
    length_overall: Millimetres | None
    external_id: str | None = None


class Provenance(Struct, frozen=True, gc=False):
    """What the quote was computed with: versions of engine and tables, and the day whose prices count (ISO 8601)."""

    engine: str
    catalogue: str
    catalogue_edition: str
    price_table: str
    priced_on: str


class Quote(Struct, frozen=True, gc=False, kw_only=True):
    """A quote. Days are ISO 8601. `fittings_priced` says how papers show the cost of fittings: `together` or `by_assembly`.

    Identity, status and standing are set when it is stored; `supersedes` and `difference` only for a revision, `erased_on` only after a
    person's data was erased from it.
    """

    id: str | UnsetType = UNSET
    number: str | UnsetType = UNSET
    revision: int | UnsetType = UNSET
    status: str | UnsetType = UNSET
    checksum: str | UnsetType = UNSET
    settlements: tuple[Settlement, ...] | UnsetType = UNSET
    current_readiness: dict[str, Readiness] | UnsetType = UNSET
    pieces_cut: dict[str, int] | UnsetType = UNSET
    accepted: AcceptedBy | UnsetType | None = UNSET
    questions: tuple[Question, ...] | UnsetType = UNSET
    supersedes: str | UnsetType = UNSET
    difference: dict[str, Any] | UnsetType = UNSET
    erased_on: str | UnsetType = UNSET
    binding: str
    issued_on: str
    valid_until: str
    currency: str
    price_list: str
    seller: Seller
    customer: Customer
    boat: Boat
    display_units: str
    language: str = "en"
    delivery: str
    note: str | None
    lead_time_days: int
    fittings_priced: str = "together"
    left_out: tuple[str, ...]
    assemblies: tuple[QuotedAssembly, ...]
    bill_of_materials: tuple[BillLine, ...]
    lines: tuple[QuotedLine, ...]
    allowances: tuple[DocumentAllowance, ...] = ()
    charges: tuple[DocumentCharge, ...]
    totals: QuotedTotals
    findings: tuple[QuotedFinding, ...]
    cautions: tuple[str, ...]
    provenance: Provenance
