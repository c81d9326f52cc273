"""Elements of the common components of UBL 2 (OASIS, Universal Business Language, 2.1 of 2013 and 2.4 of 2024).

No element is ever empty (UBL 2.1, additional document constraint IND5): empty elements are left out, as are groups that would contain
nothing else.
"""

from __future__ import annotations

from decimal import Decimal
from xml.etree.ElementTree import Element, SubElement

from pricing.model import Adjusted, DocumentAllowance, DocumentCharge, Tax, TaxTotal
from service.documents.svg.lettering import legal

ENGLISH = "en"


def group(name: str, *parts: Element | None) -> Element | None:
    """An aggregate (`cac:`) of the existing parts, in the given order; None if there are none."""
    present = [part for part in parts if part is not None]
    if not present:
        return None
    made = Element(f"cac:{name}")
    made.extend(present)
    return made


def leaf(name: str, value: object, **attributes: str) -> Element | None:
    """A basic component (`cbc:`); None if the value is missing or blank. Characters that XML does not allow are left out."""
    text = "" if value is None else legal(str(value))
    if not text.strip():
        return None
    made = Element(f"cbc:{name}", attributes)
    made.text = text
    return made


def english(name: str, value: object) -> Element | None:
    """A text by the shop, which writes English."""
    return leaf(name, value, languageID=ENGLISH)


def tax_category(name: str, tax: Tax | TaxTotal) -> Element:
    """A tax category of UNCL5305 with its rate in per cent, which category O (not subject to tax) does not have (EN 16931 BR-O-05).

    The scheme is VAT, as EN 16931-3-2 binds these categories to UBL, whatever the tax is called in the shop's country.
    """
    made = Element(f"cac:{name}")
    SubElement(made, "cbc:ID").text = tax.category
    if tax.category != "O":
        SubElement(made, "cbc:Percent").text = str(tax.rate)
    SubElement(SubElement(made, "cac:TaxScheme"), "cbc:ID").text = "VAT"
    return made


def adjustment(
    asked: Adjusted | DocumentAllowance | DocumentCharge,
    currency: str,
    *,
    charge: bool,
    base: Decimal | None = None,
    tax: Tax | None = None,
) -> Element | None:
    """An allowance or charge. A percentage is given as such (22 for 22 %, in line with the binding of EN 16931 BT-138), along with its
    `base`.
    """
    percent = None if isinstance(asked, DocumentCharge) else asked.percent
    return group(
        "AllowanceCharge",
        leaf("ChargeIndicator", "true" if charge else "false"),
        leaf("AllowanceChargeReasonCode", asked.code),
        english("AllowanceChargeReason", asked.reason),
        leaf("MultiplierFactorNumeric", percent),
        leaf("Amount", asked.amount, currencyID=currency),
        leaf("BaseAmount", None if percent is None else base, currencyID=currency),
        None if tax is None else tax_category("TaxCategory", tax),
    )
