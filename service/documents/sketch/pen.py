"""A pen that draws along a standing axis: `along` counts mm from an end's outermost bearing toward the wire, `across` mm to the right."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.documents.drafting.sheet import Sheet, number

Point = tuple[float, float]
LINE = 1.1  # px, outlines
FINE = 0.6  # px, threads, hidden edges, dimension lines
BEARING = 3.0  # px
DASHES = "4 2.5"


@dataclass(frozen=True, slots=True)
class Pen:
    """`x` is the axis and `y` the zero of `along`, px; `way` is 1 downward and -1 upward; `scale` px a mm; `wire` the wire as drawn, mm."""

    sheet: Sheet
    x: float
    y: float
    way: int
    scale: float
    wire: float

    def moved(self, along: float) -> Pen:
        """The same pen with its zero so many mm nearer the wire."""
        return replace(self, y=self.y + self.way * self.scale * along)

    def at(self, along: float, across: float) -> str:
        """A place, as coordinates of a path."""
        return f"{number(self.x + self.scale * across)} {number(self.y + self.way * self.scale * along)}"

    def outline(self, points: Iterable[Point], closed: bool = True, **values: object) -> None:
        """Straight lines from point to point, white inside where closed."""
        told = {"fill": "#fff" if closed else "none", "stroke": "#000", "stroke_width": LINE, "stroke_linejoin": "round", **values}
        d = "M" + " L".join(self.at(*point) for point in points) + ("Z" if closed else "")
        self.sheet.shape("path", d=d, **told)

    def box(self, start: float, end: float, half: float, **values: object) -> None:
        """A box across the axis."""
        self.outline([(start, -half), (start, half), (end, half), (end, -half)], closed=True, **values)

    def both(self, points: list[Point], **values: object) -> None:
        """A closed outline given by its right half, from outside inward."""
        self.outline([*points, *((along, -across) for along, across in reversed(points))], closed=True, **values)

    def disc(self, along: float, radius: float, **values: object) -> None:
        """A circle on the axis."""
        told = {"fill": "#fff", "stroke": "#000", "stroke_width": LINE, **values}
        self.sheet.shape("circle", cx=self.x, cy=self.y + self.way * self.scale * along, r=self.scale * radius, **told)

    def arc(self, start: Point, radius: float, end: Point, large: bool = False) -> str:
        """The way of an arc that bulges outward of the end, as part of a path; `start` lies on the right."""
        sweep = 0 if self.way > 0 else 1
        return f"A{number(self.scale * radius)} {number(self.scale * radius)} 0 {int(large)} {sweep} {self.at(*end)}"

    def path(self, d: str, **values: object) -> None:
        """A path of ready coordinates."""
        self.sheet.shape("path", d=d, **{"fill": "none", "stroke": "#000", "stroke_width": LINE, **values})

    def bearing(self, along: float, inner: float, outer: float) -> None:
        """A bearing surface on both sides of the axis: a thick line."""
        for side in (-1, 1):
            self.outline(
                [(along, side * inner), (along, side * outer)], closed=False, stroke_width=BEARING, class_="bearing", stroke_linecap="butt"
            )
