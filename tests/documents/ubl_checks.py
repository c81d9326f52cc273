"""What the schemas of UBL cannot see in a Quotation, checked apart from the code that writes it.

Sources: UBL 2.1 (OASIS Standard, 4 November 2013), additional document constraints IND5 (no empty element), IND7 and IND8 (one language a
text); EN 16931-1:2017, BR-CO-10 to BR-CO-17 and BR-S-08 (sums); ISO 4217 as the `iso4217` package has it (decimals); UN/ECE
Recommendation 20 (MTR metre, MMT millimetre, EA each, HUR hour); UNCL5305 as openapi.yaml lists it (tax categories).
"""

from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal

import iso4217

_COMPONENTS = "urn:oasis:names:specification:ubl:schema:xsd:Common{}Components-2"
NAMES = {"cbc": _COMPONENTS.format("Basic"), "cac": _COMPONENTS.format("Aggregate")}
UNITS = {"Quantity": {"MTR", "EA", "HUR"}, "BaseQuantity": {"MTR", "EA", "HUR"}, "ValueQuantity": {"MMT"}}
CATEGORIES = {"S", "Z", "E", "AE", "K", "G", "O", "L", "M"}


def text(node, path):
    return node.findtext("/".join(f"c{'a' if step[0] == '+' else 'b'}c:{step.lstrip('+')}" for step in path.split("/")), namespaces=NAMES)


def number(node, path):
    return Decimal(text(node, path) or 0)


def every(node, path):
    return node.findall("/".join(f"cac:{step}" for step in path.split("/")), NAMES)


def complaints(root):
    """One sentence for each thing wrong."""
    return [*_emptiness(root), *_languages(root), *_codes(root), *_decimals(root), *_lines(root), *_tax(root), *_totals(root)]


def _local(node):
    return node.tag.split("}")[-1]


def _emptiness(root):
    return [f"{_local(node)} is empty" for node in root.iter() if not len(node) and not (node.text or "").strip()]


def _languages(root):
    for parent in root.iter():
        seen = defaultdict(list)
        for node in parent:
            if not len(node) and _local(node) in {"Note", "ValueQualifier", "AllowanceChargeReason", "SpecialTerms", "Description"}:
                seen[_local(node)].append(node.get("languageID"))
        yield from (f"{name} twice in one language" for name, found in seen.items() if len(found) != len(set(found)))


def _codes(root):
    currency = text(root, "PricingCurrencyCode")
    for node in root.iter():
        name = _local(node)
        if name.endswith("Amount") and node.get("currencyID") != currency:
            yield f"{name} is not in {currency}"
        if name.endswith("Quantity") and node.get("unitCode") not in UNITS[name]:
            yield f"{name} is in {node.get('unitCode')}"
        if name.endswith("TaxCategory") and text(node, "ID") not in CATEGORIES:
            yield f"{text(node, 'ID')} is no tax category"
    if int(text(root, "LineCountNumeric")) != len(every(root, "QuotationLine")):
        yield "LineCountNumeric is not the number of lines"


def _decimals(root):
    digits = next(each.exponent for each in iso4217.Currency if each.code == text(root, "PricingCurrencyCode"))
    for node in root.iter():
        name = _local(node)
        if name.endswith("Amount"):
            found = len(node.text.partition(".")[2])
            if found < digits or (found > digits and name != "PriceAmount"):
                yield f"{name} {node.text} has not {digits} decimals"


def _rounded(amount, root):
    return amount.quantize(Decimal(text(root, "+QuotedMonetaryTotal/PayableAmount")), ROUND_HALF_UP)


def _signed(node):
    return sum(
        (number(each, "Amount") * (1 if text(each, "ChargeIndicator") == "true" else -1) for each in every(node, "AllowanceCharge")),
        Decimal(0),
    )


def _lines(root):
    for item in every(root, "QuotationLine/LineItem"):
        amount = _rounded(number(item, "Quantity") * number(item, "+Price/PriceAmount") / (number(item, "+Price/BaseQuantity") or 1), root)
        if number(item, "LineExtensionAmount") != amount + _signed(item):
            yield f"line {text(item, 'ID')} is not quantity times price with its allowances and charges"
        for each in every(item, "AllowanceCharge"):
            percent = text(each, "MultiplierFactorNumeric")
            if percent and number(each, "Amount") != _rounded(number(each, "BaseAmount") * Decimal(percent) / 100, root):
                yield f"line {text(item, 'ID')}: an allowance is not its percentage"


def _rate(category):
    return text(category, "ID"), number(category, "Percent")


def _tax(root):
    taxable = defaultdict(Decimal)
    for item in every(root, "QuotationLine/LineItem"):
        for category in every(item, "Item/ClassifiedTaxCategory"):
            taxable[_rate(category)] += number(item, "LineExtensionAmount")
    for each in every(root, "AllowanceCharge"):
        taxable[_rate(each.find("cac:TaxCategory", NAMES))] += number(each, "Amount") * (
            1 if text(each, "ChargeIndicator") == "true" else -1
        )
    said = {_rate(each.find("cac:TaxCategory", NAMES)): each for each in every(root, "TaxTotal/TaxSubtotal")}
    if taxable.keys() != said.keys():
        yield "the taxes are not those of the lines and charges"
    for key in taxable.keys() & said.keys():
        if number(said[key], "TaxableAmount") != taxable[key]:
            yield f"tax {key} is taken of another amount"
        if number(said[key], "TaxAmount") != _rounded(taxable[key] * key[1] / 100, root):
            yield f"tax {key} is not its rate of what is taxed"
    if number(root, "+TaxTotal/TaxAmount") != sum(number(each, "TaxAmount") for each in said.values()):
        yield "the tax is not the sum of the taxes"


def _totals(root):
    total = {
        name: number(root, f"+QuotedMonetaryTotal/{name}Amount")
        for name in ("LineExtension", "AllowanceTotal", "ChargeTotal", "TaxExclusive", "TaxInclusive", "Payable")
    }
    if total["LineExtension"] != sum(number(each, "LineExtensionAmount") for each in every(root, "QuotationLine/LineItem")):
        yield "the lines do not come to their sum"
    if total["ChargeTotal"] - total["AllowanceTotal"] != _signed(root):
        yield "the allowances and charges do not come to their sums"
    if total["TaxExclusive"] != total["LineExtension"] - total["AllowanceTotal"] + total["ChargeTotal"]:
        yield "the total before tax does not add up"
    if total["TaxInclusive"] != total["TaxExclusive"] + number(root, "+TaxTotal/TaxAmount"):
        yield "the total with tax does not add up"
    if total["Payable"] != total["TaxInclusive"]:
        yield "what is payable is not the total"
