"""The UBL Quotation against the schemas of OASIS, against checks of its own where they are blind, and against the quote's JSON.

The runtime schemas of UBL 2.1 and 2.4 are read from the folder that UBL_XSD names, else from `ubl-xsd` in a folder beside the project.
"""

import os
import re
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from service.documents.ubl import quotation as ubl
from tests.counts import some_of

from . import made, quotes
from .ubl_checks import complaints, every, text

quotation = made.of(ubl.quotation)
BESIDE = sorted(Path(__file__).resolve().parents[2].parent.glob("*/ubl-xsd"))
FOLDER = Path(os.environ.get("UBL_XSD") or next(iter(BESIDE), "ubl-xsd"))
VERSIONS = ("2.1", "2.4")
QUOTES = {
    **{name: (lambda name=name: quotes.case(name)) for name in quotes.CASES},
    **{each: (lambda each=each: quotes.nasty(each)) for each in quotes.NASTY},
}


@cache
def schema(version):
    path = FOLDER / f"{version}-xsdrt" / "maindoc" / f"UBL-Quotation-{version}.xsd"
    if not path.is_file():
        # the schemas are another's work and no part of this repository, so there is nothing to hold the document to where they are not at hand
        pytest.skip(f"the schemas of UBL {version} are not beside the project; UBL_XSD may name their folder")
    return etree.XMLSchema(etree.parse(path))


def parsed(document):
    return etree.fromstring(quotation(document), etree.XMLParser(resolve_entities=False, huge_tree=False))


def lengths(root):
    found = {}
    for item in every(root, "QuotationLine/LineItem"):
        for each in every(item, "Item/AdditionalItemProperty"):
            sku = text(item, "+Item/+SellersItemIdentification/ID")
            found[text(each, "Name")] = (sku, text(each, "ValueQuantity"), text(each, "Value"), text(each, "ValueQualifier"))
    return found


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("made", QUOTES.values(), ids=map(ascii, QUOTES))
def test_it_is_valid_by_the_schema(made, version):
    found = schema(version)
    found.validate(parsed(made()))
    assert not list(found.error_log)


@pytest.mark.parametrize("made", some_of([*QUOTES.values()], 12), ids=map(ascii, some_of([*QUOTES], 12)))
def test_it_has_nothing_that_the_schema_cannot_see(made):
    assert complaints(parsed(made())) == []


BREAKS = {
    "unit": ('unitCode="MTR"', 'unitCode="MET"'),
    "unit of a length": ('unitCode="MMT"', 'unitCode="MTR"'),
    "currency": ('currencyID="USD"', 'currencyID="EUR"'),
    "language": ("<cbc:Note>", '<cbc:Note languageID="en">'),
    "emptiness": (r"<cbc:UUID>[^<]+", "<cbc:UUID> "),
    "decimals": (r"(<cbc:PayableAmount[^>]*>[0-9]+\.[0-9]{2})", r"\g<1>0"),
    "category": ("<cbc:ID>S</cbc:ID>", "<cbc:ID>X</cbc:ID>"),
    "line count": ("LineCountNumeric>", "LineCountNumeric>1"),
    "line": (r"(<cbc:Quantity[^>]*>)", r"\g<1>1"),
    "percentage": (r"(<cbc:BaseAmount[^>]*>)", r"\g<1>1"),
    "tax base": (r"(<cbc:TaxableAmount[^>]*>)", r"\g<1>1"),
    "tax": (r"(<cac:TaxSubtotal>\s*<cbc:TaxableAmount.*\s*<cbc:TaxAmount[^>]*>)", r"\g<1>1"),
    "sum of the lines": (r"(<cac:QuotedMonetaryTotal>\s*<cbc:LineExtensionAmount[^>]*>)", r"\g<1>1"),
    "charges": (r"(<cbc:ChargeTotalAmount[^>]*>)", r"\g<1>1"),
    "before tax": (r"(<cbc:TaxExclusiveAmount[^>]*>)", r"\g<1>1"),
    "with tax": (r"(<cbc:TaxInclusiveAmount[^>]*>)", r"\g<1>1"),
    "payable": (r"(<cbc:PayableAmount[^>]*>)", r"\g<1>1"),
}


