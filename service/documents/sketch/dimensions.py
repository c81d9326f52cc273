"""Dimension lines, standing: extension lines, arrows, lettering; and running dimensions from one origin (as in ISO 129, superimposed)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from service.documents.cutting.spread import spread
from service.documents.drafting.lettering import width
from service.documents.drafting.sheet import Sheet, number

from .pen import FINE

ARROW = 7.0
SIZE = 11.0
_BEYOND = 3.0


def arrow(sheet: Sheet, x: float, y: float, way: int) -> None:
    """An arrowhead whose tip is at (x, y), pointing down (1) or up (-1)."""
    back = y - way * ARROW
    sheet.shape("path", d=f"M{number(x)} {number(y)}L{number(x - 2)} {number(back)}L{number(x + 2)} {number(back)}Z", class_="arrow")


def standing(sheet: Sheet, x: float, top: float, bottom: float) -> None:
    """The line with its arrows; where they do not fit between the ends they point inward from without."""
    if bottom - top >= 2 * ARROW + 2:
        sheet.line(x, top, x, bottom, stroke_width=FINE, class_="dimension")
        arrow(sheet, x, top, -1)
        arrow(sheet, x, bottom, 1)
        return
    sheet.line(x, top - 2 * ARROW, x, bottom + 2 * ARROW, stroke_width=FINE, class_="dimension")
    arrow(sheet, x, top, 1)
    arrow(sheet, x, bottom, -1)


def extension(sheet: Sheet, y: float, start: float, end: float) -> None:
    """A thin line from the object to beyond the dimension line."""
    sheet.line(start, y, end - _BEYOND if end < start else end + _BEYOND, y, stroke_width=FINE, stroke="#000")


def measured(sheet: Sheet, x: float, top: float, bottom: float, said: str, bold: bool = False, clear_of: Sequence[float] = ()) -> None:
    """A standing dimension with its lettering along it, clear of the lines that cross at these heights."""
    standing(sheet, x, top, bottom)
    room = width(said, SIZE, bold) + 2
    sheet.text_up(x - 4.5, clear_middle(top, bottom, room, clear_of), said, SIZE, room, bold)


def clear_middle(top: float, bottom: float, room: float, crossings: Sequence[float]) -> float:
    """The middle of the stretch nearest to the middle of the line in which lettering that long meets no crossing; else of the longest."""
    edges = [top, *sorted(y for y in crossings if top < y < bottom), bottom]
    stretches = list(pairwise(edges))
    wanted = (top + bottom) / 2
    fits = [(start, end) for start, end in stretches if end - start >= room + 4]
    if not fits:
        start, end = max(stretches, key=lambda each: each[1] - each[0])
        return (start + end) / 2
    half = room / 2 + 2
    return min((min(max(wanted, start + half), end - half) for start, end in fits), key=lambda middle: abs(middle - wanted))


def running(sheet: Sheet, x: float, origin: float, marks: Sequence[tuple[float, str]], left: float, bottom: float) -> None:
    """Marks measured from one origin: a circle there, an arrow at each, the figures in a column between `left` and the line."""
    if not marks:
        return
    sheet.shape("circle", cx=x, cy=origin, r=2.4, fill="#fff", stroke="#000", stroke_width=0.8)
    sheet.line(x, origin + 2.4, x, marks[-1][0], stroke_width=FINE, class_="dimension")
    heights = [15.0] * len(marks)
    places = spread([y for y, _ in marks], heights, origin - 10, max(bottom, origin + 15.0 * len(marks)))
    for (y, said), place in zip(marks, places, strict=True):
        arrow(sheet, x, y, 1)
        sheet.line(x, y, x - 8, place, stroke_width=FINE)
        room = x - 10 - left
        sheet.figure(x - 10, place + 3.5, said, 10.0, room, "end")
