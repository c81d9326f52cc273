"""An assembly ready to be drawn: its ends read back, its wire, and where on the sheet each column stands."""

from __future__ import annotations

from dataclasses import dataclass

from pricing.units import parse_length
from service.documents.rig.ends import End, end_of, free_wire
from service.documents.rig.terms import Document
from service.documents.sketch.axis import TALL, Axis, laid

from .tongue import ENGLISH, Tongue

AXIS, NAMES, NAMES_ROOM = 342.0, 398.0, 154.0  # px: the assembly's axis, the column of names and its width
MEASURED, FINISHED, STOPS, THREADS = 182.0, 206.0, 314.0, 372.0  # px: dimension lines
_LEAST_WIRE = 3.4  # px
_USUAL_WIRE = 5.0  # mm, where the wire's size is not read


@dataclass(frozen=True, slots=True)
class Stage:
    """An assembly laid on its axis, with the zero of the axis at the stage's top; ends and wire together take about `tall` px."""

    document: Document
    assembly: Document
    upper: End
    lower: End
    free: float
    wire: float
    tongue: Tongue = ENGLISH
    tall: float = TALL
    inward: float = 0.0  # px that the overall dimensions stand nearer to the axis, where nothing stands between

    @property
    def measured_at(self) -> float:
        """Where the dimension line of what was measured stands, px."""
        return MEASURED + self.inward

    @property
    def finished_at(self) -> float:
        """Where that of the finished length stands, px."""
        return FINISHED + self.inward

    @property
    def ends(self) -> tuple[End, End]:
        """Upper and lower."""
        return self.upper, self.lower

    def placed(self, axis: Axis) -> tuple[tuple[End, float, int], tuple[End, float, int]]:
        """Each end with where its outermost bearing stands, px, and which way its wire lies from there."""
        return (self.upper, axis.top, 1), (self.lower, axis.bottom, -1)

    @property
    def length(self) -> float:
        """From outermost bearing to outermost bearing as drawn, mm."""
        return self.upper.depth + self.free + self.lower.depth

    def axis(self, top: float) -> Axis:
        """The axis with its upper bearing at `top`."""
        marks = [float(stop["centre_from_upper_bearing"]["mm"]) for stop in self.assembly["stops"]]
        return laid(top, self.upper.clear, self.lower.clear, self.length, marks, self.tall)

    def drawn_wire(self, axis: Axis) -> float:
        """The wire's diameter as drawn, mm: never thinner than can be seen."""
        return max(self.wire, _LEAST_WIRE / axis.scale)


def staged(document: Document, assembly: Document, tongue: Tongue = ENGLISH, tall: float = TALL, inward: float = 0.0) -> Stage | None:
    """The assembly ready to draw; None on hold."""
    upper, lower = end_of(assembly, "upper"), end_of(assembly, "lower")
    free = free_wire(assembly, upper, lower)
    return None if free is None else Stage(document, assembly, upper, lower, free, wire_size(assembly), tongue, tall, inward)


def wire_size(assembly: Document) -> float:
    """The wire's diameter in mm, for drawing."""
    try:
        return float(parse_length(assembly["wire"]["size"]))
    except (ValueError, TypeError):
        return _USUAL_WIRE
