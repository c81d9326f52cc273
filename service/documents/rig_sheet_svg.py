"""The rig of a boat on one sheet (SVG 1.1, image/svg+xml), from a quote's document: its assemblies to one scale under each other, port against
starboard, and which of them can be cut."""

from __future__ import annotations

from collections import Counter

from service.documents.drafting.lettering import Name, sentence, shown, width, wrap
from service.documents.drafting.sheet import LEFT, STANDING, Sheet
from service.documents.rig import words
from service.documents.rig.terms import Document
from service.documents.rigsheet.groups import Group, difference, groups, lengths, shown_length
from service.documents.rigsheet.rows import HEIGHT, INDENT, bracket, row
from service.documents.sketch.signs import sign

_TITLE, _HEAD, _BODY, _FINE = 18.0, 12.0, 10.0, 9.0
_STEPS = {"imperial": (304.8, "ft"), "metric": (1000.0, "m")}


def drawing(document: Document) -> bytes:
    """The sheet as SVG in UTF-8; equal documents give equal bytes."""
    boat = document["boat"]["name"] or "a boat without a name"
    sheet = Sheet(f"Rig of {boat}", STANDING, "rig")
    sheet.lines(sentence(sheet.title), _TITLE, bold=True, most=2)
    sheet.lines([Name(words.identity(document).rsplit("; ", 1)[-1])], _BODY)
    spoken = _counts(sheet, document)
    longest = max((float(found[1]["mm"]) for found in map(shown_length, document["assemblies"]) if found), default=0.0)
    scale = (sheet.paper.room - INDENT) / max(longest, 1.0)
    if longest:
        _scale_bar(sheet, scale, longest, document["display_units"])
    for group in groups(document["assemblies"]):
        spoken += _group(sheet, group, scale, document["display_units"])
    _cautions(sheet, document)
    return sheet.finish("", shown(" ".join(spoken)))


def _counts(sheet: Sheet, document: Document) -> list[str]:
    """How many are ready, each with its sign, which serves as the legend. Returns what it says."""
    every = document["assemblies"]
    found = Counter(each["readiness"] for each in every)
    widest = max(width(f"{len(every)} {word}", _BODY, bold=True) for word, _ in words.READINESS.values()) + 2
    for readiness, (word, meaning) in words.READINESS.items():
        top = sheet.take(17)
        sign(sheet, readiness, LEFT + 8, top + 9, 13.0)
        said = f"{found[readiness]} {word}"
        sheet.text(LEFT + 20, top + 12.5, said, _BODY, widest, bold=True)
        sheet.text(LEFT + 24 + widest, top + 12.5, meaning, _BODY, sheet.paper.room - widest - 24)
    summary = f"{len(every)} assemblies: " + ", ".join(f"{found[key]} {word.lower()}" for key, (word, _) in words.READINESS.items()) + "."
    if found["hold"] == len(every):
        said = "All are on hold: nothing can be cut from these numbers."
        sheet.lines(sentence(said), _BODY, bold=True)
        return [summary, said]
    return [summary]


def _scale_bar(sheet: Sheet, scale: float, longest: float, units: str) -> None:
    """The bars' common scale, and what a bar shows."""
    unit, name = _STEPS[units]
    fives = next((each for each in (100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1) if each * unit <= longest / 2), 0.05)
    sheet.gap(5)
    top, left = sheet.take(24), LEFT + INDENT
    long = fives * unit * scale
    sheet.rect(left, top + 13, long / 2, 4.0, stroke="#000", stroke_width=0.6)
    sheet.rect(left + long / 2, top + 13, long / 2, 4.0, fill="#fff", stroke="#000", stroke_width=0.6)
    sheet.text(left, top + 10, "0", _FINE, 12.0)
    last = f"{fives:g} {name}"
    sheet.text(left + long, top + 10, last, _FINE, width(last, _FINE) + 2, "middle")
    x = left + long + width(last, _FINE) / 2 + 12
    said = "Bars to one scale: finished length between two ticks; one tick: cut length; dashed: as measured, on hold."
    if sheet.paper.right - x >= width(said, _FINE) * 0.6:
        sheet.text(x, top + 10, said[: said.index(";") + 1], _FINE, sheet.paper.right - x)
        sheet.text(x, top + 20, said[said.index(";") + 2 :], _FINE, sheet.paper.right - x)
    else:
        sheet.lines(sentence(said), _FINE)


def _group(sheet: Sheet, group: Group, scale: float, units: str) -> list[str]:
    said = difference(group, units)
    sheet.gap(8)
    rows = min(len(group.rows), 2)
    sheet.take_block(26 + rows * (HEIGHT + 20) + 30)
    top = sheet.take(22)
    sheet.line(LEFT, top + 3, sheet.paper.right, top + 3, stroke_width=1.2)
    sheet.text(LEFT, top + 18, group.name, _HEAD, sheet.paper.room, bold=True)
    bars = [row(sheet, each, scale) for each in group.rows]
    if group.pair:
        upper, lower = bars[:2]  # port and starboard come first
        if upper // sheet.paper.page == lower // sheet.paper.page:
            bracket(sheet, upper, lower)
    if said:
        sheet.take_together(sentence(said), _BODY, 0.0)
    return [f"{group.name}.", *map(_spoken, group.rows), said]


def _spoken(assembly: Document) -> str:
    """A row for those who cannot see it."""
    known = ", ".join(f"{name} {text}" for name, text in lengths(assembly)) or "no length is known"
    side = f" {assembly['side']}" if assembly["side"] else ""
    return f"{assembly['tag']}{side}: {words.readiness(assembly).lower()}, {known}."


def _cautions(sheet: Sheet, document: Document) -> None:
    cautions = sentence(" ".join(document["cautions"]))
    sheet.gap(10)
    sheet.take_block(1.4 * _HEAD + 1.4 * _FINE * len(wrap(cautions, sheet.paper.room, _FINE)))
    sheet.lines(["Cautions"], _HEAD, bold=True)
    sheet.lines(cautions, _FINE)
