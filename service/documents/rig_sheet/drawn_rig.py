"""The drawn rig on the sheet: its views, one under another or two masts side by side, the list of what has no place in it, and its title block."""

from __future__ import annotations

from collections.abc import Sequence

from pricing.model import Quote, QuotedAssembly
from service.documents.rig import words
from service.documents.rig_sheet.masts import Mast, Rig, rig_of
from service.documents.rig_sheet.standing import Standing, standing
from service.documents.rig_sheet.title_block import rows
from service.documents.rig_sheet.views import Frame, fitting, from_abaft, from_starboard, least
from service.documents.speech import Speech
from service.documents.svg import title_block
from service.documents.svg.lettering import Name, sentence
from service.documents.svg.paper import LEFT, Sheet

SCHEMATIC = "Schematic, not to scale: each wire stands where its role and side place it, not where it was measured."
GROUND = "Grey: the rig itself, as ground; it is not in this quote."
NOT_DRAWN = "Not drawn in the rig, since role, side and number do not tell a place:"
NO_ROOM = "Not drawn in the rig, for want of room beside it:"
_FINE = 9.0  # px, lettering
_LEAST, _MOST = 220.0, 430.0  # px, the height of a view
_GAP = 12.0
_BELOW, _FOOT = 8.0, 26.0  # px, from the title block to the page's number, and to the page's end


def drawn_rig(sheet: Sheet, quote: Quote, speech: Speech) -> str:
    """Draw the rig of a quote, from the sheet's current position to the end of a page. Returns its text alternative."""
    rig = rig_of(quote.assemblies)
    placed, unplaced = standing(quote.assemblies, rig)
    sheet.open("g", class_="drawn-rig")
    sheet.gap(4)
    sheet.lines(sentence(f"{speech.say(SCHEMATIC)} {speech.say(GROUND)}"), _FINE)
    fields = rows(quote, sheet.title, speech)
    block = title_block.height(fields, sheet.paper.room)
    crowded = _views(sheet, rig, placed, block, speech)
    _listed(sheet, NOT_DRAWN, unplaced, speech)
    _listed(sheet, NO_ROOM, crowded, speech)
    page = sheet.paper.page
    top = (sheet.take_block(block + _BELOW) // page + 1) * page - _FOOT - block
    title_block.draw(sheet, fields, top)
    sheet.y = top + block
    sheet.close("g")
    return speech.say(SCHEMATIC)


def _views(sheet: Sheet, rig: Rig, placed: Sequence[Standing], block: float, speech: Speech) -> list[QuotedAssembly]:
    """Draw all views that have something in them, above a title block of `block` px; returns the wires for whose labels there is no room."""
    along = [each for each in placed if not each.athwart]
    masts = [(mast, own) for mast in rig.masts if (own := [each for each in placed if each.athwart and each.first.mast == mast.name])]
    sides: list[list[tuple[Mast | None, list[Standing]]]] = [list(masts[at : at + 2]) for at in range(0, len(masts), 2)]
    sides += [[(None, along)]] if along else []
    crowded: list[QuotedAssembly] = []
    for row, high in zip(sides, _heights(sheet, [max(least(own, speech) for _, own in row) for row in sides], block), strict=True):
        sheet.gap(_GAP)
        top, wide = sheet.take(high), (sheet.paper.room - (len(row) - 1) * _GAP) / len(row)
        for at, (mast, own) in enumerate(row):
            frame = Frame(LEFT + at * (wide + _GAP), wide, top, top + high)
            kept, left = fitting(own, frame, speech)
            if mast is None:
                from_starboard(sheet, frame, rig, kept, speech)
            else:
                from_abaft(sheet, frame, mast, kept, speech)
            crowded += left
    return crowded


def _heights(sheet: Sheet, needed: Sequence[float], block: float) -> list[float]:
    """The heights of views that need these, px: views that go on one page share what is left of it beside the title block."""
    page = sheet.paper.page
    pages, whole = [(page - sheet.y % page - block - _FOOT - _GAP, list[float]())], page - block - 2 * _FOOT - _GAP
    for each in needed:
        high = min(max(each, _LEAST), whole)
        if sum(pages[-1][1]) + high + _GAP * (len(pages[-1][1]) + 1) > pages[-1][0]:
            pages.append((whole, []))
        pages[-1][1].append(high)
    return [high for room, own in pages for high in _shared(own, room)]


def _shared(needed: Sequence[float], room: float) -> list[float]:
    spare = room - sum(needed) - _GAP * len(needed)
    return [max(each, min(_MOST, each + spare / len(needed))) for each in needed]


def _listed(sheet: Sheet, said: str, assemblies: Sequence[QuotedAssembly], speech: Speech) -> None:
    """Write what is not drawn: tag and role of each."""
    if not assemblies:
        return
    sheet.gap(_GAP)
    atoms: list[str | Name] = [*sentence(speech.say(said))]
    for each in assemblies:
        comma = "" if each is assemblies[-1] else ","
        atoms += [Name(each.tag), *sentence(f"({words.role(each, speech)}){comma}")]
    sheet.lines(atoms, _FINE)
