"""The assembly itself, standing: upper end on top, both ends to one scale, wire between, dimensions on the left, names on the right."""

from __future__ import annotations

from dataclasses import dataclass

from pricing.units import parse_length
from service.documents.drafting.lettering import width
from service.documents.drafting.sheet import LEFT, Sheet
from service.documents.rig import words
from service.documents.rig.ends import End, Member, end_of, free_wire
from service.documents.rig.terms import Document
from service.documents.sketch import dimensions, labels
from service.documents.sketch.axis import Axis, laid
from service.documents.sketch.hardware import HARDWARE
from service.documents.sketch.labels import Label
from service.documents.sketch.pen import FINE, Pen
from service.documents.sketch.terminals import TERMINALS

from .remarks import bearing_sign
from .strip import OVER, TWO_LINES, strip
from .wire import length_of_wire

AXIS, NAMES, NAMES_ROOM = 342.0, 398.0, 154.0
_MEASURED, _FINISHED, _STOPS = 182.0, 206.0, 314.0
_THREADS = 372.0
_HEAD, _MARGIN = 16.0, 30.0
_LEAST_WIRE = 3.4  # px
_USUAL_WIRE = 5.0  # mm, where the wire's size is not read
_BARE = 44.0  # px of bare end drawn


@dataclass(frozen=True, slots=True)
class Stage:
    """An assembly laid on its axis, with the zero of the axis at the stage's top."""

    document: Document
    assembly: Document
    upper: End
    lower: End
    free: float
    wire: float

    @property
    def ends(self) -> tuple[End, End]:
        """Upper and lower."""
        return self.upper, self.lower

    @property
    def length(self) -> float:
        """From outermost bearing to outermost bearing as drawn, mm."""
        return self.upper.depth + self.free + self.lower.depth

    def axis(self, top: float) -> Axis:
        """The axis with its upper bearing at `top`."""
        marks = [float(stop["centre_from_upper_bearing"]["mm"]) for stop in self.assembly["stops"]]
        return laid(top, self.upper.clear, self.lower.clear, self.length, marks)

    def drawn_wire(self, axis: Axis) -> float:
        """The wire's diameter as drawn, mm: never thinner than can be seen."""
        return max(self.wire, _LEAST_WIRE / axis.scale)


def staged(document: Document, assembly: Document) -> Stage | None:
    """The assembly ready to draw; None on hold."""
    upper, lower = end_of(assembly, "upper"), end_of(assembly, "lower")
    free = free_wire(assembly, upper, lower)
    return None if free is None else Stage(document, assembly, upper, lower, free, wire_size(assembly))


def wire_size(assembly: Document) -> float:
    """The wire's diameter in mm, for drawing."""
    try:
        return float(parse_length(assembly["wire"]["size"]))
    except (ValueError, TypeError):
        return _USUAL_WIRE


def draw(sheet: Sheet, stage: Stage) -> Axis:
    """Take room for the stage and draw it."""
    names = _names(stage, stage.axis(0.0))
    axis = stage.axis(0.0)
    marks = TWO_LINES * (2 + len(stage.assembly["stops"]))
    tall = max(axis.bottom, max(labels.tall(names, NAMES_ROOM), marks) - 2 * _MARGIN + 8)
    top = sheet.take(_HEAD + tall + 2 * _MARGIN)
    sheet.text(LEFT, top + 11, "Wire to cut", labels.SIZE, 160.0, bold=True)
    sheet.text(_MEASURED - 22, top + 11, "Assembly, upper end on top", labels.SIZE, 220.0, bold=True)
    start = top + _HEAD + _MARGIN
    axis = stage.axis(start)
    sheet.open("g", class_="assembly")
    _wire(sheet, stage, axis)
    for end, y, way in ((stage.upper, axis.top, 1), (stage.lower, axis.bottom, -1)):
        pen = Pen(sheet, AXIS, y, way, axis.scale, stage.drawn_wire(axis))
        for member in end.members:
            _sketch(pen, member)
    _balls(sheet, stage, axis)
    sheet.close("g")
    for end, y in ((stage.upper, axis.top), (stage.lower, axis.bottom)):
        if end.members:
            bearing_sign(sheet, AXIS - max(2.6 * stage.drawn_wire(axis) * axis.scale, 14.0), y)
    _dimensions(sheet, stage, axis)
    span = (start - _MARGIN + 4, start + tall + _MARGIN - 4)
    strip(sheet, stage.document, stage.assembly, axis, stage.ends, span)
    labels.draw(sheet, _names(stage, axis), NAMES, NAMES_ROOM, span)
    return axis


def _sketch(pen: Pen, member: Member) -> None:
    sketch = HARDWARE.get(member.kind) or TERMINALS.get(member.kind) or TERMINALS["terminal"]
    pen.sheet.open("g", class_=f"member {member.kind.replace(' ', '-')}")
    sketch(pen.moved(member.start), member)
    pen.sheet.close("g")


