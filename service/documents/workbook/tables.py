"""The tables of a quote's workbook: headings, and a row of cells for each item of the document."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msgspec import UNSET

from pricing.model import Length, Millimetres, Quote, QuotedAssembly, QuotedTotals, Seller, Strength, Uncertainty
from service.documents.quoted import address_lines, adjusted, all_findings, reasons
from service.documents.workbook.sheet import Cell, Column, Day, Number

Row = list[Cell]
SUMMARY = (Column("Quote", 26), Column("", 90))
ASSEMBLIES = (
    Column("Tag", 14), Column("Role", 18), Column("Side", 10), Column("Mast", 8), Column("Quantity", 9), Column("Readiness", 14),
    Column("Wire", 26), Column("Article", 26),
    Column("Measured, mm", 11), Column("Measured", 18), Column("Target, mm", 11), Column("Target", 18), Column("Cut, mm", 11), Column("Cut", 18),
    Column("Uncertainty ±, mm", 12), Column("Tolerance ±, mm", 11),
    Column("Upper exposed thread, mm", 13), Column("Upper exposed thread", 14),
    Column("Lower exposed thread, mm", 13), Column("Lower exposed thread", 14),
    Column("Take-up left, mm", 11), Column("Take-up left", 14), Column("Let-out left, mm", 11), Column("Let-out left", 14),
    Column("Weakest", 18), Column("Breaks at, kN", 10), Column("Price before tax", 12),
)  # fmt: skip
BILL = (Column("Article", 34), Column("Name", 60), Column("Quantity", 11), Column("Unit", 8), Column("Kept", 8))
LINES = (
    Column("Line", 6), Column("Article", 30), Column("Name", 46), Column("Note", 30), Column("Group", 9), Column("Quantity", 10), Column("Unit", 7),
    Column("Unit price", 11), Column("Amount", 12), Column("Allowances", 12), Column("Charges", 11), Column("Reasons", 26), Column("Net", 12),
    Column("Tax", 6), Column("Tax rate, %", 8),
)  # fmt: skip
TOTALS = (
    Column("Total", 60),
    Column("Amount", 14),
    Column("Currency", 9),
    Column("Tax", 6),
    Column("Tax rate, %", 8),
    Column("Taxed amount", 14),
)
FINDINGS = (Column("Tag", 14), Column("Severity", 10), Column("Code", 28), Column("Finding", 70), Column("Remedy", 70), Column("Where", 40))


def summary(quote: Quote) -> Iterator[Row]:
    """What the quote is, for whom, what it costs, and what every reader must know."""
    yield from _head(quote)
    totals = quote.totals
    yield [f"Total before tax, {quote.currency}", _number(totals.tax_exclusive)]
    yield [f"Tax, {quote.currency}", _number(totals.tax_amount)]
    yield [f"Payable, {quote.currency}", _payable(totals)]
    yield ["Not in the total, on hold", ", ".join(quote.left_out) or "nothing"]
    yield ["Customer's note", quote.note]
    for caution in quote.cautions:
        yield ["Caution", caution]
    provenance = quote.provenance
    yield ["Engine", provenance.engine]
    yield ["Catalogue", provenance.catalogue_edition]
    yield ["Catalogue, version", provenance.catalogue]
    yield ["Prices, version", provenance.price_table]


def _head(quote: Quote) -> Iterator[Row]:
    customer, boat = quote.customer, quote.boat
    yield ["Number", None if quote.number is UNSET else quote.number]
    yield ["Revision", None if quote.revision is UNSET else quote.revision]
    yield ["Status", None if quote.status is UNSET else quote.status]
    yield ["Binding", quote.binding]
    yield ["Issued on", Day(quote.issued_on)]
    yield ["Valid until, inclusive", Day(quote.valid_until)]
    if quote.erased_on is not UNSET:
        yield ["Names and notes erased on", Day(quote.erased_on)]
    yield ["Seller", quote.seller.name]
    for title, said in _seller(quote.seller):
        if said:
            yield [title, said]
    yield ["Customer", customer.name]
    yield ["Customer's reference", customer.reference]
    yield ["Customer's e-mail", customer.email]
    if customer.address is not None:
        yield ["Customer's address", ", ".join(address_lines(customer.address))]
    if customer.telephone is not None:
        yield ["Customer's telephone", customer.telephone]
    if customer.tax_number is not None:
        yield ["Customer's tax number", customer.tax_number]
    if customer.delivery_address is not None:
        yield ["Address for delivery", ", ".join(address_lines(customer.delivery_address))]
    if customer.external_id is not None:
        yield ["Shop's own number of the customer", customer.external_id]
    yield ["Boat", boat.name]
    if boat.external_id is not None:
        yield ["Shop's own number of the boat", boat.external_id]
    yield ["Length overall, mm", _mm(boat.length_overall)]
    yield ["Price list", quote.price_list]
    yield ["Delivery", quote.delivery]
    yield ["Lead time, business days", quote.lead_time_days]
    yield ["Assemblies", len(quote.assemblies)]


def _seller(seller: Seller) -> Iterator[tuple[str, str | None]]:
    yield "Seller's address", ", ".join(address_lines(seller.address))
    yield "Seller's telephone", seller.phone
    yield "Seller's e-mail", seller.email
    yield "Seller's tax number", seller.tax_number
    yield "Seller's legal notice", seller.legal
    yield "Terms of payment", seller.payment_terms


def assemblies(quote: Quote) -> Iterator[Row]:
    """Each assembly with its lengths in mm and in the quote's display units."""
    for each in quote.assemblies:
        wire = [None, None] if each.wire is None else [each.wire.name, each.wire.sku]
        lengths = [each.measured_length, each.target_length, each.cut_length]
        yield [
            each.tag, each.role, each.side, each.mast, each.quantity, each.readiness, *wire,
            *_lengths(lengths), _mm(each.uncertainty), _mm(each.tolerance), *_lengths(_travel(each)), *_strength(each.strength),
            _price(each),
        ]  # fmt: skip