@pytest.mark.parametrize("broken", BREAKS)
def test_the_checks_see_one_thing_that_is_wrong(broken):
    whole = quotation({**quotes.case("metric, sent"), "note": "Ring first."}).decode()
    changed = re.sub(*BREAKS[broken], whole, count=1)
    assert changed != whole
    assert complaints(etree.fromstring(changed.encode()))


@pytest.mark.parametrize("name", quotes.CASES)
def test_every_amount_is_the_one_of_the_quote(name):
    document = quotes.case(name)
    root, totals = parsed(document), document["totals"]
    pairs = {
        "lines": "LineExtension", "allowances": "AllowanceTotal", "charges": "ChargeTotal",
        "tax_exclusive": "TaxExclusive", "tax_inclusive": "TaxInclusive", "payable": "Payable",
    }  # fmt: skip
    assert {name: text(root, f"+QuotedMonetaryTotal/{each}Amount") for name, each in pairs.items()} == {
        name: "0.00" if totals[name] is None else totals[name]
        for name in pairs  # UBL wants an amount
    }
    assert text(root, "+TaxTotal/TaxAmount") == totals["tax_amount"]
    taxes = [
        [text(each, "TaxableAmount"), text(each, "TaxAmount"), text(each, "+TaxCategory/ID")]
        for each in every(root, "TaxTotal/TaxSubtotal")
    ]
    assert taxes == [[each["taxable"], each["amount"], each["category"]] for each in totals["tax"]]
    unit = {"m": "MTR", "each": "EA", "hour": "HUR"}
    found = [
        [
            text(item, "ID"), text(item, "+Item/+SellersItemIdentification/ID"), text(item, "+Item/Name"), text(item, "Quantity"),
            item.find("{*}Quantity").get("unitCode"), text(item, "+Price/PriceAmount"), text(item, "LineExtensionAmount"),
        ]
        for item in every(root, "QuotationLine/LineItem") if document["lines"]
    ]  # fmt: skip
    assert found == [
        [each["id"], each["sku"] or None, each["name"], each["quantity"], unit[each["unit"]], each["unit_price"], each["net"]]
        for each in document["lines"]
    ]


@pytest.mark.parametrize("name", quotes.CASES)
def test_every_length_to_cut_is_a_property_of_the_wire_it_is_cut_from(name):
    document = quotes.case(name)
    asked = {"confirm": "; confirm before cutting", "ready_to_cut": ""}
    assert lengths(parsed(document)) == {
        f"Cut length of {each['tag']}": (
            each["wire"]["sku"], each["cut_length"]["mm"], each["cut_length"]["text"],
            f"{each['quantity']} piece{'' if each['quantity'] == 1 else 's'}{asked[each['readiness']]}",
        )
        for each in document["assemblies"] if each["readiness"] != "hold"
    }  # fmt: skip


def test_parties_days_currency_and_notes_are_said():
    document = quotes.case("metric, sent")
    document["customer"]["email"] = "rig@example.org"
    document["note"] = "Ring first."
    root = parsed(document)
    assert (text(root, "ID"), text(root, "UUID"), text(root, "PricingCurrencyCode")) == (document["number"], document["id"], "USD")
    days = (text(root, "IssueDate"), text(root, "+ValidityPeriod/StartDate"), text(root, "+ValidityPeriod/EndDate"))
    assert days == ("2026-11-25", "2026-11-25", "2026-12-25")
    assert text(root, "+SellerSupplierParty/+Party/+PartyName/Name") == "Halfmoon Cove Rigging Loft"
    assert text(root, "+BuyerCustomerParty/+Party/+PartyName/Name") == "Pelican Reach Sailing School"
    assert text(root, "+BuyerCustomerParty/+Party/+Contact/ElectronicMail") == "rig@example.org"
    assert text(root, "+AdditionalDocumentReference/ID") == "FLEET-11, invented for demonstration"
    shop, customer = root.findall("{*}Note")
    assert (shop.get("languageID"), customer.get("languageID"), customer.text) == ("en", None, document["note"])
    assert all(caution in shop.text for caution in document["cautions"])


