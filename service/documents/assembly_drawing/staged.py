"""Prepares an assembly for drawing: its ends, its wire, and the position of each column on the sheet."""

from __future__ import annotations

from dataclasses import dataclass

from pricing.model import Quote, QuotedAssembly
from pricing.units import parse_length
from service.documents.rig.ends import End, end_of, free_wire
from service.documents.speech import Speech
from service.documents.svg.fittings.axis import TALL, Axis, laid

AXIS, NAMES, NAMES_ROOM = 342.0, 398.0, 154.0  # px: the assembly's axis, the label column and its width
MEASURED, FINISHED, STOPS, THREADS = 182.0, 206.0, 314.0, 372.0  # px: dimension lines
_LEAST_WIRE = 5.5  # px: fittings are as broad as their wire lets them be
_USUAL_WIRE = 5.0  # mm, if the wire's size cannot be read


@dataclass(frozen=True, slots=True)
class Stage:
    """An assembly laid out on its axis, whose zero is at the stage's top; ends and wire together take about `tall` px."""

    quote: Quote
    assembly: QuotedAssembly
    upper: End
    lower: End
    free: float
    wire: float
    speech: Speech
    tall: float = TALL

    @property
    def ends(self) -> tuple[End, End]:
        """The upper and the lower end."""
        return self.upper, self.lower

    def placed(self, axis: Axis) -> tuple[tuple[End, float, int], tuple[End, float, int]]:
        """Each end with the position of its outermost bearing, px, and the direction of the wire from there."""
        return (self.upper, axis.top, 1), (self.lower, axis.bottom, -1)

    @property
    def length(self) -> float:
        """The length between the outermost bearings as drawn, mm."""
        return self.upper.depth + self.free + self.lower.depth

    def axis(self, top: float) -> Axis:
        """The axis with its upper bearing at `top`."""
        marks = [float(stop.centre_from_upper_bearing.mm) for stop in self.assembly.stops]
        return laid(top, self.upper.clear, self.lower.clear, self.length, marks, self.tall)

    def read(self, axis: Axis) -> tuple[float, float]:
        """Where the reading began and ended, px: that need not be the bearings."""
        return axis.y(float(self.upper.read_from)), axis.y(axis.length - float(self.lower.read_from))

    def drawn_wire(self, axis: Axis) -> float:
        """The wire's diameter as drawn, mm: never too thin to be seen."""
        return max(self.wire, _LEAST_WIRE / axis.scale)


def staged(quote: Quote, assembly: QuotedAssembly, speech: Speech, tall: float = TALL) -> Stage | None:
    """The assembly, prepared for drawing; None if it is on hold."""
    upper, lower = end_of(assembly, "upper"), end_of(assembly, "lower")
    free = free_wire(assembly)
    return None if free is None else Stage(quote, assembly, upper, lower, float(free), wire_size(assembly), speech, tall)


def wire_size(assembly: QuotedAssembly) -> float:
    """The wire's diameter in mm, for drawing."""
    if assembly.wire is None:
        return _USUAL_WIRE
    try:
        return float(parse_length(assembly.wire.size))
    except ValueError:
        return _USUAL_WIRE
