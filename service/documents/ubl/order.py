"""What to buy from one supplier as an Order in UBL 2.4 (OASIS Universal Business Language; application/xml, UTF-8).

A draft for the shop to send: its ID is made of the day and of what is ordered, and the shop's own order number may take its place. Codes:
ISO 4217 (currency), UN/ECE Recommendation 20 (units). Without taxes, which are the supplier's to say. Equal lists give equal bytes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from xml.etree.ElementTree import Element, indent, tostring

from pricing.model import Seller
from service.documents.ubl.elements import english, group, leaf
from service.documents.ubl.lines import UNITS
from service.documents.ubl.parties import party_name, shop
from service.encoding import json

_NAMES = "urn:oasis:names:specification:ubl:schema:xsd"
_SPACES = {
    "xmlns": f"{_NAMES}:Order-2",
    "xmlns:cac": f"{_NAMES}:CommonAggregateComponents-2",
    "xmlns:cbc": f"{_NAMES}:CommonBasicComponents-2",
}
Document = Mapping[str, Any]


def order(supplier_list: Document, day: str, currency: str, buyer: Seller) -> bytes:
    """The order to one supplier. `supplier_list`: that supplier's part of a list of what to buy; `buyer`: the shop; `day`: of the list (ISO 8601)."""
    root = Element("Order", _SPACES)
    lines = [_line(str(place), each, currency) for place, each in enumerate(supplier_list["lines"], 1)]
    for part in (
        leaf("UBLVersionID", "2.4"),
        leaf("ID", f"{day}-{_fingerprint(supplier_list)}"),
        leaf("IssueDate", day),
        leaf("DocumentCurrencyCode", currency),
        leaf("LineCountNumeric", len(lines)),
        group("BuyerCustomerParty", shop(buyer)),
        group("SellerSupplierParty", group("Party", party_name(supplier_list["supplier"]))),
        group(
            "AnticipatedMonetaryTotal",
            leaf("LineExtensionAmount", supplier_list["cost"], currencyID=currency),
            leaf("PayableAmount", supplier_list["cost"], currencyID=currency),
        ),
        *lines,
    ):
        if part is not None:
            root.append(part)
    indent(root, " ")
    written: bytes = tostring(root, encoding="UTF-8", xml_declaration=True)
    return written


def _fingerprint(supplier_list: Document) -> str:
    ordered = [supplier_list["supplier"], *([each["order_number"], each["quantity"]] for each in supplier_list["lines"])]
    return hashlib.sha256(json.write(ordered)).hexdigest()[:8]


def _line(identifier: str, line: Document, currency: str) -> Element | None:
    """Quantity in metres or pieces, with the packs that they come in; the day is that of the quotes that need it."""
    unit = UNITS[line["unit"]]
    packs, size = line["packs"], line["pack_size"]
    in_packs = f"{packs} {'pack' if packs == 1 else 'packs'} of {size} {'m' if line['unit'] == 'm' else 'each'}"
    return group(
        "OrderLine",
        group(
            "LineItem",
            leaf("ID", identifier),
            english("Note", in_packs),
            leaf("Quantity", line["quantity"], unitCode=unit),
            leaf("LineExtensionAmount", line["cost"], currencyID=currency),
            group("Delivery", group("RequestedDeliveryPeriod", leaf("EndDate", line["needed_by"]))),
            group("Price", leaf("PriceAmount", line["unit_cost"], currencyID=currency), leaf("BaseQuantity", "1", unitCode=unit)),
            group(
                "Item",
                leaf("PackQuantity", packs, unitCode="PK"),  # UN/ECE Recommendation 20 and 21: pack
                leaf("PackSizeNumeric", Decimal(size).normalize().__format__("f")),
                english("Name", line["name"]),
                group("BuyersItemIdentification", leaf("ID", line["sku"])),
                group("SellersItemIdentification", leaf("ID", line["order_number"])),
            ),
        ),
    )
