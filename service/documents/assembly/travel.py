"""The turnbuckle's travel as a bar: what is taken up already and so can be let out, what is left to take up, and what is needed of that."""

from __future__ import annotations

from service.documents.drafting.lettering import sentence, width
from service.documents.drafting.sheet import LEFT, Sheet
from service.documents.rig.terms import Document, mm_of

SIZE = 10.0
_BAR = 16.0
HATCH = (
    '<pattern id="{name}-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fff"/><rect width="1.2" height="6"/></pattern>'
)


def travel(sheet: Sheet, assembly: Document) -> list[str]:
    """Draw the bar, or say why there is none. Returns what it says."""
    screw = assembly["turnbuckle"]
    if screw is None:
        return []
    if screw["build_setting"] is None:
        unknown = "Turnbuckle: its setting is not known. The wire is cut to its stud; how far it can be taken up or let out is not known."
        sheet.lines(sentence(unknown), SIZE)
        return [unknown]
    said = sentences(screw)
    sheet.gap(6)
    sheet.take_block(96.0)
    sheet.text(LEFT, sheet.take(15) + 11, "Travel of the turnbuckle, built at the setting drawn", SIZE + 1, sheet.paper.room, bold=True)
    _bar(sheet, screw)
    for line in said[3:]:
        sheet.lines(sentence(line), SIZE)
    return said


def sentences(screw: Document) -> list[str]:
    """Travel in words: let out, take up, needed, then what else is told."""
    said = [
        f"Taken up from fully open, so left to let out: {screw['let_out']['text']}.",
        f"Left to take up: {screw['take_up']['text']}.",
        f"Needed for bedding-in and the reading's uncertainty: {screw['travel_needed']['text']}.",
    ]
    how = {"as_recorded": "Built at the recorded setting.", "centred": "Built in the middle of the travel."}.get(screw["built"], "")
    recorded = screw["recorded"]
    old = f" Recorded: upper {_text(recorded, 'upper')}, lower {_text(recorded, 'lower')}." if recorded else ""
    turns = screw["turns_from_recorded"]
    moved = "" if turns is None or not float(turns) else f" {turns} turns of the body from the recorded setting (+ opens)."
    said.append(f"{how}{old}{moved}".strip())
    proposal = screw["proposal"]
    if proposal:
        setting = proposal["build_setting"]
        said.append(
            f"Proposal: centred at upper {_text(setting, 'upper')}, lower {_text(setting, 'lower')}, cut {proposal['cut_length']['text']}."
        )
    return [line for line in said if line]


def _text(setting: Document, side: str) -> str:
    return str(setting[f"{side}_exposed"]["text"])


def _bar(sheet: Sheet, screw: Document) -> None:
    """From fully open on the left to fully taken up on the right, true to scale."""
    out, up, needed = (max(0.0, mm_of(screw[name]) or 0.0) for name in ("let_out", "take_up", "travel_needed"))
    room, top = sheet.paper.room, sheet.take(66)
    scale = (room - 2) / max(out + up, out + needed, 0.1)
    bar, at = top + 17, LEFT + 1 + out * scale
    sheet.rect(LEFT + 1, bar, out * scale, _BAR, fill=f"url(#{sheet.name}-hatch)", stroke="#000", class_="let-out")
    sheet.rect(at, bar, up * scale, _BAR, fill="#fff", stroke="#000", class_="take-up")
    sheet.line(at, bar - 3, at, bar + _BAR + 3, stroke_width=2.4)
    _needed(sheet, screw, at, bar + _BAR + 8, needed * scale)
    texts = [f"taken up, can be let out: {screw['let_out']['text']}", f"left to take up: {screw['take_up']['text']}"]
    sheet.text(LEFT, top + 11, texts[0], SIZE, width(texts[0], SIZE) + 2)
    sheet.text(sheet.paper.right, top + 11, texts[1], SIZE, width(texts[1], SIZE) + 2, "end")


def _needed(sheet: Sheet, screw: Document, at: float, y: float, long: float) -> None:
    """The bracket of what is needed of the take-up, with its figure where there is room."""
    sheet.line(at, y, at + long, y, stroke_width=1.6, class_="needed")
    for x in (at, at + long):
        sheet.line(x, y - 3, x, y + 3, stroke_width=1.2)
    enough = (mm_of(screw["take_up"]) or 0.0) >= (mm_of(screw["travel_needed"]) or 0.0)
    said = f"needed: {screw['travel_needed']['text']}{'' if enough else ', more than is left'}"
    room = width(said, SIZE) + 2
    x = max(LEFT, min(at, sheet.paper.right - room))
    sheet.text(x, y + 15, said, SIZE, room)
    for edge, words, anchor in ((LEFT, "fully open", "start"), (sheet.paper.right, "fully taken up", "end")):
        wide = width(words, SIZE) + 2
        clear = x > LEFT + wide + 8 if anchor == "start" else x + room < sheet.paper.right - wide - 8
        if clear:
            sheet.text(edge, y + 15, words, SIZE, wide, anchor)
