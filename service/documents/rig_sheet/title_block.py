"""The title block of the drawing, its fields those of ISO 7200:2004 (from memory): legal owner, title, kind of document, identification number,
revision, date of issue; besides, the units, and that it is no drawing to scale. Who checked it, signs it.
"""

from __future__ import annotations

from msgspec import UNSET

from pricing.model import Quote
from service.documents.speech import Speech
from service.documents.svg.title_block import Cell

SCHEMATIC = "schematic, not to scale"


def rows(quote: Quote, title: str, speech: Speech) -> tuple[tuple[Cell, ...], ...]:
    """The fields of the block, row by row."""
    say = speech.say
    return (
        (
            Cell(say("Legal owner"), quote.seller.name, 0.34),
            Cell(say("Title"), title, 0.42, bold=True),
            Cell(say("Document"), say("Rig sheet"), 0.24),
        ),
        (
            Cell(say("Identification number"), say("preview") if quote.number is UNSET else quote.number, 0.19, bold=True),
            Cell(say("Revision"), "–" if quote.revision is UNSET else str(quote.revision), 0.08),
            Cell(say("Date of issue"), quote.issued_on if speech.language == "en" else speech.day(quote.issued_on), 0.18),
            Cell(say("Units"), "mm" if speech.units == "metric" else say("ft, in (mm)"), 0.137),
            Cell(say("Scale"), say(SCHEMATIC), 0.255),
            Cell(say("Checked by, date"), "", 0.158),
        ),
    )
