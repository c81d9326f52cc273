"""A title block: rows of named fields over the width of a sheet, framed, after ISO 7200 (from memory). Each drawing has its own fields."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from service.documents.svg.fittings.pen import FINE, LINE
from service.documents.svg.lettering import Line, sentence, shown, width, wrap
from service.documents.svg.paper import LEFT, Sheet

_LABEL, _VALUE, _LEADING, _PAD = 7.0, 9.5, 11.5, 4.0
_SIZES = (_VALUE, 8.5, 7.5)
_MOST = 12  # lines of one value


class Cell(NamedTuple):
    """A field, and its share of the block's width."""

    label: str
    value: str
    share: float
    bold: bool = False


def height(rows: Sequence[Sequence[Cell]], room: float) -> float:
    """What the block takes over a width of `room`, px."""
    return sum(_tall(row, room) for row in rows)


def draw(sheet: Sheet, rows: Sequence[Sequence[Cell]], top: float) -> None:
    """Draw the block over the sheet's whole width, its top at `top` px."""
    sheet.open("g", class_="title-block")
    first, room = top, sheet.paper.room
    for place, row in enumerate(rows):
        tall, x = _tall(row, room), LEFT
        if place:
            sheet.line(LEFT, top, LEFT + room, top, stroke_width=FINE)
        for cell in row:
            if x > LEFT:
                sheet.line(x, top, x, top + tall, stroke_width=FINE)
            _write(sheet, cell, x, top, cell.share * room)
            x += cell.share * room
        top += tall
    sheet.rect(LEFT, first, room, top - first, fill="none", stroke="#000", stroke_width=LINE)
    sheet.close("g")


def _write(sheet: Sheet, cell: Cell, x: float, top: float, wide: float) -> None:
    sheet.text(x + _PAD, top + 8.5, cell.label, _LABEL, wide - 2 * _PAD)
    size, lines = _set(cell, wide)
    for at, line in enumerate(lines):
        sheet.text_as(x + _PAD, top + 19.5 + at * _LEADING, line.set, line.whole, size, wide - 2 * _PAD, bold=cell.bold)


def _set(cell: Cell, wide: float) -> tuple[float, list[Line]]:
    """The largest size in which the value is one line, else the smallest on as many lines as it needs."""
    room = wide - 2 * _PAD
    for size in _SIZES:
        lines = wrap(sentence(cell.value), room, size, cell.bold)
        if len(lines) <= 1 and all(line.set == line.whole for line in lines):
            return size, lines
    pieces = [piece for word in shown(cell.value).split() for piece in _pieces(word, room, cell.bold)]
    return _SIZES[-1], wrap(pieces, room, _SIZES[-1], cell.bold, _MOST)


def _pieces(word: str, room: float, bold: bool) -> list[str]:
    """A word in pieces that each fill a line, if no line can hold it."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and width(pieces[-1] + letter, _SIZES[-1], bold) > room:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def _tall(row: Sequence[Cell], room: float) -> float:
    return 24.0 + _LEADING * (max(1, *(len(_set(cell, cell.share * room)[1]) for cell in row)) - 1)
