"""A cutting plan as a drawing (SVG 1.1, image/svg+xml) for the bench: every stock object used, as a bar to scale.

All bars of a wire share one scale; a ruler above them is graduated in the shop's units. Objects cut identically are shown as one
bar that names them all. What does not fit a drawing of reasonable size is left out, with a sentence saying so; the bench list has
every cut.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import islice

from pricing.stock.sentences import retold_left_out
from service.documents.cutting_plan import words
from service.documents.cutting_plan.bars import view
from service.documents.cutting_plan.folding import Bar, Document, folded, mm
from service.documents.cutting_plan.furniture import PATTERNS, legend, rule
from service.documents.cutting_plan.named import as_named
from service.documents.speech import Speech, speech_in
from service.documents.svg.lettering import Name, sentence
from service.documents.svg.paper import LEFT, LYING, PAGES, ROOM, Sheet

MOST_BARS = 160  # per plan, shared by its wires
MOST_CUTS = 3_000  # per plan, shared by its wires
MOST_CUTS_OF_A_BAR = 400
MOST_ROWS = 200  # notes, cautions and pieces without a place, of each kind
_BODY, _HEAD, _TITLE = 11.0, 14.0, 18.0


def drawing(document: Document, language: str = "en", tags: Mapping[str, str] | None = None) -> bytes:
    """The plan `document` as SVG in UTF-8; equal documents give equal bytes. `tags`: those of its remnants, if it was taken."""
    speech = speech_in(language, document["display_units"])
    document = as_named(document, tags or {}, speech)
    sheet = Sheet(speech.say("Cutting plan: %(title)s", title=words.title(document, speech)), LYING, "cutting-plan", speech.say(PAGES))
    spoken = _opening(sheet, document, speech)
    for wire in document["wires"]:
        spoken += _wire(sheet, document, wire, speech)
    return sheet.finish(PATTERNS, " ".join(spoken))


def _opening(sheet: Sheet, document: Document, speech: Speech) -> list[str]:
    """Draw the title, the plan's overall figures, cautions and legend. Returns their text alternative."""
    sheet.lines(sentence(sheet.title), _TITLE, bold=True, most=4)
    sheet.gap(4)
    day = document["day"] if speech.language == "en" else speech.day(document["day"])
    sheet.lines(sentence(speech.say("Day %(day)s", day=day)), _BODY)
    left = [retold_left_out(row, speech.shop) for row in document.get("left_out", ())]
    if not document["wires"]:
        said = [speech.say("Nothing to cut: the plan has no wire.")]
        sheet.lines(sentence(said[0]), _BODY)
        _rows(sheet, speech.say("Not planned:"), [sentence(each) for each in left], speech)
        return [*said, *left[:MOST_ROWS]]
    objects = sum(len(wire["uses"]) for wire in document["wires"])
    all_wires = f"{speech.say('All wires.')} {words.totals(document, objects, speech)}"
    said = [all_wires, words.optimum(document, document["currency"], speech)] if len(document["wires"]) > 1 else []
    for line in said:
        sheet.lines(sentence(line), _BODY)
    _rows(sheet, speech.say("Not planned:"), [sentence(each) for each in left], speech)
    _rows(sheet, speech.say("Caution:"), [sentence(text) for text in speech.cautions(document["cautions"])], speech)
    sheet.gap(6)
    legend(sheet, speech)
    return [*said, *left[:MOST_ROWS]]


def _wire(sheet: Sheet, document: Document, wire: Document, speech: Speech) -> list[str]:
    """Draw one wire: heading, bars, what is not drawn or not planned, notes. Returns the text alternative."""
    figures = (
        [words.totals(wire, len(wire["uses"]), speech), words.optimum(wire, document["currency"], speech)]
        if wire["uses"]
        else [speech.say("Nothing of this wire is cut.")]
    )
    said = [*figures, words.terms(wire, speech)]
    _heading(sheet, wire, said, speech)
    bars, left_out = _drawn(wire, len(document["wires"]), speech)
    if bars:
        longest = max(1.0, *(mm(bar.use["length"]) for bar in bars))
        scale = ROOM / longest
        rule(sheet, scale, longest, speech)
        for bar in bars:
            view(bar, scale, speech).draw(sheet)
    for line in left_out:
        sheet.gap(6)
        sheet.lines(sentence(line), _BODY)
    unplanned = [words.unplanned(row, speech) for row in wire["unplanned"]]
    _rows(sheet, speech.say("Not planned:"), unplanned, speech)
    _rows(sheet, speech.say("Note:"), [sentence(words.note(note, wire, speech)) for note in wire["notes"]], speech)
    return [
        f"{speech.named(wire['wire']['name'])}.",
        *said,
        *(words.in_words(bar, speech) for bar in bars),
        *left_out,
        *(words.plain(row) for row in unplanned[:MOST_ROWS]),
    ]


def _heading(sheet: Sheet, wire: Document, said: list[str], speech: Speech) -> None:
    sheet.gap(16)
    top = sheet.take_block(34 + 1.4 * _BODY * 6 + 80)  # not at the bottom of a page without a bar below it
    sheet.line(LEFT, top + 4, LEFT + ROOM, top + 4, stroke_width=1.6)
    name = wire["wire"]
    sheet.text(LEFT, sheet.take(28) + 22, speech.named(name["name"]), _HEAD, ROOM, bold=True)
    for line in said:
        sheet.lines(sentence(line), _BODY)


def _drawn(wire: Document, wires: int, speech: Speech) -> tuple[list[Bar], list[str]]:
    """The bars to draw, and sentences about what is left out."""
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
    pieces = words.pieces(sum(len(use["cuts"]) for use in hidden), speech)
    said = speech.several(
        "Not drawn: %(num)s more stock object with %(pieces)s.",
        "Not drawn: %(num)s more stock objects with %(pieces)s.",
        len(hidden),
        pieces=pieces,
    )
    return bars, [f"{said} {speech.say('The bench list has every cut.')}"]


def _rows(sheet: Sheet, head: str, rows: Sequence[Sequence[str | Name]], speech: Speech) -> None:
    """Write a list below the bars, each row starting with what it is."""
    sheet.gap(4 if rows else 0)
    for row in rows[:MOST_ROWS]:
        sheet.lines([head, *row], _BODY, most=8)
    if len(rows) > MOST_ROWS:
        sheet.lines([head, *sentence(speech.say("%(count)s more, not listed here.", count=len(rows) - MOST_ROWS))], _BODY)
