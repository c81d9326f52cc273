"""The quotation on paper (PDF), on the sheet that matches its units. Equal arguments give equal bytes."""

from __future__ import annotations

import io

import msgspec

from pricing.model import Quote
from service.documents import pdf
from service.documents.quotation import content
from service.documents.speech import speech_in
from service.documents.ubl import quotation as ubl

TEMPLATE = "quotation/paper.typ"


def paper(
    quote: Quote,
    language: str = "en",
    country: str | None = None,
    base: str | None = None,
    online: str | None = None,
    archived: bool = False,
) -> bytes:
    """The quotation of a stored quote as a PDF, tagged by PDF/UA-1. Raises ValueError for a preview.

    `language`, `country`: as of `content`. `base`: the service's own URL, with which the address of the data begins; without it that
    is no link. `online`: the address at which the customer can read it and answer, also shown as a code for a camera. `archived`: by
    PDF/A-3 as well, with the UBL quotation attached.
    """
    speech = speech_in(language, quote.display_units)
    quotation = content.content(quote, language, country)
    data = {
        **msgspec.to_builtins(quotation),
        **content.explained(quotation, speech),
        "link": f"{base}{quotation.address}" if base else None,
        "online": online,
        "code": code_of(online) if online else None,
    }
    return pdf.pdf(TEMPLATE, data, speech, ubl.quotation(quote) if archived else None)


def code_of(address: str) -> str:
    """An address as a QR code (ISO/IEC 18004) of error correction level M, as SVG."""
    import segno

    drawn = io.BytesIO()
    segno.make(address, error="m", micro=False).save(drawn, kind="svg", xmldecl=False, border=4)
    return drawn.getvalue().decode()
