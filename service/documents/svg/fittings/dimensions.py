"""Vertical dimension lines: extension lines, arrows, lettering; and running dimensions from one origin.

After ISO 129-1 (from memory): dimension and extension lines narrow continuous; an extension line starts eight line widths from the
outline and goes eight beyond the dimension line; arrowheads closed, filled, 30 degrees; figures above their line, parallel to it, to be read
from the bottom or from the right; running dimensions superimposed, from a circle at the origin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from service.documents.cutting_plan.spread import spread
from service.documents.svg.lettering import width
from service.documents.svg.paper import Sheet, number

from .pen import FINE

ARROW = 7.0
SIZE = 11.0
GAP = BEYOND = 8 * FINE
_HALF = ARROW * math.tan(math.radians(15))
_SIZES = (SIZE, 10.0, 9.0, 8.0)  # of lettering, smaller where it is longer than its line


def arrow(sheet: Sheet, x: float, y: float, way: int) -> None:
    """Draw an arrowhead with its tip at (x, y), pointing down (1) or up (-1)."""
    back = y - way * ARROW
    sheet.shape(
        "path", d=f"M{number(x)} {number(y)}L{number(x - _HALF)} {number(back)}L{number(x + _HALF)} {number(back)}Z", class_="arrow"
    )


def standing(sheet: Sheet, x: float, top: float, bottom: float) -> None:
    """Draw the line with its arrows; if they do not fit between the ends, they point inward from outside."""
    if bottom - top >= 2 * ARROW + 2:
        sheet.line(x, top, x, bottom, stroke_width=FINE, class_="dimension")
        arrow(sheet, x, top, -1)
        arrow(sheet, x, bottom, 1)
        return
    sheet.line(x, top - 2 * ARROW, x, bottom + 2 * ARROW, stroke_width=FINE, class_="dimension")
    arrow(sheet, x, top, 1)
    arrow(sheet, x, bottom, -1)


def extension(sheet: Sheet, y: float, start: float, end: float) -> None:
    """Draw a thin line from the object to beyond the dimension line."""
    sheet.line(start, y, end - BEYOND if end < start else end + BEYOND, y, stroke_width=FINE, class_="extension")


def measured(sheet: Sheet, x: float, top: float, bottom: float, said: str, bold: bool = False, clear_of: Sequence[float] = ()) -> None:
    """Draw a vertical dimension with its lettering along it, clear of lines that cross at these heights."""
    standing(sheet, x, top, bottom)
    size = next((each for each in _SIZES if width(said, each, bold) + 6 <= bottom - top), _SIZES[-1])
    room = width(said, size, bold) + 2
    sheet.text_up(x - 4.5, clear_middle(top, bottom, room, clear_of), said, size, room, bold)


def clear_middle(top: float, bottom: float, room: float, crossings: Sequence[float]) -> float:
    """The point closest to the line's middle where lettering of this length meets no crossing line; otherwise the middle of the
    longest free stretch.
    """
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
    """Draw running dimensions from one origin: a circle there, an arrow at each mark, the figures in a column between `left` and the
    line.
    """
    if not marks:
        return
    sheet.shape("circle", cx=x, cy=origin, r=2.4, fill="#fff", stroke="#000", stroke_width=0.8)
    sheet.line(x, origin + 2.4, x, marks[-1][0], stroke_width=FINE, class_="dimension")
    heights = [15.0] * len(marks)
    places = spread([y for y, _ in marks], heights, origin - 1, max(bottom, origin + 15.0 * len(marks)))
    for (y, said), place in zip(marks, places, strict=True):
        arrow(sheet, x, y, 1)
        sheet.line(x, y, x - 8, place, stroke_width=FINE)
        room = x - 10 - left
        sheet.figure(x - 10, place + 3.5, said, 10.0, room, "end")
