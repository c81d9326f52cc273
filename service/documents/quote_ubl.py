"""A quote as a Quotation of UBL (OASIS Universal Business Language), valid by the schemas of 2.1 and 2.4 alike (application/xml, UTF-8).

Every amount is the document's own text: nothing is computed here. Codes: ISO 4217 (currency), UN/ECE Recommendation 20 (units), UNCL5305
(tax category), UNCL5189 and UNCL7161 (reasons of allowances and charges). Totals by EN 16931. Equal documents give equal bytes.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element, indent, tostring

from service.documents.quoted import Document
from service.documents.ubl.elements import adjustment, english, group, leaf, tax_category
from service.documents.ubl.lines import quotation_lines
from service.documents.ubl.notes import notes

_NAMES = "urn:oasis:names:specification:ubl:schema:xsd"
_SPACES = {
    "xmlns": f"{_NAMES}:Quotation-2",
    "xmlns:cac": f"{_NAMES}:CommonAggregateComponents-2",
    "xmlns:cbc": f"{_NAMES}:CommonBasicComponents-2",
}
_DELIVERIES = {"collect": "Collected by the customer.", "ship": "Sent to the customer."}


def quotation(document: Document) -> bytes:
    """The stored quote `document` as a UBL Quotation."""
    lines = quotation_lines(document)
    root = Element("Quotation", _SPACES)
    for part in (*_head(document, len(lines)), *_parties(document), *_terms(document), *_totals(document), *lines):
        if part is not None:
            root.append(part)
    indent(root, " ")
    written: bytes = tostring(root, encoding="UTF-8", xml_declaration=True)
    return written


def _head(document: Document, lines: int) -> tuple[Element | None, ...]:
    replaced = document.get("supersedes")
    return (
        leaf("UBLVersionID", "2.1"),
        leaf("ID", document["number"]),
        leaf("UUID", document["id"]),
        leaf("IssueDate", document["issued_on"]),
        *notes(document),
        leaf("PricingCurrencyCode", document["currency"]),
        leaf("LineCountNumeric", lines),
        group("ValidityPeriod", leaf("StartDate", document["issued_on"]), leaf("EndDate", document["valid_until"])),
        _reference("Customer's reference", document["customer"]["reference"]),
        _reference("Superseded issue of this quotation", document["number"] if replaced else None, replaced),
    )


def _reference(kind: str, identifier: str | None, uuid: str | None = None) -> Element | None:
    named = leaf("ID", identifier)
    if named is None:
        return None
    return group("AdditionalDocumentReference", named, leaf("UUID", uuid), english("DocumentType", kind))


def _parties(document: Document) -> tuple[Element | None, ...]:
    customer, seller = document["customer"], document["seller"]
    contact = group("Contact", leaf("ElectronicMail", customer["email"]))
    return (
        group("SellerSupplierParty", group("Party", _name(seller["name"]), *_seller(seller))),
        group("BuyerCustomerParty", group("Party", _name(customer["name"]), contact)),
    )


def _seller(seller: Document) -> tuple[Element | None, ...]:
    """Address, tax number (EN 16931 BT-31), legal line (BT-33) and contact; none of them in quotes issued before they were told."""
    address, number, legal = seller.get("address") or {}, seller.get("tax_number"), seller.get("legal")
    scheme = group("TaxScheme", leaf("ID", "VAT"))
    return (
        group(
            "PostalAddress",
            leaf("StreetName", address.get("street")),
            leaf("CityName", address.get("city")),
            leaf("PostalZone", address.get("postal_code")),
            leaf("CountrySubentity", address.get("region")),
            group("Country", leaf("IdentificationCode", address.get("country"))),
        ),
        group("PartyTaxScheme", leaf("CompanyID", number), scheme) if leaf("CompanyID", number) is not None else None,
        group("PartyLegalEntity", leaf("RegistrationName", seller["name"]), leaf("CompanyLegalForm", legal)) if legal else None,
        group("Contact", leaf("Telephone", seller.get("phone")), leaf("ElectronicMail", seller.get("email"))),
    )


def _name(name: str | None) -> Element | None:
    return group("PartyName", leaf("Name", name))


def _terms(document: Document) -> tuple[Element | None, ...]:
    currency = document["currency"]
    return (
        group("DeliveryTerms", english("SpecialTerms", _DELIVERIES[document["delivery"]])),
        *(adjustment(each, currency, charge=True, tax=each["tax"]) for each in document["charges"]),
    )


def _totals(document: Document) -> tuple[Element | None, ...]:
    totals = document["totals"]

    def amount(name: str, value: str) -> Element | None:
        return leaf(name, value, currencyID=document["currency"])

    shares = (
        group(
            "TaxSubtotal", amount("TaxableAmount", each["taxable"]), amount("TaxAmount", each["amount"]), tax_category("TaxCategory", each)
        )
        for each in totals["tax"]
    )
    return (
        group("TaxTotal", amount("TaxAmount", totals["tax_amount"]), *shares),
        group(
            "QuotedMonetaryTotal",
            amount("LineExtensionAmount", totals["lines"]),
            amount("TaxExclusiveAmount", totals["tax_exclusive"]),
            amount("TaxInclusiveAmount", totals["tax_inclusive"]),
            amount("AllowanceTotalAmount", totals["allowances"]),
            amount("ChargeTotalAmount", totals["charges"]),
            amount("PayableAmount", totals["payable"]),
        ),
    )
