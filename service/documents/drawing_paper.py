"""A drawing (SVG) as a PDF: each of its pages at full size on one of the paper, with the drawing's own title and text alternative."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from typing import TypeAlias

from pricing.model import Quote
from service.documents import pdf
from service.documents.speech import Speech, speech_in
from service.documents.svg.paper import PAGES, STANDING
from service.documents.svg.windows import windows

TEMPLATE = "drawing.typ"
Draw: TypeAlias = Callable[[Quote, str], bytes]


def paper(draw: Draw, quote: Quote, language: str = "en") -> bytes:
    """What `draw` makes of a quote, on standing paper, as a PDF on the sheet that matches the quote's units, tagged by PDF/UA-1. Equal
    arguments give equal bytes. Raises ValueError for a drawing that does not say its size.
    """
    speech, text = speech_in(language, quote.display_units), draw(quote, language).decode()
    data = {
        "language": speech.language,
        "paper": "a4" if speech.units == "metric" else "us-letter",
        "title": _text_of(text, "title"),
        "author": quote.seller.name,
        "day": quote.issued_on,
        "width": STANDING.width_mm,
        "pages": _pages(text, _text_of(text, "desc"), speech),
    }
    return pdf.pdf(TEMPLATE, data, speech)


def _text_of(svg: str, element: str) -> str:
    """The drawing's title, or its description."""
    found = re.search(rf"<{element}\b[^>]*>(.*?)</{element}>", svg, re.DOTALL)
    return unescape(found[1]) if found else ""


def _pages(svg: str, alternative: str, speech: Speech) -> list[dict[str, str]]:
    """Each page of the drawing, the first with the whole alternative."""
    sections = windows(svg)
    numbered = [speech.say(PAGES) % {"page": page, "pages": len(sections)} for page in range(1, len(sections) + 1)]
    return [{"svg": each, "alternative": numbered[at] if at else alternative or numbered[at]} for at, each in enumerate(sections)]