def test_the_seller_is_named_with_address_contact_and_tax_number():
    """EN 16931 BG-5 and BG-6 as bound to UBL (EN 16931-3-2): BT-35 street, BT-37 city, BT-38 code, BT-39 region, BT-40 country, BT-31, BT-33, BT-42, BT-43."""
    document = quotes.case("imperial")
    party = parsed(document).find("{*}SellerSupplierParty/{*}Party")
    found = [
        text(party, path)
        for path in (
            "+PostalAddress/StreetName", "+PostalAddress/CityName", "+PostalAddress/PostalZone", "+PostalAddress/CountrySubentity",
            "+PostalAddress/+Country/IdentificationCode", "+PartyTaxScheme/CompanyID", "+PartyTaxScheme/+TaxScheme/ID",
            "+PartyLegalEntity/RegistrationName", "+PartyLegalEntity/CompanyLegalForm", "+Contact/Telephone", "+Contact/ElectronicMail",
        )
    ]  # fmt: skip
    assert found == [
        "14 Net Loft Lane", "Halfmoon Cove", "00000", "RI", "US", "00-0000000", "VAT", "Halfmoon Cove Rigging Loft",
        "This shop is invented for demonstration: it sells nothing.", "+1 401 555 0142", "loft@halfmoon-cove.example",
    ]  # fmt: skip


def test_the_customer_is_named_with_the_address_for_post():
    """EN 16931 BG-8 as bound to UBL (EN 16931-3-2): BT-50 street, BT-52 city, BT-53 code, BT-54 region, BT-55 country; in the schema's order."""
    address = {"street": "3 Pelican Quay", "city": "Tern Point", "region": "ME", "postal_code": "00001", "country": "US"}
    document = quotes.case("imperial")
    document["customer"] |= {"email": "rig@example.org", "address": address, "telephone": "+1 401 555 0142"}
    root = parsed(document)
    party = root.find("{*}BuyerCustomerParty/{*}Party")
    assert complaints(root) == []
    assert [each.tag.split("}")[1] for each in party] == ["PartyName", "PostalAddress", "Contact"]
    assert [(each.tag.split("}")[1], "".join(each.itertext()).strip()) for each in party.find("{*}PostalAddress")] == [
        ("StreetName", "3 Pelican Quay"), ("CityName", "Tern Point"), ("PostalZone", "00001"), ("CountrySubentity", "ME"), ("Country", "US"),
    ]  # fmt: skip
    assert [(each.tag.split("}")[1], each.text) for each in party.find("{*}Contact")] == [  # EN 16931 BT-57 and BT-58
        ("Telephone", "+1 401 555 0142"), ("ElectronicMail", "rig@example.org"),
    ]  # fmt: skip
    document["customer"]["address"] = {**dict.fromkeys(address), "city": "Tern Point"}
    (only,) = parsed(document).find("{*}BuyerCustomerParty/{*}Party/{*}PostalAddress")
    assert (only.tag.split("}")[1], only.text) == ("CityName", "Tern Point")


def test_a_discount_by_hand_is_an_allowance_on_the_document_for_each_tax():
    """EN 16931 BG-20 as bound to UBL (EN 16931-3-2): BT-97 reason, BT-98 code, BT-94 percentage, BT-92 amount, BT-93 base, BT-95 category."""
    document = quotes.case("lines and a discount by hand")
    off = [each for each in parsed(document).findall("{*}AllowanceCharge") if text(each, "ChargeIndicator") == "false"]
    parts = ("AllowanceChargeReason", "AllowanceChargeReasonCode", "MultiplierFactorNumeric", "Amount", "BaseAmount", "+TaxCategory/ID")
    assert [[text(each, part) for part in parts] for each in off] == [
        ["Winter", "95", "7.5", each["amount"], each["base"], each["tax"]["category"]] for each in document["allowances"]
    ]
    assert sorted(each["tax"]["category"] for each in document["allowances"]) == ["E", "S", "Z"]
    # added by hand at no tax: 12.345 is 12.35, of which 7.5 % is 0.92625
    assert [(each["base"], each["amount"]) for each in document["allowances"] if each["tax"]["category"] == "E"] == [("12.35", "0.93")]


