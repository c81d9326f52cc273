"""A pen that draws along a vertical axis: `along` counts mm from an end's outermost bearing towards the wire, `across` mm to the right.

Lines after ISO 128-2 (from memory): two widths, wide to narrow as 2 : 1; outlines wide continuous; hidden edges narrow dashed (6 d and 3 d
instead of 12 d and 3 d, since the parts are small); centre lines narrow long-dashed dotted (24 d, 3 d, 1 d, 3 d), those of small holes
narrow continuous. A bearing surface is not of the standard: three wide lines broad, as the legend says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.documents.svg.paper import Sheet, number

Point = tuple[float, float]
LINE = 1.2  # px, outlines
FINE = 0.6  # px, threads, hidden edges, dimension lines, centre lines
BEARING = 3.6  # px
DASHES = "3.6 1.8"
CHAIN = "14.4 1.8 0.6 1.8"
_BEYOND_HOLE = 3.0  # px that the centre lines of a hole reach beyond it


@dataclass(frozen=True, slots=True)
class Pen:
    """`x` is the axis and `y` the zero of `along`, px; `way` is 1 downward and -1 upward; `scale` px per mm; `wire` the wire's
    diameter as drawn, mm.
    """

    sheet: Sheet
    x: float
    y: float
    way: int
    scale: float
    wire: float

    def moved(self, along: float) -> Pen:
        """The same pen with its zero this many mm closer to the wire."""
        return replace(self, y=self.y + self.way * self.scale * along)

    def at(self, along: float, across: float) -> str:
        """A point, as path coordinates."""
        return f"{number(self.x + self.scale * across)} {number(self.y + self.way * self.scale * along)}"

    def outline(self, points: Iterable[Point], closed: bool = True, **values: object) -> None:
        """Draw straight lines from point to point, filled white if closed."""
        attributes = {"fill": "#fff" if closed else "none", "stroke": "#000", "stroke_width": LINE, "stroke_linejoin": "round", **values}
        d = "M" + " L".join(self.at(*point) for point in points) + ("Z" if closed else "")
        self.sheet.shape("path", d=d, **attributes)

    def box(self, start: float, end: float, half: float, **values: object) -> None:
        """Draw a box across the axis."""
        self.outline([(start, -half), (start, half), (end, half), (end, -half)], closed=True, **values)

    def both(self, points: list[Point], **values: object) -> None:
        """Draw a closed, symmetrical outline given by its right half, from the outside inward."""
        self.outline([*points, *((along, -across) for along, across in reversed(points))], closed=True, **values)

    def disc(self, along: float, radius: float, across: float = 0.0, **values: object) -> None:
        """Draw a circle, on the axis unless said otherwise."""
        attributes = {"fill": "#fff", "stroke": "#000", "stroke_width": LINE, **values}
        x, y = self.x + self.scale * across, self.y + self.way * self.scale * along
        self.sheet.shape("circle", cx=x, cy=y, r=self.scale * radius, **attributes)

    def hole(self, along: float, radius: float, across: float = 0.0) -> None:
        """Draw a pin hole as seen along its pin: a circle with its centre lines."""
        self.disc(along, radius, across, class_="hole")
        x, y = self.x + self.scale * across, self.y + self.way * self.scale * along
        reach = self.scale * radius + _BEYOND_HOLE
        for dx, dy in ((reach, 0.0), (0.0, reach)):
            self.sheet.line(x - dx, y - dy, x + dx, y + dy, stroke_width=FINE, class_="centre")

    def centre_line(self, start: float, end: float) -> None:
        """Draw the axis from `start` to `end`."""
        self.outline([(start, 0.0), (end, 0.0)], closed=False, stroke_width=FINE, stroke_dasharray=CHAIN, class_="centre")

    def hidden(self, points: Iterable[Point]) -> None:
        """Draw an edge that is hidden."""
        self.outline(points, closed=False, stroke_width=FINE, stroke_dasharray=DASHES, class_="hidden")

    def arc(self, start: Point, radius: float, end: Point, large: bool = False) -> str:
        """An arc bulging outward from the end, as part of a path; `start` is on the right."""
        sweep = 0 if self.way > 0 else 1
        return f"A{number(self.scale * radius)} {number(self.scale * radius)} 0 {int(large)} {sweep} {self.at(*end)}"

    def path(self, d: str, **values: object) -> None:
        """Draw a path from finished coordinates."""
        self.sheet.shape("path", d=d, **{"fill": "none", "stroke": "#000", "stroke_width": LINE, **values})

    def bearing(self, along: float, inner: float, outer: float) -> None:
        """Draw a bearing surface on both sides of the axis: a thick line."""
        for side in (-1, 1):
            self.outline(
                [(along, side * inner), (along, side * outer)], closed=False, stroke_width=BEARING, class_="bearing", stroke_linecap="butt"
            )