def _wire(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    top, bottom = axis.y(stage.upper.depth), axis.y(axis.length - stage.lower.depth)
    for end, edge in ((stage.upper, -1), (stage.lower, 1)):
        if end.bare is not None:
            over = min(end.bare * axis.scale, OVER)
            top, bottom = (top - over, bottom) if edge < 0 else (top, bottom + over)
    length_of_wire(sheet, AXIS, stage.drawn_wire(axis) * axis.scale, (top, bottom), axis.breaks)


def _balls(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    for stop in stage.assembly["stops"]:
        y = axis.y(float(stop["centre_from_upper_bearing"]["mm"]))
        radius = max(float(stop["ball"]["mm"]) / 2 * axis.scale, 3.2)
        sheet.shape("circle", cx=AXIS, cy=y, r=radius, fill="#fff", stroke="#000", stroke_width=1.3, class_="stop")
        sheet.shape("circle", cx=AXIS, cy=y, r=0.9)


def _dimensions(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    assembly = stage.assembly
    target, measured = assembly["target_length"], assembly["measured_length"]
    if target:
        for y in (axis.top, axis.bottom):
            dimensions.extension(sheet, y, AXIS - 8, _FINISHED)
        dimensions.measured(sheet, _FINISHED, axis.top, axis.bottom, f"finished {target['text']}", bold=True)
    if measured:
        read = (axis.y(stage.upper.read_from), axis.y(axis.length - stage.lower.read_from))
        for y in read:
            dimensions.extension(sheet, y, AXIS - 8 if not target or y not in {axis.top, axis.bottom} else _FINISHED, _MEASURED)
        dimensions.measured(sheet, _MEASURED, *read, f"measured {measured['text']}")
    stops = [
        (axis.y(float(stop["centre_from_upper_bearing"]["mm"])), stop["centre_from_upper_bearing"]["text"])
        for stop in sorted(assembly["stops"], key=lambda stop: float(stop["centre_from_upper_bearing"]["mm"]))
    ]
    for y, _ in stops:
        sheet.line(AXIS - 10, y, _STOPS - 3, y, stroke_width=FINE)
    dimensions.running(sheet, _STOPS, axis.top, stops, _FINISHED + 4, axis.bottom)
    for y, end in _threads(stage, axis):
        for edge in (y, end):
            dimensions.extension(sheet, edge, AXIS + 8, _THREADS)
        dimensions.standing(sheet, _THREADS, min(y, end), max(y, end))


def _threads(stage: Stage, axis: Axis) -> list[tuple[float, float]]:
    """Where each exposed thread starts and ends, px."""
    found = []
    for end, zero, way in ((stage.upper, axis.top, 1), (stage.lower, axis.bottom, -1)):
        for member in end.members:
            if member.kind == "thread":
                found.append((zero + way * member.start * axis.scale, zero + way * member.end * axis.scale))
    return found


def _names(stage: Stage, axis: Axis) -> list[Label]:
    """Everything that is named, with its leader's start."""
    found: list[Label] = []
    half = stage.drawn_wire(axis) * axis.scale
    for end, zero, way in ((stage.upper, axis.top, 1), (stage.lower, axis.bottom, -1)):
        for member in end.members:
            y = zero + way * (member.start + member.length / 2) * axis.scale
            if member.kind == "thread":
                found.append(_thread_label(stage, end, member, y))
            elif member.said:
                found.append(Label(y, AXIS + half, f"{member.said}{' (kept)' if member.kept else ''}"))
        if end.bare is not None:
            text = words.figure(f"{end.bare:.3f}", stage.document["display_units"])
            found.append(Label(zero - way * 10, AXIS + half / 2, f"End left bare: {text} beyond the old bearing, finished aboard"))
    wire = stage.assembly["wire"]
    widest = max(axis.stretches, key=lambda stretch: stretch.px)
    middle = axis.y((widest.start + widest.end) / 2)
    found.append(Label(middle + (9 if widest.broken else 0), AXIS + half / 2, wire["name"]))
    for stop in stage.assembly["stops"]:
        ball = words.figure(stop["ball"]["mm"], stage.document["display_units"])
        y = axis.y(float(stop["centre_from_upper_bearing"]["mm"]))
        found.append(Label(y, AXIS + max(float(stop["ball"]["mm"]) / 2 * axis.scale, 3.2), f"Stop {stop['stop']}, ball {ball}"))
    return found


def _thread_label(stage: Stage, end: End, member: Member, y: float) -> Label:
    outer = bool(member.sizes["outer"])
    side = end.name if outer else ("upper" if end.name == "lower" else "lower")
    text = stage.assembly["turnbuckle"]["build_setting"][f"{side}_exposed"]["text"]
    return Label(y, _THREADS, f"exposed, {side} screw", text)


def scale_bar(sheet: Sheet, stage: Stage, axis: Axis) -> str:
    """A graduated bar and a sentence on what is to scale. Returns the sentence."""
    units = stage.document["display_units"]
    step, count, unit = (25.4, 2, "in") if units == "imperial" else (10.0, 5, "mm")
    top = sheet.take(26)
    for place in range(count):
        x = LEFT + 2 + place * step * axis.scale
        sheet.rect(x, top + 12, step * axis.scale, 4.0, fill="#000" if place % 2 == 0 else "#fff", stroke="#000", stroke_width=0.6)
    end = LEFT + 2 + count * step * axis.scale
    sheet.text(LEFT, top + 9, "0", 9.0, 12.0)
    last = f"{count if unit == 'in' else 50} {unit}"
    sheet.text(end, top + 9, last, 9.0, width(last, 9.0) + 2, "middle")
    said = "Lengths along the fittings are to this scale, breadths are signs; " + (
        "the wire is broken." if axis.broken else "the wire is to scale too."
    )
    x = end + width(last, 9.0) / 2 + 14
    sheet.text(x, top + 17, said, 9.0, sheet.paper.right - x)
    return said