def test_the_customers_tax_number_the_place_of_delivery_and_the_sellers_own_numbers_are_told():
    """EN 16931 as bound to UBL (EN 16931-3-2): BT-46 identifier, BT-48 tax number, BG-15 with BT-75, BT-77, BT-78, BT-79 and BT-80."""
    address = {"street": "4 Gannet Wharf", "city": "Tern Point", "region": "ME", "postal_code": "00001", "country": "US"}
    document = quotes.case("imperial")
    document["customer"] |= {"tax_number": "XX000000000", "delivery_address": address, "external_id": "C-1042"}
    document["boat"]["external_id"] = "B-0007"
    root = parsed(document)
    party = root.find("{*}BuyerCustomerParty/{*}Party")
    assert complaints(root) == []
    assert [text(party, path) for path in ("+PartyIdentification/ID", "+PartyTaxScheme/CompanyID", "+PartyTaxScheme/+TaxScheme/ID")] == [
        "C-1042", "XX000000000", "VAT",
    ]  # fmt: skip
    at = root.find("{*}Delivery/{*}DeliveryLocation/{*}Address")
    assert [(each.tag.split("}")[1], "".join(each.itertext()).strip()) for each in at] == [
        ("StreetName", "4 Gannet Wharf"), ("CityName", "Tern Point"), ("PostalZone", "00001"), ("CountrySubentity", "ME"), ("Country", "US"),
    ]  # fmt: skip
    told = {each.find("{*}DocumentType").text: each.find("{*}ID").text for each in root.findall("{*}AdditionalDocumentReference")}
    assert told["Boat, by the seller's own number"] == "B-0007"


def test_the_terms_of_payment_are_conditions_of_the_transaction():
    """UBL 2.1 and 2.4 have no PaymentTerms in a Quotation; TransactionConditions is for purchasing, sales or payment conditions."""
    document = quotes.case("imperial")
    said = text(parsed(document), "+TransactionConditions/Description")
    assert said == document["seller"]["payment_terms"] == "Half on acceptance, the rest on collection or before the work is sent."
    document["seller"]["payment_terms"] = None
    assert parsed(document).find("{*}TransactionConditions") is None


def test_a_seller_of_whom_nothing_but_the_name_is_told_has_nothing_empty():
    for seller in (
        {"name": "Loft"},
        {"name": "Loft", "address": None, "phone": None, "email": None, "tax_number": None, "legal": None, "payment_terms": None},
    ):
        root = parsed({**quotes.case("imperial"), "seller": seller})
        assert complaints(root) == []
        assert [each.tag.split("}")[1] for each in root.find("{*}SellerSupplierParty/{*}Party")] == ["PartyName"]


def test_what_is_on_hold_is_said_and_nothing_is_guessed_of_it():
    document = quotes.case("none ready")
    root = parsed(document)
    note = root.findtext("{*}Note")
    assert f"On hold and not in the total: {', '.join(document['left_out'])}." in note
    for item, assembly in zip(every(root, "QuotationLine/LineItem"), document["assemblies"], strict=True):
        assert assembly["tag"] in text(item, "+Item/Name")
        assert assembly["findings"][0]["message"] in text(item, "Note")
        assert not item.xpath("*[local-name() = 'Quantity' or local-name() = 'LineExtensionAmount' or local-name() = 'Price']")


def test_a_revision_names_what_it_replaces():
    reference = every(parsed(quotes.case("revised")), "AdditionalDocumentReference")[-1]
    assert (text(reference, "ID"), text(reference, "UUID")) == ("Q-2026-000042", "01a21202-0dfc-7812-9843-000000000001")


@pytest.mark.parametrize("nasty", some_of(quotes.NASTY, 5))
def test_texts_come_back_as_they_were_without_what_xml_forbids(nasty):
    document = quotes.nasty(nasty)
    root = parsed(document)
    kept = "".join(
        each for each in nasty if each in "\t\n\r" or "\x20" <= each <= "\ud7ff" or "\ue000" <= each <= "\ufffd" or each > "\uffff"
    )  # XML 1.0, Char
    assert text(root, "+BuyerCustomerParty/+Party/+PartyName/Name") == kept
    assert root.findall("{*}Note")[1].text == kept
    assert {text(each, "+Item/Name") for each in every(root, "QuotationLine/LineItem")} == {kept}


def test_what_has_nothing_to_show_leaves_no_element_behind():
    document = quotes.case("imperial")
    document |= {"customer": {"name": " ", "reference": "\x00", "email": "\n"}, "note": "\u0085\u2003"}
    root = parsed(document)
    assert complaints(root) == []
    assert not root.xpath("*[local-name() = 'BuyerCustomerParty' or local-name() = 'AdditionalDocumentReference']")
    assert len(root.findall("{*}Note")) == 1


def test_equal_quotes_give_equal_bytes():
    assert quotation(quotes.case("imperial")) == quotation(quotes.case("imperial"))
