"""The turnbuckle's travel as a bar: what is already taken up and so can be let out, what is left to take up, and how much of that is
needed.
"""

from __future__ import annotations

from typing import NamedTuple

from pricing.model import Exposed, Length, QuotedAssembly, QuotedTurnbuckle
from service.documents.rig import turns
from service.documents.speech import Speech
from service.documents.svg.lettering import sentence, width
from service.documents.svg.paper import LEFT, Sheet

SIZE = 10.0
_BAR = 16.0
UNKNOWN = "Turnbuckle: its setting is not known. The wire is cut to its stud; how far it can be taken up or let out is not known."
_HOW = {"as_recorded": "Built at the recorded setting.", "centred": "Built in the middle of the travel."}
HATCH = (
    '<pattern id="{name}-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fff"/><rect width="1.2" height="6"/></pattern>'
)


class Travel(NamedTuple):
    """What can be let out, what can be taken up, and how much of that is needed."""

    let_out: Length
    take_up: Length
    needed: Length


def travel_of(screw: QuotedTurnbuckle) -> Travel | None:
    """The travel at the build setting; None where the setting is not known."""
    if screw.build_setting is None or screw.let_out is None or screw.take_up is None or screw.travel_needed is None:
        return None
    return Travel(screw.let_out, screw.take_up, screw.travel_needed)


def travel(sheet: Sheet, assembly: QuotedAssembly, speech: Speech) -> list[str]:
    """Draw the bar, or say why there is none. Returns the text."""
    screw = assembly.turnbuckle
    if screw is None:
        return []
    known = travel_of(screw)
    if known is None:
        unknown = speech.say(UNKNOWN)
        sheet.lines(sentence(unknown), SIZE)
        return [unknown]
    said = sentences(screw, known, speech)
    sheet.gap(6)
    sheet.take_block(96.0)
    sheet.text(
        LEFT, sheet.take(15) + 11, speech.say("Travel of the turnbuckle, built at the setting drawn"), SIZE + 1, sheet.paper.room, bold=True
    )
    _bar(sheet, known, speech)
    for line in said[3:]:
        sheet.lines(sentence(line), SIZE)
    return said


def sentences(screw: QuotedTurnbuckle, known: Travel, speech: Speech) -> list[str]:
    """The travel as text: let out, take up, needed, then further remarks."""
    said = [
        speech.say("Taken up from fully open, so left to let out: %(length)s.", length=speech.local(known.let_out.text)),
        speech.say("Left to take up: %(length)s.", length=speech.local(known.take_up.text)),
        speech.say("Needed for bedding-in and the reading's uncertainty: %(length)s.", length=speech.local(known.needed.text)),
    ]
    remarks = [speech.say(_HOW[screw.built])] if screw.built in _HOW else []
    if screw.recorded:
        remarks.append(speech.say("Recorded: upper %(upper)s, lower %(lower)s.", **_exposed(screw.recorded, speech)))
    if screw.turns_from_recorded:
        remarks.append(turns.from_recorded(screw.turns_from_recorded, speech))
    said.append(" ".join(remarks))
    if screw.proposal:
        cut, at = speech.local(screw.proposal.cut_length.text), _exposed(screw.proposal.build_setting, speech)
        said.append(speech.say("Proposal: centred at upper %(upper)s, lower %(lower)s, cut %(cut)s.", cut=cut, **at))
    return [line for line in said if line]


def _exposed(setting: Exposed, speech: Speech) -> dict[str, str]:
    return {"upper": speech.local(setting.upper_exposed.text), "lower": speech.local(setting.lower_exposed.text)}


def _bar(sheet: Sheet, known: Travel, speech: Speech) -> None:
    """Draw the bar from fully open on the left to fully taken up on the right, to scale."""
    out, up, needed = (max(0.0, float(each.mm)) for each in known)
    room, top = sheet.paper.room, sheet.take(66)
    scale = (room - 2) / max(out + up, out + needed, 0.1)
    bar, at = top + 17, LEFT + 1 + out * scale
    sheet.rect(LEFT + 1, bar, out * scale, _BAR, fill=f"url(#{sheet.name}-hatch)", stroke="#000", class_="let-out")
    sheet.rect(at, bar, up * scale, _BAR, fill="#fff", stroke="#000", class_="take-up")
    sheet.line(at, bar - 3, at, bar + _BAR + 3, stroke_width=2.4)
    _needed(sheet, known, speech, at, bar + _BAR + 8, needed * scale)
    texts = [
        speech.say("taken up, can be let out: %(length)s", length=speech.local(known.let_out.text)),
        speech.say("left to take up: %(length)s", length=speech.local(known.take_up.text)),
    ]
    sheet.text(LEFT, top + 11, texts[0], SIZE, width(texts[0], SIZE) + 2)
    sheet.text(sheet.paper.right, top + 11, texts[1], SIZE, width(texts[1], SIZE) + 2, "end")


def _needed(sheet: Sheet, known: Travel, speech: Speech, at: float, y: float, long: float) -> None:
    """Draw the bracket for the needed part of the take-up, with its figure if there is room."""
    sheet.line(at, y, at + long, y, stroke_width=1.6, class_="needed")
    for x in (at, at + long):
        sheet.line(x, y - 3, x, y + 3, stroke_width=1.2)
    enough = known.take_up.mm >= known.needed.mm
    said = speech.say("needed: %(length)s" if enough else "needed: %(length)s, more than is left", length=speech.local(known.needed.text))
    room = width(said, SIZE) + 2
    x = max(LEFT, min(at, sheet.paper.right - room))
    sheet.text(x, y + 15, said, SIZE, room)
    for edge, words, anchor in ((LEFT, speech.say("fully open"), "start"), (sheet.paper.right, speech.say("fully taken up"), "end")):
        wide = width(words, SIZE) + 2
        clear = x > LEFT + wide + 8 if anchor == "start" else x + room < sheet.paper.right - wide - 8
        if clear:
            sheet.text(edge, y + 15, words, SIZE, wide, anchor)