def _travel(assembly: QuotedAssembly) -> list[Length | None]:
    """The exposed threads of both screws at the build setting, what is left to take up and to let out."""
    screws = assembly.turnbuckle
    if screws is None:
        return [None] * 4
    exposed = screws.build_setting
    both = [None, None] if exposed is None else [exposed.upper_exposed, exposed.lower_exposed]
    return [*both, screws.take_up, screws.let_out]


def _lengths(found: list[Length | None]) -> Iterator[Cell]:
    for each in found:
        yield _mm(each)
        yield None if each is None else each.text


def _mm(length: Length | Millimetres | Uncertainty | None) -> Cell:
    return None if length is None else _number(length.mm)


def _number(value: Decimal) -> Number:
    return Number(str(value))


def _strength(strength: Strength | None) -> Row:
    return [None, None] if strength is None else [strength.weakest, _number(strength.kN)]


def _price(assembly: QuotedAssembly) -> Cell:
    """The assembly's share of the lines; empty if on hold, and in quotes issued before it was included."""
    return None if assembly.price is None else _number(assembly.price.net)


def bill(quote: Quote) -> Iterator[Row]:
    """Wire and parts of all assemblies."""
    for each in quote.bill_of_materials:
        yield [each.sku, each.name, _number(each.quantity), each.unit, "yes" if each.kept else "no"]


def lines(quote: Quote) -> Iterator[Row]:
    """The priced lines; charges on the document are among the totals."""
    for each in quote.lines:
        allowances, charges = (Number(adjusted(some, quote.currency)) for some in (each.allowances, each.charges))
        yield [
            Number(each.id), each.sku, each.name, each.note, each.group, _number(each.quantity), each.unit,
            Number(each.unit_price), _number(each.amount), allowances, charges, reasons(each), _number(each.net),
            each.tax.category, _number(each.tax.rate),
        ]  # fmt: skip


def totals(quote: Quote) -> Iterator[Row]:
    """From the sum of the lines to the payable amount, with each charge and each tax in between."""
    found, currency = quote.totals, quote.currency
    yield ["Sum of the lines", _number(found.lines), currency]
    for off in quote.allowances:
        rate = "" if off.percent is None else f", {off.percent} % of {off.base}"
        yield [f"Allowance: {off.reason}{rate}", _number(off.amount), currency, off.tax.category, _number(off.tax.rate)]
    yield ["Allowances on the document", _number(found.allowances), currency]
    for charge in quote.charges:
        yield [f"Charge: {charge.reason}", _number(charge.amount), currency, charge.tax.category, _number(charge.tax.rate)]
    yield ["Charges on the document", _number(found.charges), currency]
    yield ["Total before tax", _number(found.tax_exclusive), currency]
    for share in found.tax:
        taken: Row = [share.category, _number(share.rate), _number(share.taxable)]
        yield [f"Tax {share.category}, {share.rate} % of {share.taxable}", _number(share.amount), currency, *taken]
    yield ["Tax", _number(found.tax_amount), currency]
    yield ["Total with tax", _number(found.tax_inclusive), currency]
    yield ["Payable", _payable(found), currency]


def _payable(totals: QuotedTotals) -> Number | str:
    """The amount payable; as text if nothing can be built."""
    return "nothing is priced" if totals.payable is None else _number(totals.payable)


def findings(quote: Quote) -> Iterator[Row]:
    """What was assumed, is doubted or cannot be built."""
    for tag, each in all_findings(quote):
        yield [tag, each.severity, each.code, each.message, each.remedy, each.pointer]
