"""A supplier's UBL Order against the schemas of OASIS, and against the list that it is made from.

Beside the project there may be the schemas' common components alone. They hold every part of the order; that the parts stand in the order of an
Order is held here, by the sequence of UBL 2.4's UBL-Order-2.4.xsd.
"""

from decimal import Decimal
from functools import cache

import pytest
from lxml import etree

from pricing.model import Address, Seller
from service.documents.ubl.order import order

from .test_quote_ubl import FOLDER
from .ubl_checks import every, text

SEQUENCE = (
    "UBLVersionID", "ID", "IssueDate", "DocumentCurrencyCode", "LineCountNumeric", "BuyerCustomerParty", "SellerSupplierParty", "AnticipatedMonetaryTotal",
    "OrderLine",
)  # fmt: skip
LOFT = Seller(
    name="Halfmoon Cove Rigging Loft", address=Address("14 Net Loft Lane", "Halfmoon Cove", "RI", "00000", "US"), phone="+1 401 555 0142",
    tax_number="00-0000000", legal="Invented.",
)  # fmt: skip
WIRE = {
    "sku": "WIRE-1", "name": "Wire <7x19> & more", "unit": "m", "order_number": "TW-1", "pack_size": "76.200", "packs": 2, "quantity": "152.400",
    "unit_cost": "1.865", "cost": "284.23", "needed_by": "2026-12-08",
}  # fmt: skip
PIN = {
    "sku": "PIN-1", "name": "Clevis pin", "unit": "each", "order_number": "TW-2", "pack_size": "10", "packs": 1, "quantity": "10", "unit_cost": "3.42",
    "cost": "34.20", "needed_by": None,
}  # fmt: skip
ASKED = {"supplier": "Tidewater Wire (invented)", "cost": "318.43", "order_by": "2026-11-26", "lines": [WIRE, PIN]}


def made(asked=ASKED):
    return etree.fromstring(order(asked, "2026-11-25", "USD", LOFT))


@cache
def common():
    path = FOLDER / "2.4-xsdrt" / "common" / "UBL-CommonAggregateComponents-2.4.xsd"
    if not path.is_file():
        # the schemas are another's work and no part of this repository, so there is nothing to hold the document to where they are not at hand
        pytest.skip("the schemas of UBL 2.4 are not beside the project; UBL_XSD may name their folder")
    return etree.XMLSchema(etree.parse(path))


def test_each_part_is_valid_by_the_schema_and_stands_where_an_order_has_it():
    root = made()
    names = [each.tag.split("}")[1] for each in root]
    assert names == [*SEQUENCE, "OrderLine"]
    assert root.tag == "{urn:oasis:names:specification:ubl:schema:xsd:Order-2}Order"
    for part in root:
        if len(part):
            common().validate(etree.fromstring(etree.tostring(part)))
            assert not list(common().error_log)


def test_the_schema_sees_a_part_that_is_wrong():
    line = etree.tostring(made().findall("{*}OrderLine")[0]).replace(b"BaseQuantity", b"BaseAmount")
    assert not common().validate(etree.fromstring(line))


def test_every_line_is_that_of_the_list():
    root = made()
    found = [
        [
            text(item, "Quantity"), item.find("{*}Quantity").get("unitCode"), text(item, "LineExtensionAmount"), text(item, "+Price/PriceAmount"),
            text(item, "+Item/PackQuantity"), text(item, "+Item/PackSizeNumeric"), text(item, "+Item/Name"),
            text(item, "+Item/+BuyersItemIdentification/ID"), text(item, "+Item/+SellersItemIdentification/ID"),
            text(item, "+Delivery/+RequestedDeliveryPeriod/EndDate"),
        ]
        for item in every(root, "OrderLine/LineItem")
    ]  # fmt: skip
    assert found == [  # UN/ECE Recommendation 20: MTR metre, EA each
        ["152.400", "MTR", "284.23", "1.865", "2", "76.2", "Wire <7x19> & more", "WIRE-1", "TW-1", "2026-12-08"],
        ["10", "EA", "34.20", "3.42", "1", "10", "Clevis pin", "PIN-1", "TW-2", None],
    ]
    assert (text(root, "+AnticipatedMonetaryTotal/PayableAmount"), text(root, "LineCountNumeric")) == ("318.43", "2")
    assert sum(Decimal(each[2]) for each in found) == Decimal("318.43")
    assert text(root, "+BuyerCustomerParty/+Party/+PartyName/Name") == "Halfmoon Cove Rigging Loft"
    assert text(root, "+SellerSupplierParty/+Party/+PartyName/Name") == "Tidewater Wire (invented)"


def test_the_number_is_the_same_for_the_same_order_and_another_for_another():
    number, again = text(made(), "ID"), text(made(), "ID")
    other = text(made({**ASKED, "lines": [PIN]}), "ID")
    assert number == again != other
    assert number.startswith("2026-11-25-")


def test_nothing_is_empty():
    assert [each.tag for each in made().iter() if not len(each) and not (each.text or "").strip()] == []
