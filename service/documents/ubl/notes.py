"""The notes of a UBL Quotation: one in English with the shop's text, and one with the customer's, whose language is not known.

UBL 2.1, additional document constraints IND7 and IND8: no two sibling texts with the same name have the same language, or none. A
text of unknown language has no language tag (BCP 47, 4.1).
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from msgspec import UNSET

from pricing.cautions import caution_in
from pricing.model import Quote
from service.documents.quoted import all_findings, head
from service.documents.ubl.elements import english, leaf


def notes(quote: Quote) -> tuple[Element | None, Element | None]:
    """The shop's note, then the customer's."""
    return english("Note", "\n".join(_said(quote))), leaf("Note", quote.note)


def _said(quote: Quote) -> Iterator[str]:
    boat, issue = quote.boat, head(quote)
    length = "" if boat.length_overall is None else f", {boat.length_overall.mm} mm overall"
    yield f"Revision {issue.revision}, {issue.status}."
    if quote.erased_on is not UNSET:
        yield f"Names and notes were erased on {quote.erased_on}."
    yield f"Boat: {boat.name or 'without a name'}{length}. Price list: {quote.price_list}."
    yield f"Lead time: {quote.lead_time_days} business days."
    if quote.left_out:
        yield f"On hold and not in the total: {', '.join(quote.left_out)}."
    for tag, each in all_findings(quote):
        if each.severity != "note":
            yield f"{f'{tag}: ' if tag else ''}{each.message} {each.remedy}"
    for caution in quote.cautions:
        yield caution_in(caution, "en") or caution
