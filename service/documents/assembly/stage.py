"""The assembly itself, standing: upper end on top, both ends to one scale, wire between, dimensions on the left, names on the right."""

from __future__ import annotations

from service.documents.drafting.lettering import width
from service.documents.drafting.sheet import LEFT, Sheet
from service.documents.rig.ends import Member
from service.documents.sketch import labels
from service.documents.sketch.axis import Axis
from service.documents.sketch.hardware import HARDWARE
from service.documents.sketch.pen import Pen
from service.documents.sketch.terminals import TERMINALS

from .dimensioned import dimensioned
from .named import ball_radius, named
from .remarks import bearing_sign
from .staged import AXIS, MEASURED, NAMES, NAMES_ROOM, Stage
from .strip import OVER, TWO_LINES, strip
from .wire import length_of_wire

_HEAD, _MARGIN, _BELOW = 16.0, 30.0, 41.0  # px; below stand scale and legend
_NARROW = 18.0  # px above and below an assembly that is drawn alone


def draw(sheet: Sheet, stage: Stage) -> Axis:
    """Take room for the stage and draw it."""
    tall = _tall(stage, TWO_LINES * (2 + len(stage.assembly["stops"])), _MARGIN)
    sheet.take_block(_HEAD + tall + 2 * _MARGIN + _BELOW)
    top = sheet.take(_HEAD + tall + 2 * _MARGIN)
    sheet.text(LEFT, top + 11, "Wire to cut", labels.SIZE, 160.0, bold=True)
    sheet.text(MEASURED - 22, top + 11, "Assembly, upper end on top", labels.SIZE, 220.0, bold=True)
    start = top + _HEAD + _MARGIN
    axis = stage.axis(start)
    _assembly(sheet, stage, axis)
    span = (start - _MARGIN + 4, start + tall + _MARGIN - 4)
    strip(sheet, stage.document, stage.assembly, axis, stage.ends, span)
    labels.draw(sheet, named(stage, axis), NAMES, NAMES_ROOM, span)
    return axis


def draw_alone(sheet: Sheet, stage: Stage) -> None:
    """The assembly with its dimensions and names, without the wire that is cut for it."""
    tall = _tall(stage, 0.0, _NARROW)
    start = sheet.take(tall + 2 * _NARROW) + _NARROW
    axis = stage.axis(start)
    _assembly(sheet, stage, axis)
    labels.draw(sheet, named(stage, axis), NAMES, NAMES_ROOM, (start - _NARROW + 2, start + tall + _NARROW - 2))


def _tall(stage: Stage, marks: float, margin: float) -> float:
    """What the assembly takes with its names beside it, and marks that take so much, between two margins, px."""
    axis = stage.axis(0.0)
    return max(axis.bottom, max(labels.tall(named(stage, axis), NAMES_ROOM), marks) - 2 * margin + 8)


def _assembly(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    """Wire, members, stops, bearings and dimensions."""
    sheet.open("g", class_="assembly")
    _wire(sheet, stage, axis)
    for end, y, way in stage.placed(axis):
        pen = Pen(sheet, AXIS, y, way, axis.scale, stage.drawn_wire(axis))
        for member in end.members:
            _sketch(pen, member)
    _balls(sheet, stage, axis)
    sheet.close("g")
    for end, y, _ in stage.placed(axis):
        if end.members:
            bearing_sign(sheet, AXIS - max(2.6 * stage.drawn_wire(axis) * axis.scale, 14.0), y)
    dimensioned(sheet, stage, axis)


def _sketch(pen: Pen, member: Member) -> None:
    sketch = HARDWARE.get(member.kind) or TERMINALS.get(member.kind) or TERMINALS["terminal"]
    pen.sheet.open("g", class_=f"member {member.kind.replace(' ', '-')}")
    sketch(pen.moved(member.start), member)
    pen.sheet.close("g")


def _wire(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    top, bottom = axis.y(stage.upper.depth), axis.y(axis.length - stage.lower.depth)
    edges, breaks = [top, bottom], list(axis.breaks)
    for place, (end, _, way) in enumerate(stage.placed(axis)):
        if end.bare is not None:
            over = min(end.bare * axis.scale, OVER)
            breaks += [edges[place] - way * over / 2] if over < end.bare * axis.scale else []
            edges[place] -= way * over
    length_of_wire(sheet, AXIS, stage.drawn_wire(axis) * axis.scale, (edges[0], edges[1]), sorted(breaks))


def _balls(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    for stop in stage.assembly["stops"]:
        y = axis.y(float(stop["centre_from_upper_bearing"]["mm"]))
        radius = ball_radius(stop, axis)
        sheet.shape("circle", cx=AXIS, cy=y, r=radius, fill="#fff", stroke="#000", stroke_width=1.3, class_="stop")
        sheet.shape("circle", cx=AXIS, cy=y, r=0.9)


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
