"""The heading of an assembly's drawing: what it is, whether it can be cut, and its lengths in large figures."""

from __future__ import annotations

from decimal import Decimal

from pricing.model import QuotedAssembly
from service.documents.rig import words
from service.documents.speech import Speech
from service.documents.svg.fittings.signs import sign
from service.documents.svg.lettering import fit, sentence, width
from service.documents.svg.paper import LEFT, Sheet

SMALL, BODY, FIGURE, TAG = 10.0, 11.0, 15.0, 20.0
LABELS = ("Cut length of the wire", "Finished, bearing to bearing", "Measured")


def heading(sheet: Sheet, assembly: QuotedAssembly, speech: Speech) -> None:
    """Draw the tag with its readiness, then role and wire, then the lengths."""
    _tag(sheet, assembly, speech)
    alike = f", {words.alike(assembly, speech)}" if words.alike(assembly, speech) else ""
    wire = speech.named(assembly.wire.name) if assembly.wire else speech.say("Wire not known")
    sheet.lines(sentence(f"{words.role(assembly, speech)}{alike}. {wire}."), BODY, most=8)
    if words.written(assembly, speech):
        sheet.lines(sentence(words.written(assembly, speech)), BODY, bold=True)
    _lengths(sheet, assembly, speech)
    said = closeness(assembly, speech)
    if said:
        sheet.lines(sentence(said), SMALL)


def _tag(sheet: Sheet, assembly: QuotedAssembly, speech: Speech) -> None:
    top = sheet.take(30)
    word = words.readiness(assembly, speech)
    room = width(word, BODY, bold=True) + 2
    right = sheet.paper.right
    sheet.text(right - room, top + 20, word, BODY, room, bold=True)
    sign(sheet, assembly.readiness, right - room - 15, top + 16, 18.0)
    space = right - room - 32 - LEFT
    tag = fit(assembly.tag, space, TAG, bold=True)
    sheet.text(LEFT, top + 23, assembly.tag, TAG, max(width(tag, TAG, bold=True) + 2, 20.0), bold=True)


def _lengths(sheet: Sheet, assembly: QuotedAssembly, speech: Speech) -> None:
    sheet.gap(4)
    top, each = sheet.take(58), sheet.paper.room / len(LABELS)
    lengths = (assembly.cut_length, assembly.target_length, assembly.measured_length)
    lacking = (withheld(assembly), missing(assembly), "not known")
    sheet.rect(LEFT, top + 2, sheet.paper.room, 52.0, fill="none", stroke="#000", stroke_width=0.8)
    for place, (label, length, why) in enumerate(zip(LABELS, lengths, lacking, strict=True)):
        x = LEFT + place * each
        if place:
            sheet.line(x, top + 2, x, top + 54, stroke_width=0.8)
        sheet.text(x + 6, top + 14, speech.say(label), SMALL, each - 12)
        if not length:
            sheet.text(x + 6, top + 33, speech.say(why), BODY, each - 12)
        else:
            sheet.figure(x + 6, top + 33, speech.local(length.text), FIGURE, each - 12)
            sheet.text(x + 6, top + 48, words.other_unit(length, speech), SMALL, each - 12)


def withheld(assembly: QuotedAssembly) -> str:
    """Why there is no cut length: papers have it only of what may be built."""
    return {"hold": "none: on hold", "confirm": "none yet: confirm first"}.get(assembly.readiness, "none: the quote has ended")


def missing(assembly: QuotedAssembly) -> str:
    """Why a finished length is missing."""
    if assembly.readiness == "hold":
        return "none: on hold"
    if assembly.turnbuckle and assembly.turnbuckle.build_setting is None:
        return "none: setting not known"
    return "none: finished aboard"


def closeness(assembly: QuotedAssembly, speech: Speech) -> str:
    """The uncertainty of the measured length and the tolerance it is to be built to."""
    tolerance = assembly.tolerance.mm
    said = speech.say("Build to ± %(tolerance)s.", tolerance=plain(tolerance, speech)) if assembly.readiness != "hold" else ""
    known = assembly.uncertainty
    return f"{speech.say('Length known to ± %(within)s.', within=plain(known.mm, speech))} {said}" if known else said


def plain(mm: Decimal, speech: Speech) -> str:
    """A small length: millimetres to 0.1, followed by inches if the quote's units are imperial."""
    inches = words.figure(mm, speech, "imperial")
    millimetres = words.figure(mm, speech, "metric")
    return millimetres if speech.units == "metric" or inches.startswith("0 ") else f"{millimetres} ({inches})"
