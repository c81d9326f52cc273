"""The notes of a UBL Quotation: one in English with all that the shop says, one with what the customer wrote, whose language is not known.

UBL 2.1, additional document constraints IND7 and IND8: no two texts of one name beside each other have one language, or none. A text of
unknown language has no tag (BCP 47, 4.1).
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from service.documents.quoted import Document, all_findings
from service.documents.ubl.elements import english, leaf


def notes(document: Document) -> tuple[Element | None, Element | None]:
    """The shop's note, then the customer's."""
    return english("Note", "\n".join(_said(document))), leaf("Note", document["note"])


def _said(document: Document) -> Iterator[str]:
    boat = document["boat"]
    length = "" if boat["length_overall"] is None else f", {boat['length_overall']['mm']} mm overall"
    yield f"Revision {document['revision']}, {document['status']}."
    if "erased_on" in document:
        yield f"Names and notes were erased on {document['erased_on']}."
    yield f"Boat: {boat['name'] or 'without a name'}{length}. Price list: {document['price_list']}."
    yield f"Lead time: {document['lead_time_days']} business days."
    if document["left_out"]:
        yield f"On hold and not in the total: {', '.join(document['left_out'])}."
    for tag, each in all_findings(document):
        if each["severity"] != "note":
            yield f"{f'{tag}: ' if tag else ''}{each['message']} {each['remedy']}"
    yield from document["cautions"]
