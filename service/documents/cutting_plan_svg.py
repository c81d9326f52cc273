"""A cutting plan as a drawing (SVG 1.1, image/svg+xml) for the bench: every touched stock object as a bar to scale.

All bars of one wire share one scale; a rule above them is graduated in the shop's units. Objects that are cut alike are one bar that
names them all. What does not fit a drawing of a fair size is left out with a sentence that says so; the bench list has every cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from service.documents.cutting import words
from service.documents.cutting.bars import view
from service.documents.cutting.folding import Bar, Document, folded, mm
from service.documents.cutting.furniture import PATTERNS, legend, rule
from service.documents.drafting.lettering import Name, sentence
from service.documents.drafting.sheet import LEFT, ROOM, Sheet

MOST_BARS = 160  # of a plan, shared by its wires
MOST_CUTS = 3_000  # of a plan, shared by its wires
MOST_CUTS_OF_A_BAR = 400
MOST_ROWS = 200  # notes, cautions and pieces without a place, of each kind
_BODY, _HEAD, _TITLE = 11.0, 14.0, 18.0


def drawing(document: Document) -> bytes:
    """The plan `document` as SVG in UTF-8; equal documents give equal bytes."""
    sheet = Sheet(f"Cutting plan: {document['title']}")
    spoken = _opening(sheet, document)
    for wire in document["wires"]:
        spoken += _wire(sheet, document, wire)
    return sheet.finish(PATTERNS, " ".join(spoken))


def _opening(sheet: Sheet, document: Document) -> list[str]:
    """Title, figures of the whole plan, cautions and legend. Returns what the text alternative says of them."""
    sheet.lines(sentence(sheet.title), _TITLE, bold=True, most=4)
    sheet.gap(4)
    sheet.lines(["Day", f"{document['day']},", "plan", Name(document["id"])], _BODY)
    if not document["wires"]:
        sheet.lines(sentence("Nothing to cut: the plan has no wire."), _BODY)
        return ["Nothing to cut: the plan has no wire."]
    objects = sum(len(wire["uses"]) for wire in document["wires"])
    said = (
        [f"All wires. {words.totals(document, objects)}", words.cost(document, document["currency"])] if len(document["wires"]) > 1 else []
    )
    for line in said:
        sheet.lines(sentence(line), _BODY)
    _rows(sheet, "Caution:", [sentence(text) for text in document["cautions"]])
    sheet.gap(6)
    legend(sheet)
    return said


def _wire(sheet: Sheet, document: Document, wire: Document) -> list[str]:
    """One wire: heading, bars, what is not drawn or not planned, notes."""
    figures = (
        [words.totals(wire, len(wire["uses"])), words.cost(wire, document["currency"])]
        if wire["uses"]
        else ["Nothing of this wire is cut."]
    )
    said = [*figures, words.terms(wire)]
    _heading(sheet, wire, said)
    bars, left_out = _drawn(wire, len(document["wires"]))
    if bars:
        longest = max(1.0, *(mm(bar.use["length"]) for bar in bars))
        scale = ROOM / longest
        rule(sheet, scale, longest, document["display_units"])
        for bar in bars:
            view(bar, scale).draw(sheet)
    for line in left_out:
        sheet.gap(6)
        sheet.lines(sentence(line), _BODY)
    _rows(sheet, "Not planned:", [words.unplanned(row) for row in wire["unplanned"]])
    _rows(sheet, "Note:", [sentence(note["message"]) for note in wire["notes"]])
    name = f"{wire['wire']['name']}."
    return [
        name,
        *said,
        *map(words.in_words, bars),
        *left_out,
        *(words.plain(words.unplanned(row)) for row in wire["unplanned"][:MOST_ROWS]),
    ]


def _heading(sheet: Sheet, wire: Document, said: list[str]) -> None:
    sheet.gap(16)
    top = sheet.take_block(34 + 1.4 * _BODY * 6 + 80)  # not at the foot of a page without a bar under it
    sheet.line(LEFT, top + 4, LEFT + ROOM, top + 4, stroke_width=1.6)
    name = wire["wire"]
    sheet.text(LEFT, sheet.take(28) + 22, f"{name['name']} ({name['sku']})", _HEAD, ROOM, bold=True)
    for line in said:
        sheet.lines(sentence(line), _BODY)


def _drawn(wire: Document, wires: int) -> tuple[list[Bar], list[str]]:
    """The bars to draw, and sentences on what is left out."""
    every = folded(wire["uses"], MOST_CUTS_OF_A_BAR)
    bars: list[Bar] = []
    cuts = MOST_CUTS // wires
    for bar in islice(every, max(1, MOST_BARS // wires)):
        cuts -= len(bar.cuts)
        if bars and cuts < 0:
            break
        bars.append(bar)
    hidden = [use for bar in every[len(bars) :] for use in bar.uses]
    if not hidden:
        return bars, []
    pieces = words.counted(sum(len(use["cuts"]) for use in hidden), "piece")
    return bars, [f"Not drawn: {words.counted(len(hidden), 'more stock object')} with {pieces}. The bench list has every cut."]


def _rows(sheet: Sheet, head: str, rows: Sequence[Sequence[str | Name]]) -> None:
    """A list under the bars, each row beginning with what it is."""
    sheet.gap(4 if rows else 0)
    for row in rows[:MOST_ROWS]:
        sheet.lines([head, *row], _BODY, most=8)
    if len(rows) > MOST_ROWS:
        sheet.lines([head, *sentence(f"{len(rows) - MOST_ROWS} more, not listed here.")], _BODY)
