"""A length of wire: two edges, its lay, and breaks where it is shortened (narrow freehand lines, after ISO 128-2, from memory)."""

from __future__ import annotations

from collections.abc import Sequence

from service.documents.svg.fittings.pen import FINE, LINE
from service.documents.svg.paper import Sheet, number

_LAY = 7.0  # px between the lines of two strands
_BREAK = 7.0  # px width of a break's gap


def length_of_wire(sheet: Sheet, x: float, broad: float, span: tuple[float, float], breaks: Sequence[float]) -> None:
    """Draw wire `broad` px wide between two heights, interrupted at each of the breaks."""
    top, bottom = span
    edges = [top, *(y + side * _BREAK / 2 for y in sorted(breaks) for side in (-1, 1)), bottom]
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end > start:
            _piece(sheet, x, broad, start, end)
    for y in breaks:
        _break(sheet, x, broad, y)


def _piece(sheet: Sheet, x: float, broad: float, top: float, bottom: float) -> None:
    half = broad / 2
    sheet.rect(x - half, top, broad, bottom - top, fill="#fff", stroke="none")
    for side in (-half, half):
        sheet.line(x + side, top, x + side, bottom, stroke_width=LINE)
    y = top + _LAY / 2
    while y + broad < bottom:
        sheet.line(x - half, y + broad, x + half, y, stroke_width=FINE, class_="lay")
        y += _LAY


def _break(sheet: Sheet, x: float, broad: float, y: float) -> None:
    """Draw two wavy lines, the symbol for an object drawn shortened."""
    half = broad / 2 + 4
    for edge in (y - _BREAK / 2, y + _BREAK / 2):
        d = f"M{number(x - half)} {number(edge + 2)}C{number(x - half / 2)} {number(edge - 5)} {number(x + half / 2)} {number(edge + 5)} {number(x + half)} {number(edge - 2)}"
        sheet.shape("path", d=d, fill="none", stroke="#000", stroke_width=FINE, class_="break")
