"""An assembly on hold: nothing can be built from it, so only the wire and what was measured are shown, with unknown ends."""

from __future__ import annotations

from pricing.model import QuotedAssembly
from service.documents.speech import Speech
from service.documents.svg.fittings import dimensions, labels
from service.documents.svg.fittings.labels import Label
from service.documents.svg.paper import Sheet

from .wire import length_of_wire

_AXIS, _LINE, _TALL = 150.0, 80.0, 190.0


def draw(sheet: Sheet, assembly: QuotedAssembly, speech: Speech) -> None:
    """Draw a broken wire between two open ends."""
    top = sheet.take(_TALL + 16) + 8
    bottom = top + _TALL
    length_of_wire(sheet, _AXIS, 6.0, (top + 36, bottom - 36), [(top + bottom) / 2])
    found = []
    for y, way, name in ((top, 1, "Upper end"), (bottom, -1, "Lower end")):
        sheet.rect(_AXIS - 13, min(y, y + 36 * way), 26.0, 36.0, fill="#fff", stroke="#000", stroke_dasharray="4 2.5", class_="unknown")
        sheet.text(_AXIS, y + 18 * way + 5, "?", 15.0, 20.0, "middle", bold=True)
        found.append(Label(y + 18 * way, _AXIS + 13, speech.say("not drawn"), speech.say(name)))
        sheet.line(_AXIS - 16, y, _LINE - 4, y, stroke_width=0.6)
    wire = assembly.wire
    found.append(Label(top + 62, _AXIS + 3, speech.named(wire.name) if wire else speech.say("Wire not known: the catalogue has none such")))
    measured = assembly.measured_length
    said = speech.say("measured %(length)s", length=speech.local(measured.text)) if measured else speech.say("not measured")
    dimensions.measured(sheet, _LINE, top, bottom, said)
    labels.draw(sheet, found, 220.0, sheet.paper.right - 220.0, (top - 8, bottom + 8))
