"""One assembly as a row: symbol and word for its readiness, tag, side and wire, lengths, and its length as a bar to the sheet's scale."""

from __future__ import annotations

from pricing.model import QuotedAssembly, QuotedWire
from pricing.values import material
from service.documents.rig import words
from service.documents.speech import Speech
from service.documents.svg.fittings.signs import sign
from service.documents.svg.lettering import sentence, width
from service.documents.svg.paper import LEFT, Sheet, number

from .groups import lengths, shown_length

SIZE, TAG = 10.0, 12.0
_SIZES = (SIZE, 9.0, 8.0)  # of the wire beside its tag, smaller where it would be shortened
HEIGHT = 56.0
INDENT = 12.0  # px, position of a pair's bracket
_TAG_ROOM = 170.0
_BAR = 6.0
COLUMNS = ("finished", "cut", "measured")


def row(sheet: Sheet, assembly: QuotedAssembly, scale: float, speech: Speech) -> float:
    """Draw the row; returns the height of the middle of its bar."""
    sheet.gap(5)
    held = next(iter(words.for_the_shop(assembly, speech, "stop")), None)
    sheet.take_block(HEIGHT + (15.0 if held else 0.0))
    top, left, right = sheet.take(HEIGHT), LEFT + INDENT, sheet.paper.right
    word, room = words.readiness(assembly, speech), _room_for_readiness(speech)
    sheet.text(right - room + 18, top + 13, word, SIZE, room - 18, bold=True)
    sign(sheet, assembly.readiness, right - room + 8, top + 9.5, 13.0)
    sheet.text(left, top + 13, assembly.tag, TAG, _TAG_ROOM, bold=True)
    start = left + _TAG_ROOM + 6
    text, space = _description(assembly, speech), right - room - 8 - start
    sheet.text(start, top + 13, text, next((size for size in _SIZES if width(text, size) <= space), SIZE), space)
    _lengths(sheet, assembly, speech, left, top + 29)
    bar = top + 42
    _bar(sheet, assembly, left, bar, scale)
    if held:
        sheet.lines(sentence(held.message), SIZE, most=1, indent=INDENT)
    if words.written(assembly, speech):
        sheet.lines(sentence(words.written(assembly, speech)), SIZE, bold=True, indent=INDENT)
    return bar


def _room_for_readiness(speech: Speech) -> float:
    """Px, for the widest readiness with its symbol."""
    return 2 + max(width(speech.say(word), SIZE, bold=True) for word, _ in words.READINESS.values()) + 18


def _description(assembly: QuotedAssembly, speech: Speech) -> str:
    """Side, wire and quantity, in words."""
    wire = assembly.wire
    if wire:
        made_of = speech.shop.value(material(wire.material))
        named = f"{_construction(wire, speech)}, {made_of}, {speech.local(wire.size)}"
    else:
        named = speech.say("wire not known")
    side = speech.phrase(f"side.{assembly.side}") if assembly.side else ""
    return " · ".join(part for part in (side, named, words.alike(assembly, speech)) if part)


def _construction(wire: QuotedWire, speech: Speech) -> str:
    """How the wire is laid; one that a shop added to its tables has no name but its own."""
    try:
        return speech.phrase(f"construction.{wire.construction}")
    except KeyError:
        return wire.construction


def _lengths(sheet: Sheet, assembly: QuotedAssembly, speech: Speech, left: float, baseline: float) -> None:
    known, each = lengths(assembly, speech), (sheet.paper.right - left) / 3
    for name, text in known:
        x, label = left + COLUMNS.index(name) * each, f"{speech.say(name)} "
        sheet.text(x, baseline, label, SIZE, width(label, SIZE) + 1)
        start = x + width(label, SIZE) + 3
        sheet.figure(start, baseline, text, SIZE, x + each - start - 6)
    if not known:
        sheet.text(left, baseline, speech.say("no length is known"), SIZE, each)


def _bar(sheet: Sheet, assembly: QuotedAssembly, left: float, y: float, scale: float) -> None:
    """Draw the wire between two ticks; dashed if nothing can be cut; open-ended if it has no finished length."""
    found = shown_length(assembly)
    if found is None:
        return
    name, length = found
    end = left + float(length.mm) * scale
    held = assembly.readiness == "hold"
    values: dict[str, object] = {"stroke_dasharray": "5 3"} if held else {}
    sheet.rect(left, y - _BAR / 2, end - left, _BAR, fill="#fff", stroke="#000", stroke_width=0.9, class_=f"bar {name}", **values)
    x = left + 6.0
    while not held and x + _BAR < end:
        sheet.line(x, y + _BAR / 2, x + _BAR * 0.7, y - _BAR / 2, stroke_width=0.5)
        x += 9.0
    for edge in (left, end) if name == "finished" else (left,):
        sheet.line(edge, y - 6, edge, y + 6, stroke_width=1.6)


def bracket(sheet: Sheet, upper: float, lower: float) -> None:
    """Draw a bracket joining the bars of a pair."""
    x = LEFT + 2
    sheet.shape(
        "path",
        d=f"M{number(x + 5)} {number(upper)}H{number(x)}V{number(lower)}H{number(x + 5)}",
        fill="none", stroke="#000", stroke_width=1.0, class_="pair",
    )  # fmt: skip
