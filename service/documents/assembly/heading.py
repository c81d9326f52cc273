"""The head of an assembly's drawing: what it is, whether it can be cut, and its lengths in large figures."""

from __future__ import annotations

from service.documents.drafting.lettering import Name, fit, sentence, width
from service.documents.drafting.sheet import LEFT, Sheet
from service.documents.rig import words
from service.documents.rig.terms import Document
from service.documents.sketch.signs import sign

SMALL, BODY, FIGURE, TAG = 10.0, 11.0, 15.0, 20.0
LENGTHS = (
    ("Cut length of the wire", "cut_length"),
    ("Finished, bearing to bearing", "target_length"),
    ("Measured", "measured_length"),
)


def heading(sheet: Sheet, document: Document, assembly: Document) -> None:
    """Tag with readiness, role, wire, boat and quote, then the lengths."""
    _tag(sheet, assembly)
    alike = f", {words.alike(assembly)}" if words.alike(assembly) else ""
    wire = assembly["wire"]["name"] if assembly["wire"] else "Wire not known"
    sheet.lines(sentence(f"{words.role(assembly)}{alike}. {wire}."), BODY, most=2)
    boat, rest = words.identity(document).split("; ")[0], words.identity(document).split("; ")[-1]
    sheet.lines([Name(boat, after=";"), *sentence(rest)], SMALL, most=2)
    _lengths(sheet, document, assembly)
    said = closeness(document, assembly)
    if said:
        sheet.lines(sentence(said), SMALL)


def _tag(sheet: Sheet, assembly: Document) -> None:
    top = sheet.take(30)
    word = words.readiness(assembly)
    room = width(word, BODY, bold=True) + 2
    right = sheet.paper.right
    sheet.text(right - room, top + 20, word, BODY, room, bold=True)
    sign(sheet, assembly["readiness"], right - room - 15, top + 16, 18.0)
    space = right - room - 32 - LEFT
    tag = fit(assembly["tag"], space, TAG, bold=True)
    sheet.text(LEFT, top + 23, assembly["tag"], TAG, max(width(tag, TAG, bold=True) + 2, 20.0), bold=True)


def _lengths(sheet: Sheet, document: Document, assembly: Document) -> None:
    sheet.gap(4)
    top, each = sheet.take(58), sheet.paper.room / len(LENGTHS)
    sheet.rect(LEFT, top + 2, sheet.paper.room, 52.0, fill="none", stroke="#000", stroke_width=0.8)
    for place, (label, field) in enumerate(LENGTHS):
        x, length = LEFT + place * each, assembly[field]
        if place:
            sheet.line(x, top + 2, x, top + 54, stroke_width=0.8)
        sheet.text(x + 6, top + 14, label, SMALL, each - 12)
        if not length:
            sheet.text(x + 6, top + 33, missing(assembly, field), BODY, each - 12)
        else:
            sheet.figure(x + 6, top + 33, length["text"], FIGURE, each - 12)
            sheet.text(x + 6, top + 48, words.other_unit(length, document["display_units"]), SMALL, each - 12)


def missing(assembly: Document, field: str) -> str:
    """Why a length is not there."""
    if field == "measured_length":
        return "not known"
    if assembly["readiness"] == "hold":
        return "none: on hold"
    if assembly["turnbuckle"] and assembly["turnbuckle"]["build_setting"] is None:
        return "none: setting not known"
    return "none: finished aboard"


def closeness(document: Document, assembly: Document) -> str:
    """How well the length is known and how closely it is to be built."""
    units = document["display_units"]
    tolerance = f"Build to ± {plain(assembly['tolerance']['mm'], units)}." if assembly["readiness"] != "hold" else ""
    known = assembly["uncertainty"]
    return f"Length known to ± {plain(known['mm'], units)}. {tolerance}" if known else tolerance


def plain(mm: str, units: str) -> str:
    """A small length: millimetres to 0.1, with inches where the document leads with them."""
    inches = words.figure(mm, "imperial")
    return words.figure(mm, "metric") if units == "metric" or inches == "0 in" else f"{words.figure(mm, 'metric')} ({inches})"
