"""The lines of a UBL Quotation: article, quantity, price, allowances and charges, tax, and the lengths that are cut from it."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from pricing.model import Quote, QuotedAssembly, QuotedLine
from service.documents.quoted import cut_from
from service.documents.ubl.elements import adjustment, english, group, leaf, tax_category

UNITS = {"m": "MTR", "each": "EA", "hour": "HUR"}  # UN/ECE Recommendation 20: metre, each, hour
MILLIMETRE = "MMT"


def quotation_lines(quote: Quote) -> list[Element | None]:
    """One line per priced line. If nothing is priced, a line without quantity and price per assembly, since UBL requires at least one."""
    if quote.lines:
        return [_priced(quote, line) for line in quote.lines]
    return [_unpriced(place, each) for place, each in enumerate(quote.assemblies, 1)]


def _priced(quote: Quote, line: QuotedLine) -> Element | None:
    currency, unit = quote.currency, UNITS[line.unit]
    return _line(
        line.id,
        english("Note", line.note),
        leaf("Quantity", line.quantity, unitCode=unit),
        leaf("LineExtensionAmount", line.net, currencyID=currency),
        *(adjustment(each, currency, charge=False, base=line.amount) for each in line.allowances),
        *(adjustment(each, currency, charge=True, base=line.amount) for each in line.charges),
        group("Price", leaf("PriceAmount", line.unit_price, currencyID=currency), leaf("BaseQuantity", "1", unitCode=unit)),
        group(
            "Item",
            english("Name", line.name),
            group("SellersItemIdentification", leaf("ID", line.sku)),
            tax_category("ClassifiedTaxCategory", line.tax),
            *(_cut_length(each) for each in cut_from(quote, line)),
        ),
    )


def _cut_length(assembly: QuotedAssembly) -> Element | None:
    """The length to cut for one assembly: text in the quote's display units, and mm."""
    cut = assembly.cut_length
    if cut is None:
        return None
    pieces = "1 piece" if assembly.quantity == 1 else f"{assembly.quantity} pieces"
    asked = "; confirm before cutting" if assembly.readiness == "confirm" else ""
    return group(
        "AdditionalItemProperty",
        english("Name", f"Cut length of {assembly.tag}"),
        leaf("Value", cut.text),
        leaf("ValueQuantity", cut.mm, unitCode=MILLIMETRE),
        english("ValueQualifier", pieces + asked),
    )


def _unpriced(place: int, assembly: QuotedAssembly) -> Element | None:
    why = " ".join(each.message for each in assembly.findings if each.severity == "stop")
    return _line(str(place), english("Note", f"On hold and not priced. {why}"), group("Item", english("Name", f"Assembly {assembly.tag}")))


def _line(identifier: str, *parts: Element | None) -> Element | None:
    return group("QuotationLine", leaf("ID", identifier), group("LineItem", leaf("ID", identifier), *parts))
