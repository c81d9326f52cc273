"""Below the drawing: its legend, what keeps the assembly on hold, questions, information, and the cautions found on every document."""

from __future__ import annotations

from pricing.model import Quote, QuotedAssembly
from service.documents.rig import words
from service.documents.speech import Speech
from service.documents.svg.fittings.labels import standing_sign
from service.documents.svg.fittings.pen import BEARING, DASHES, FINE
from service.documents.svg.lettering import sentence, width, wrap
from service.documents.svg.paper import LEFT, Sheet, number

SIZE, HEAD, _FINE = 10.0, 11.0, 9.0
_HEADS = (("stop", "Why it is on hold"), ("ask", "To confirm before cutting"), ("note", "To know"))


def bearing_sign(sheet: Sheet, x: float, y: float) -> None:
    """A triangle at the outermost bearing, pointing along a line, its tip at (x, y)."""
    sheet.shape("path", d=f"M{number(x)} {number(y)}l-11 -5.5v11Z", class_="outermost")


def legend(sheet: Sheet, speech: Speech) -> None:
    """Explain signs and lines, on as many rows as they need; holes are turned to be seen."""
    top, x = sheet.take(15), LEFT + 2
    for sample, said in (
        ("outermost", "outermost bearing"),
        ("bearing", "bearing surface"),
        ("new", "new"),
        ("kept", "kept"),
        ("hidden", "hidden"),
        ("break", "drawn shortened"),
    ):
        meaning = speech.say(said)
        room = width(meaning, 9.0) + 2
        if x + 22 + room > sheet.paper.right:
            top, x = sheet.take(15), LEFT + 2
        if sample == "outermost":
            sheet.line(x, top + 7, x + 18, top + 7, stroke_width=FINE)
            bearing_sign(sheet, x + 18, top + 7)
        elif sample == "bearing":
            sheet.line(x, top + 7, x + 18, top + 7, stroke_width=BEARING)
        elif sample in ("new", "kept"):
            sheet.line(x + 4, top + 7, x + 18, top + 7, stroke_width=FINE)
            standing_sign(sheet, x + 4, top + 7, sample == "kept")
        elif sample == "hidden":
            sheet.line(x, top + 7, x + 20, top + 7, stroke_width=FINE, stroke_dasharray=DASHES)
        else:
            for up in (0, 5):
                sheet.shape("path", d=f"M{x:.0f} {top + 7.5 - up:.2f}c5 -6 13 6 18 0", fill="none", stroke="#000", stroke_width=FINE)
        sheet.text(x + 22, top + 10, meaning, 9.0, room)
        x += 22 + room + 8


def remarks(sheet: Sheet, quote: Quote, assembly: QuotedAssembly, speech: Speech) -> None:
    """Write the findings, grouped by what they ask for, then the cautions."""
    for severity, head in _HEADS:
        found = words.for_the_shop(assembly, speech, severity)
        items = [["•", *sentence(f"{each.message} {each.remedy}")] for each in found]
        if items:
            sheet.gap(7)
            sheet.take_block(1.4 * HEAD + 1.4 * SIZE * len(wrap(items[0], sheet.paper.room, SIZE)))
            sheet.lines([speech.say(head)], HEAD, bold=True)
        for item in items:
            sheet.take_together(item, SIZE, 0.0)
    cautions = sentence(" ".join(speech.cautions(quote.cautions)))
    sheet.gap(8)
    sheet.take_block(1.4 * HEAD + 1.4 * _FINE * len(wrap(cautions, sheet.paper.room, _FINE)))
    sheet.lines([speech.say("Cautions")], HEAD, bold=True)
    sheet.lines(cautions, _FINE)
