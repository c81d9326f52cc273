"""A quote as a Quotation in UBL (OASIS Universal Business Language), valid against the schemas of both 2.1 and 2.4 (application/xml,
UTF-8).

Every amount is the quote's own: nothing is computed here. Codes: ISO 4217 (currency), UN/ECE Recommendation 20 (units),
UNCL5305 (tax category), UNCL5189 and UNCL7161 (reasons for allowances and charges). Totals as in EN 16931. Equal quotes give equal
bytes.
"""

from __future__ import annotations

from decimal import Decimal
from xml.etree.ElementTree import Element, indent, tostring

from msgspec import UNSET

from pricing.model import Quote
from service.documents.quoted import head
from service.documents.ubl.elements import adjustment, english, group, leaf, tax_category
from service.documents.ubl.lines import quotation_lines
from service.documents.ubl.notes import notes
from service.documents.ubl.parties import party_name, postal_address, shop, taxed

_NAMES = "urn:oasis:names:specification:ubl:schema:xsd"
_SPACES = {
    "xmlns": f"{_NAMES}:Quotation-2",
    "xmlns:cac": f"{_NAMES}:CommonAggregateComponents-2",
    "xmlns:cbc": f"{_NAMES}:CommonBasicComponents-2",
}
_BOAT = "Boat, by the seller's own number"
_DELIVERIES = {"collect": "Collected by the customer.", "ship": "Sent to the customer."}


def quotation(quote: Quote) -> bytes:
    """The stored quote as a UBL Quotation. Raises ValueError for a preview."""
    lines = quotation_lines(quote)
    root = Element("Quotation", _SPACES)
    for part in (*_head(quote, len(lines)), *_parties(quote), *_terms(quote), *_totals(quote), *lines):
        if part is not None:
            root.append(part)
    indent(root, " ")
    written: bytes = tostring(root, encoding="UTF-8", xml_declaration=True)
    return written


def _head(quote: Quote, lines: int) -> tuple[Element | None, ...]:
    issue, replaced = head(quote), None if quote.supersedes is UNSET else quote.supersedes
    return (
        leaf("UBLVersionID", "2.1"),
        leaf("ID", issue.number),
        leaf("UUID", issue.id),
        leaf("IssueDate", quote.issued_on),
        *notes(quote),
        leaf("PricingCurrencyCode", quote.currency),
        leaf("LineCountNumeric", lines),
        group("ValidityPeriod", leaf("StartDate", quote.issued_on), leaf("EndDate", quote.valid_until)),
        _reference("Customer's reference", quote.customer.reference),
        _reference(_BOAT, quote.boat.external_id),
        _reference("Superseded issue of this quotation", issue.number if replaced else None, replaced),
    )


def _reference(kind: str, identifier: str | None, uuid: str | None = None) -> Element | None:
    named = leaf("ID", identifier)
    if named is None:
        return None
    return group("AdditionalDocumentReference", named, leaf("UUID", uuid), english("DocumentType", kind))


def _parties(quote: Quote) -> tuple[Element | None, ...]:
    customer, seller = quote.customer, quote.seller
    contact = group("Contact", leaf("Telephone", customer.telephone), leaf("ElectronicMail", customer.email))
    address = None if customer.address is None else postal_address(customer.address)
    known = group("PartyIdentification", leaf("ID", customer.external_id))
    return (
        group("SellerSupplierParty", shop(seller)),
        group("BuyerCustomerParty", group("Party", known, party_name(customer.name), address, taxed(customer.tax_number), contact)),
    )


def _terms(quote: Quote) -> tuple[Element | None, ...]:
    """Place and terms of delivery, terms of payment, allowances and charges. A Quotation has no PaymentTerms: its TransactionConditions are "purchasing, sales, or
    payment conditions" (UBL 2.1, common library).
    """
    currency, to = quote.currency, quote.customer.delivery_address
    return (
        None if to is None else group("Delivery", group("DeliveryLocation", postal_address(to, "Address"))),  # EN 16931 BG-15
        group("DeliveryTerms", english("SpecialTerms", _DELIVERIES[quote.delivery])),
        group("TransactionConditions", leaf("Description", quote.seller.payment_terms)),
        *(adjustment(each, currency, charge=False, base=each.base, tax=each.tax) for each in quote.allowances),
        *(adjustment(each, currency, charge=True, tax=each.tax) for each in quote.charges),
    )


def _totals(quote: Quote) -> tuple[Element | None, ...]:
    totals = quote.totals

    def amount(name: str, value: Decimal) -> Element | None:
        return leaf(name, value, currencyID=quote.currency)

    shares = (
        group("TaxSubtotal", amount("TaxableAmount", each.taxable), amount("TaxAmount", each.amount), tax_category("TaxCategory", each))
        for each in totals.tax
    )
    return (
        group("TaxTotal", amount("TaxAmount", totals.tax_amount), *shares),
        group(
            "QuotedMonetaryTotal",
            amount("LineExtensionAmount", totals.lines),
            amount("TaxExclusiveAmount", totals.tax_exclusive),
            amount("TaxInclusiveAmount", totals.tax_inclusive),
            amount("AllowanceTotalAmount", totals.allowances),
            amount("ChargeTotalAmount", totals.charges),
            amount(
                "PayableAmount", totals.tax_inclusive if totals.payable is None else totals.payable
            ),  # UBL requires one, even if nothing can be built
        ),
    )
