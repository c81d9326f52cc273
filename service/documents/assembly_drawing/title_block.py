"""The title block at the foot of the drawing's first sheet.

After ISO 7200 (from memory): legal owner, title, identification number, revision, date of issue, sheet and number of sheets, language,
document type (with what became of the quote), and a field for who checked it, signed on paper; 180 mm wide, in the lower right.
Boat, units and scale are not of ISO 7200; they stand in the same block. Who created it is not said: the figures are computed.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import UNSET

from pricing.model import Quote, QuotedAssembly
from service.documents.rig import words
from service.documents.speech import Speech
from service.documents.svg import title_block
from service.documents.svg.paper import Sheet
from service.documents.svg.title_block import Cell

_ABOVE = 8.0  # px between the drawing and the block
BROKEN = "not to scale (NTS): wire broken; fittings lengthwise as the bar"
WHOLE = "lengthwise as the bar; breadths not to scale (NTS)"
NONE = "not to scale (NTS)"


def rows(quote: Quote, assembly: QuotedAssembly, speech: Speech, scale: str) -> tuple[tuple[Cell, ...], ...]:
    """The fields, row by row; that of the sheets is empty until they are counted. `scale` says what is to it (NTS: not to scale)."""
    say = speech.say
    alike = f", {words.alike(assembly, speech)}" if words.alike(assembly, speech) else ""
    status = say(words.ENDINGS[quote.status]) if quote.status is not UNSET and quote.status in words.ENDINGS else ""
    return (
        (
            Cell(say("Legal owner"), quote.seller.name, 0.34),
            Cell(say("Title"), f"{words.role(assembly, speech)}{alike}", 0.38, True),
            Cell(say("Boat"), words.boat_of(quote, speech), 0.28),
        ),
        (
            Cell(say("Identification number"), identification(quote, assembly, speech), 0.34, True),
            Cell(say("Revision"), "–" if quote.revision is UNSET else str(quote.revision), 0.12),
            Cell(say("Date of issue"), quote.issued_on if speech.language == "en" else speech.day(quote.issued_on), 0.26),
            Cell(say("Sheet"), "", 0.14),
            Cell(say("Language"), speech.language, 0.14),
        ),
        (
            Cell(say("Units"), "mm" if speech.units == "metric" else say("ft, in (mm)"), 0.10),
            Cell(say("Scale"), say(scale), 0.40),
            Cell(say("Document"), f"{say('Assembly drawing')}{f', {status}' if status else ''}", 0.25),
            Cell(say("Checked by, date"), "", 0.25),
        ),
    )


def identification(quote: Quote, assembly: QuotedAssembly, speech: Speech) -> str:
    """What identifies the drawing: the quote's number, if it has one, and the assembly's tag."""
    return f"{speech.say('preview') if quote.number is UNSET else quote.number} / {assembly.tag}"


def height(cells: Sequence[Sequence[Cell]], room: float) -> float:
    """What the block takes, px, with the space above it."""
    return _ABOVE + title_block.height(cells, room)


def draw(sheet: Sheet, cells: Sequence[Sequence[Cell]], speech: Speech, *, whole: bool) -> None:
    """Draw the block where it was kept free, at the foot of a `whole` page or right below the drawing; that must be complete, since its
    sheets are counted.
    """
    top, label = sheet.foot_of_first(whole) + _ABOVE, speech.say("Sheet")
    counted = [[each._replace(value=f"1/{sheet.pages}") if each.label == label else each for each in row] for row in cells]
    title_block.draw(sheet, counted, top)
