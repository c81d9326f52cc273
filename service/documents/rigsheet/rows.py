"""One assembly as a row: sign and word of its readiness, tag, side and wire, lengths, and its length as a bar to the sheet's scale."""

from __future__ import annotations

from service.documents.drafting.lettering import sentence, width
from service.documents.drafting.sheet import LEFT, Sheet, number
from service.documents.rig import words
from service.documents.rig.terms import Document
from service.documents.sketch.signs import sign

from .groups import lengths, shown_length

SIZE, TAG = 10.0, 12.0
HEIGHT = 56.0
INDENT = 12.0  # px, where the bracket of a pair stands
_WORD = 2 + max(width(word, SIZE, bold=True) for word, _ in words.READINESS.values()) + 18  # px, a readiness with its sign
_TAG_ROOM = 170.0
_BAR = 6.0
COLUMNS = ("finished", "cut", "measured")


def row(sheet: Sheet, assembly: Document, scale: float) -> float:
    """Draw it; returns the height of its bar's middle."""
    sheet.gap(5)
    held = words.findings(assembly, "stop")
    sheet.take_block(HEIGHT + (15.0 if held else 0.0))
    top, left, right = sheet.take(HEIGHT), LEFT + INDENT, sheet.paper.right
    word = words.readiness(assembly)
    sheet.text(right - _WORD + 18, top + 13, word, SIZE, _WORD - 18, bold=True)
    sign(sheet, assembly["readiness"], right - _WORD + 8, top + 9.5, 13.0)
    sheet.text(left, top + 13, assembly["tag"], TAG, _TAG_ROOM, bold=True)
    told = left + _TAG_ROOM + 6
    sheet.text(told, top + 13, _told(assembly), SIZE, right - _WORD - 8 - told)
    _lengths(sheet, assembly, left, top + 29)
    bar = top + 42
    _bar(sheet, assembly, left, bar, scale)
    if held:
        sheet.lines(sentence(held[0]["message"]), SIZE, most=1, indent=INDENT)
    return bar


def _told(assembly: Document) -> str:
    """Side, wire and how many."""
    wire = assembly["wire"]
    named = f"{wire['construction']}, {wire['material']}, {wire['size']}" if wire else "wire not known"
    return " · ".join(part for part in (assembly["side"] or "", named, words.alike(assembly)) if part)


def _lengths(sheet: Sheet, assembly: Document, left: float, baseline: float) -> None:
    known, each = lengths(assembly), (sheet.paper.right - left) / 3
    for name, text in known:
        x, label = left + COLUMNS.index(name) * each, f"{name} "
        sheet.text(x, baseline, label, SIZE, width(label, SIZE) + 1)
        start = x + width(label, SIZE) + 3
        sheet.figure(start, baseline, text, SIZE, x + each - start - 6)
    if not known:
        sheet.text(left, baseline, "no length is known", SIZE, each)


def _bar(sheet: Sheet, assembly: Document, left: float, y: float, scale: float) -> None:
    """A wire between two ticks; dashed where nothing can be cut; open at the end where it has no finished length."""
    found = shown_length(assembly)
    if found is None:
        return
    name, length = found
    end = left + float(length["mm"]) * scale
    held = assembly["readiness"] == "hold"
    values: dict[str, object] = {"stroke_dasharray": "5 3"} if held else {}
    sheet.rect(left, y - _BAR / 2, end - left, _BAR, fill="#fff", stroke="#000", stroke_width=0.9, class_=f"bar {name}", **values)
    x = left + 6.0
    while not held and x + _BAR < end:
        sheet.line(x, y + _BAR / 2, x + _BAR * 0.7, y - _BAR / 2, stroke_width=0.5)
        x += 9.0
    for edge in (left, end) if name == "finished" else (left,):
        sheet.line(edge, y - 6, edge, y + 6, stroke_width=1.6)


def bracket(sheet: Sheet, upper: float, lower: float) -> None:
    """Joins the bars of a pair."""
    x = LEFT + 2
    sheet.shape(
        "path",
        d=f"M{number(x + 5)} {number(upper)}H{number(x)}V{number(lower)}H{number(x + 5)}",
        fill="none", stroke="#000", stroke_width=1.0, class_="pair",
    )  # fmt: skip
