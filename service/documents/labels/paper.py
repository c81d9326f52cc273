"""Labels as a PDF: a sheet of A4 or Letter to be cut apart, or one label a page for a roll."""

from __future__ import annotations

import msgspec

from pricing.model import Quote
from service.documents import pdf
from service.documents.labels.content import labels
from service.documents.quotation.paper import code_of
from service.documents.speech import speech_in

TEMPLATE = "labels/paper.typ"
ON = ("sheet", "roll")


def paper(quote: Quote, language: str = "en", on: str = "sheet", base: str | None = None, tag: str | None = None) -> bytes:
    """The labels of a stored quote, tagged by PDF/UA-1; `on`: one of `ON`, the others as of `labels`. Raises ValueError for a preview."""
    speech = speech_in(language, quote.display_units)
    pieces = list(labels(quote, speech, base, tag))
    codes = list(dict.fromkeys(each.code for each in pieces))
    data = {
        "language": speech.language,
        "paper": "a4" if quote.display_units == "metric" else "us-letter",
        "on": on,
        "number": quote.number,
        "seller": quote.seller.name,
        "issued_on": quote.issued_on,
        "codes": [code_of(each) for each in codes],
        "labels": [{**msgspec.to_builtins(each), "code": codes.index(each.code)} for each in pieces],
    }
    return pdf.pdf(TEMPLATE, data, speech)
