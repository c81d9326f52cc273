"""A boat's rig on one sheet (SVG 1.1, image/svg+xml), from a quote: the rig drawn, each wire in its place; below it the assemblies in a table
with bars to one scale, port against starboard; in both, which of them can be cut.
"""

from __future__ import annotations

from collections import Counter

from pricing.model import Quote, QuotedAssembly
from service.documents.rig import words
from service.documents.rig_sheet.drawn_rig import drawn_rig
from service.documents.rig_sheet.groups import Group, difference, groups, lengths, shown_length
from service.documents.rig_sheet.line_kinds import OF_WIRE, drawn
from service.documents.rig_sheet.rows import HEIGHT, INDENT, bracket, row
from service.documents.speech import Speech, speech_in
from service.documents.svg.fittings.signs import sign
from service.documents.svg.lettering import Name, sentence, shown, width, wrap
from service.documents.svg.paper import LEFT, PAGES, STANDING, Sheet

_TITLE, _HEAD, _BODY, _FINE = 18.0, 12.0, 10.0, 9.0
_SAMPLE = 48.0  # px, a line of each kind in the key
_STEPS = {"imperial": (304.8, "ft"), "metric": (1000.0, "m")}
BARS = ("Bars to one scale: finished length between two ticks;", "one tick: cut length; dashed: as measured, on hold.")


def drawing(quote: Quote, language: str = "en") -> bytes:
    """The sheet as SVG in UTF-8; equal quotes give equal bytes."""
    speech = speech_in(language, quote.display_units)
    sheet = Sheet(speech.say("Rig of %(boat)s", boat=words.boat_of(quote, speech)), STANDING, "rig", speech.say(PAGES))
    sheet.lines(sentence(sheet.title), _TITLE, bold=True, most=2)
    sheet.lines([Name(words.identity(quote, speech))], _BODY)
    if words.written(quote, speech):
        sheet.lines(sentence(words.written(quote, speech)), _BODY, bold=True)
    spoken = _counts(sheet, quote, speech)
    spoken.append(drawn_rig(sheet, quote, speech))
    longest = max((float(found[1].mm) for found in map(shown_length, quote.assemblies) if found), default=0.0)
    scale = (sheet.paper.room - INDENT) / max(longest, 1.0)
    if longest:
        _scale_bar(sheet, scale, longest, speech)
    for group in groups(quote.assemblies, speech):
        spoken += _group(sheet, group, scale, speech)
    _cautions(sheet, quote, speech)
    return sheet.finish("", shown(" ".join(spoken)))


def _counts(sheet: Sheet, quote: Quote, speech: Speech) -> list[str]:
    """Write how many are ready, each with its symbol and line, which serves as the key. Returns the text."""
    every = quote.assemblies
    found = Counter[str](each.readiness for each in every)
    labels = {readiness: f"{found[readiness]} {speech.say(word)}" for readiness, (word, _) in words.READINESS.items()}
    widest = max(width(f"{len(every)} {speech.say(word)}", _BODY, bold=True) for word, _ in words.READINESS.values()) + 2
    for readiness, (_, meaning) in words.READINESS.items():
        top = sheet.take(17)
        sign(sheet, readiness, LEFT + 8, top + 9, 13.0)
        drawn(sheet, [(LEFT + 20, top + 9), (LEFT + 20 + _SAMPLE, top + 9)], OF_WIRE[readiness])
        sheet.text(LEFT + 26 + _SAMPLE, top + 12.5, labels[readiness], _BODY, widest, bold=True)
        left = 30 + _SAMPLE + widest
        sheet.text(LEFT + left, top + 12.5, speech.say(meaning), _BODY, sheet.paper.room - left)
    counts = ", ".join(each.lower() for each in labels.values())
    summary = speech.several("%(num)s assembly: %(counts)s.", "%(num)s assemblies: %(counts)s.", len(every), counts=counts)
    if all(each.readiness == "hold" for each in every):
        none_ready = speech.say("All are on hold: nothing can be cut from these numbers.")
        sheet.lines(sentence(none_ready), _BODY, bold=True)
        return [summary, none_ready]
    return [summary]


def _scale_bar(sheet: Sheet, scale: float, longest: float, speech: Speech) -> None:
    """Draw the bars' common scale, and what a bar represents."""
    unit, name = _STEPS[speech.units]
    fives = next((each for each in (100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1) if each * unit <= longest / 2), 0.05)
    sheet.gap(5)
    top, left = sheet.take(24), LEFT + INDENT
    long = fives * unit * scale
    sheet.rect(left, top + 13, long / 2, 4.0, stroke="#000", stroke_width=0.6)
    sheet.rect(left + long / 2, top + 13, long / 2, 4.0, fill="#fff", stroke="#000", stroke_width=0.6)
    sheet.text(left, top + 10, "0", _FINE, 12.0)
    last = speech.local(f"{fives:g} {name}")
    sheet.text(left + long, top + 10, last, _FINE, width(last, _FINE) + 2, "middle")
    x = left + long + width(last, _FINE) / 2 + 12
    said = [speech.say(each) for each in BARS]
    if sheet.paper.right - x >= max(width(each, _FINE) for each in said):
        for line, each in enumerate(said, 1):
            sheet.text(x, top + 10 * line, each, _FINE, sheet.paper.right - x)
    else:
        sheet.lines(sentence(" ".join(said)), _FINE)


def _group(sheet: Sheet, group: Group, scale: float, speech: Speech) -> list[str]:
    said = difference(group, speech)
    sheet.gap(8)
    rows = min(len(group.rows), 2)
    sheet.take_block(26 + rows * (HEIGHT + 20) + 30)
    top = sheet.take(22)
    sheet.line(LEFT, top + 3, sheet.paper.right, top + 3, stroke_width=1.2)
    sheet.text(LEFT, top + 18, group.name, _HEAD, sheet.paper.room, bold=True)
    bars = [row(sheet, each, scale, speech) for each in group.rows]
    if group.pair:
        upper, lower = bars[:2]  # port and starboard come first
        if upper // sheet.paper.page == lower // sheet.paper.page:
            bracket(sheet, upper, lower)
    if said:
        sheet.take_together(sentence(said), _BODY, 0.0)
    return [f"{group.name}.", *(_spoken(each, speech) for each in group.rows), said]


def _spoken(assembly: QuotedAssembly, speech: Speech) -> str:
    """A row's text alternative."""
    known = ", ".join(f"{speech.say(name)} {text}" for name, text in lengths(assembly, speech)) or speech.say("no length is known")
    side = f" {speech.phrase('side.' + assembly.side)}" if assembly.side else ""
    return f"{assembly.tag}{side}: {words.readiness(assembly, speech).lower()}, {known}."


def _cautions(sheet: Sheet, quote: Quote, speech: Speech) -> None:
    cautions = sentence(" ".join(speech.cautions(quote.cautions)))
    sheet.gap(10)
    sheet.take_block(1.4 * _HEAD + 1.4 * _FINE * len(wrap(cautions, sheet.paper.room, _FINE)))
    sheet.lines([speech.say("Cautions")], _HEAD, bold=True)
    sheet.lines(cautions, _FINE)
