"""Drawings for the guides, as SVG made here: a terminal of each family with its dimensions, under the names that its table has for them.

They are not to scale. The wire comes from the right; what a length counts from (the bearing) is the heavy stroke on the left. Dimension lines
after ISO 129-1 (from memory), as in the service's other drawings.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

Point = tuple[float, float]
WIDTH = 700
_SHANK_TOP, _SHANK_BOTTOM, _AXIS = 120.0, 160.0, 140.0
_MOUTH, _BOTTOM_OF_BORE, _SHANK = 540.0, 360.0, 320.0


class Pen:
    """Collects the shapes of one drawing."""

    def __init__(self) -> None:
        self._shapes: list[str] = []
        self.lowest, self.highest = 0.0, 1000.0

    def _add(self, *ys: float, shape: str) -> None:
        self.lowest, self.highest = max(self.lowest, *ys), min(self.highest, *ys)
        self._shapes.append(shape)

    def line(self, start: Point, end: Point, width: float = 2, dashes: str = "") -> None:
        """A straight line."""
        more = f' stroke-dasharray="{dashes}"' if dashes else ""
        self._add(
            start[1], end[1],
            shape=f'<line x1="{start[0]:g}" y1="{start[1]:g}" x2="{end[0]:g}" y2="{end[1]:g}" stroke="currentColor" stroke-width="{width:g}"{more}/>',
        )  # fmt: skip

    def outline(self, points: Iterable[Point], dashes: str = "") -> None:
        """A closed outline."""
        listed = list(points)
        more = f' stroke-dasharray="{dashes}"' if dashes else ""
        said = " ".join(f"{x:g},{y:g}" for x, y in listed)
        self._add(*(y for _, y in listed), shape=f'<polygon points="{said}" fill="none" stroke="currentColor" stroke-width="2"{more}/>')

    def circle(self, middle: Point, radius: float, dashes: str = "") -> None:
        """A circle."""
        more = f' stroke-dasharray="{dashes}"' if dashes else ""
        x, y = middle
        self._add(
            y + radius, shape=f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}" fill="none" stroke="currentColor" stroke-width="2"{more}/>'
        )

    def words(self, at: Point, text: str, anchor: str = "middle") -> None:
        """Lettering."""
        self._add(
            at[1] + 4,
            shape=f'<text x="{at[0]:g}" y="{at[1]:g}" font-size="14" text-anchor="{anchor}" fill="currentColor">{escape(text)}</text>',
        )

    def along(self, left: float, right: float, y: float, name: str, start: float = _SHANK_BOTTOM) -> None:
        """A dimension along the axis, below it or above, with extension lines from `start`."""
        way = 1 if y > start else -1
        for x in (left, right):
            self.line((x, start + 6 * way), (x, y + 6 * way), 0.8)
        self.line((left, y), (right, y), 0.8)
        self._arrow((left, y), -1, 0)
        self._arrow((right, y), 1, 0)
        self.words(((left + right) / 2, y - 5), name)

    def across(self, x: float, top: float, bottom: float, name: str, start: float, side: int = 1) -> None:
        """A dimension across the axis, with its name beside it: to its right (1) or to its left (-1)."""
        way = 1 if x > start else -1
        for y in (top, bottom):
            self.line((start + 4 * way, y), (x + 6 * way, y), 0.8)
        if bottom - top > 26:
            self.line((x, top), (x, bottom), 0.8)
            self._arrow((x, top), 0, -1)
            self._arrow((x, bottom), 0, 1)
        else:  # arrows from outside, where there is no room between
            self.line((x, top - 16), (x, bottom + 16), 0.8)
            self._arrow((x, top), 0, 1)
            self._arrow((x, bottom), 0, -1)
        self.words((x + 8 * side, (top + bottom) / 2 + 5), name, "start" if side > 0 else "end")

    def _arrow(self, tip: Point, along: int, across: int) -> None:
        x, y = tip
        back = (x - 9 * along, y - 9 * across)
        left, right = (back[0] + 2.5 * across, back[1] + 2.5 * along), (back[0] - 2.5 * across, back[1] - 2.5 * along)
        self._shapes.append(
            f'<polygon points="{x:g},{y:g} {left[0]:g},{left[1]:g} {right[0]:g},{right[1]:g}" fill="currentColor" stroke="none"/>'
        )

    def bearing(self, x: float, top: float, bottom: float) -> None:
        """The surface that a length counts from."""
        self.line((x, top), (x, bottom), 6)

    def svg(self, description: str) -> str:
        """The drawing as SVG, with its description as text alternative."""
        top = self.highest - 24
        height = self.lowest + 16 - top
        return f'<svg viewBox="0 {top:g} {WIDTH} {height:g}" role="img" aria-label="{escape(description)}" class="drawing">{"".join(self._shapes)}</svg>'


def _barrel(pen: Pen, bearing: float, *, shank: float = _SHANK) -> None:
    """The shank with its bore and wire, and the two dimensions that every terminal has: reach and depth."""
    pen.outline([(shank, _SHANK_TOP), (_MOUTH, _SHANK_TOP), (_MOUTH, _SHANK_BOTTOM), (shank, _SHANK_BOTTOM)])
    for y in (_AXIS - 9, _AXIS + 9):
        pen.line((_BOTTOM_OF_BORE, y), (_MOUTH, y), 1.4, "6 4")
        pen.line((_MOUTH, y), (640, y), 1.4)
    pen.line((_BOTTOM_OF_BORE, _AXIS - 9), (_BOTTOM_OF_BORE, _AXIS + 9), 1.4, "6 4")
    pen.along(_BOTTOM_OF_BORE, _MOUTH, 205, "depth")
    pen.along(bearing, _MOUTH, 245, "reach")
    pen.words((610, _AXIS - 16), "wire")


def _hole(pen: Pen, *, jaw: bool) -> None:
    """A head with a hole, seen along the pin, and below it from the side: a jaw's two cheeks, or a tongue."""
    pen.outline([(_SHANK, 110), (190, 105), (150, 108), (128, 124), (122, _AXIS), (128, 156), (150, 172), (190, 175), (_SHANK, 170)])
    pen.circle((165, _AXIS), 20)
    pen.circle((163, _AXIS), 17, "4 3")
    pen.bearing(145, 130, 150)
    _barrel(pen, 145)
    pen.across(100, 120, 160, "hole", 160, -1)
    pen.along(122, 145, 80, "tip", 104)
    pen.words((240, 96), "pin (dashed): its diameter")
    top, bottom = (300.0, 372.0) if jaw else (322.0, 350.0)
    if jaw:
        pen.outline(
            [
                (122, top),
                (_SHANK, top),
                (_SHANK, bottom),
                (122, bottom),
                (122, bottom - 20),
                (270, bottom - 20),
                (270, top + 20),
                (122, top + 20),
            ]
        )
        pen.across(90, top + 20, bottom - 20, "jaw", 122, -1)
        pen.across(60, top, bottom, "jaw_over", 122, -1)
    else:
        pen.outline([(122, top), (_SHANK, top), (_SHANK, bottom), (122, bottom)])
        pen.across(90, top, bottom, "tongue", 122, -1)
    for y in (top, bottom):
        pen.line((_SHANK, 316 if y == top else 356), (420, 316 if y == top else 356))
    pen.line((165, top - 8), (165, bottom + 8), 0.8, "12 3 3 3")
    pen.words((480, 341), "the same, from the side", "start")


