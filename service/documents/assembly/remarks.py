"""Under the drawing: its signs, what holds it up, what is asked, what is told, and the cautions that every document bears."""

from __future__ import annotations

from service.documents.drafting.lettering import sentence, width, wrap
from service.documents.drafting.sheet import LEFT, Sheet, number
from service.documents.rig import words
from service.documents.rig.terms import Document
from service.documents.sketch.pen import BEARING

SIZE, HEAD, _FINE = 10.0, 11.0, 9.0
_HEADS = (("stop", "Why it is on hold"), ("ask", "To confirm before cutting"), ("note", "To know"))


def bearing_sign(sheet: Sheet, x: float, y: float) -> None:
    """A triangle that points along a line at the outermost bearing, its tip at (x, y)."""
    sheet.shape("path", d=f"M{number(x)} {number(y)}l-9 -4.5v9Z", class_="outermost")


def legend(sheet: Sheet) -> None:
    """What the thick line and the dashes mean."""
    top, x = sheet.take(15), LEFT + 2
    for sample, said in (
        ("outermost", "outermost bearing"),
        ("bearing", "bearing surface"),
        ("hidden", "hidden"),
        ("break", "drawn shortened"),
    ):
        if sample == "outermost":
            sheet.line(x, top + 7, x + 18, top + 7, stroke_width=0.6)
            bearing_sign(sheet, x + 18, top + 7)
        elif sample == "bearing":
            sheet.line(x, top + 7, x + 18, top + 7, stroke_width=BEARING)
        elif sample == "hidden":
            sheet.line(x, top + 7, x + 18, top + 7, stroke_dasharray="4 2.5")
        else:
            for up in (0, 5):
                sheet.shape("path", d=f"M{x:.0f} {top + 7.5 - up:.2f}c5 -6 13 6 18 0", fill="none", stroke="#000", stroke_width=0.9)
        room = width(said, 9.0) + 2
        sheet.text(x + 23, top + 10, said, 9.0, room)
        x += 23 + room + 18


def remarks(sheet: Sheet, document: Document, assembly: Document) -> None:
    """Findings by what they ask for, then cautions."""
    for severity, head in _HEADS:
        found = words.findings(assembly, severity)
        items = [["•", *sentence(f"{each['message']} {each['remedy']}")] for each in found]
        if items:
            sheet.gap(7)
            sheet.take_block(1.4 * HEAD + 1.4 * SIZE * len(wrap(items[0], sheet.paper.room, SIZE)))
            sheet.lines([head], HEAD, bold=True)
        for item in items:
            sheet.take_together(item, SIZE, 0.0)
    cautions = sentence(" ".join(document["cautions"]))
    sheet.gap(8)
    sheet.take_block(1.4 * HEAD + 1.4 * _FINE * len(wrap(cautions, sheet.paper.room, _FINE)))
    sheet.lines(["Cautions"], HEAD, bold=True)
    sheet.lines(cautions, _FINE)