def fork() -> Pen:
    """A fork."""
    pen = Pen()
    _hole(pen, jaw=True)
    return pen


def eye() -> Pen:
    """An eye."""
    pen = Pen()
    _hole(pen, jaw=False)
    return pen


def toggle() -> Pen:
    """A toggle: measured as a fork, to the outer pin."""
    pen = Pen()
    _hole(pen, jaw=True)
    pen.circle((265, _AXIS), 14)
    pen.words((265, 200), "inner joint")
    return pen


def stud() -> Pen:
    """A threaded stud."""
    pen = Pen()
    pen.outline([(120, 122), (_SHANK, 122), (_SHANK, 158), (120, 158)])
    pen.outline([(120, 126), (100, 132), (100, 148), (120, 154)])
    for x in range(130, 290, 12):
        pen.line((x, 122), (x + 7, 158), 0.8)
    pen.bearing(120, 122, 158)
    _barrel(pen, 120)
    pen.along(120, 290, 80, "thread_length", 120)
    pen.along(100, 120, 50, "plain_tip", 120)
    pen.words((205, 182), "thread, hand")
    return pen


def tee() -> Pen:
    """A tee."""
    pen = Pen()
    pen.outline([(_SHANK, 126), (190, 126), (190, 90), (150, 98), (150, 182), (190, 190), (190, 154), (_SHANK, 154)])
    pen.bearing(190, 92, 124)
    pen.bearing(190, 156, 188)
    _barrel(pen, 190)
    pen.words((200, 80), "its shoulder, which seats in the mast")
    return pen


def ball() -> Pen:
    """A ball, in its socket."""
    pen = Pen()
    pen.circle((175, _AXIS), 45)
    pen.line((216, 122), (_SHANK, 122))
    pen.line((216, 158), (_SHANK, 158))
    pen.line((202, 60), (202, 104), 1.4)
    pen.line((202, 176), (202, 220), 1.4)
    pen.bearing(202, 96, 104)
    pen.bearing(202, 176, 184)
    _barrel(pen, 202)
    pen.across(100, 95, 185, "ball", 175, -1)
    pen.across(270, 104, 176, "slot", 202)
    pen.words((212, 72), "the socket, on a ring of the ball", "start")
    return pen


def shank() -> Pen:
    """A shank before and after swaging."""
    pen = Pen()
    pen.outline([(220, 80), (520, 80), (520, 130), (220, 130)])
    for y in (95, 115):
        pen.line((270, y), (520, y), 1.4, "6 4")
        pen.line((520, y), (620, y), 1.4)
    pen.across(170, 80, 130, "shank_before", 220, -1)
    pen.across(570, 95, 115, "bore", 520)
    pen.along(280, 520, 50, "swaged_length", 80)
    pen.words((120, 40), "before")
    pen.outline([(220, 220), (265, 220), (280, 227), (550, 227), (550, 263), (280, 263), (265, 270), (220, 270)])
    for y in (236, 254):
        pen.line((550, y), (620, y), 1.4)
    pen.across(580, 227, 263, "shank_after", 550)
    pen.words((120, 205), "after: longer and thinner")
    return pen


DRAWINGS: dict[str, Callable[[], Pen]] = {
    "fork": fork, "eye": eye, "toggle": toggle, "stud": stud, "tee": tee, "ball": ball, "shank": shank,
}  # fmt: skip


def drawing(name: str, description: str) -> str:
    """The drawing of that name as SVG. `description`: its text alternative. Raises KeyError."""
    return DRAWINGS[name]().svg(" ".join(description.split()))
