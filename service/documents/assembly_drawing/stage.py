"""The assembly itself, drawn upright as it hangs: upper end at the top, both ends to the same scale, wire between, dimensions on the left,
labels on the right. Each fitting is turned so that its pin hole shows.
"""

from __future__ import annotations

from service.documents.rig.ends import Member
from service.documents.svg.fittings import labels
from service.documents.svg.fittings.axis import Axis
from service.documents.svg.fittings.hardware import HARDWARE
from service.documents.svg.fittings.pen import LINE, Pen
from service.documents.svg.fittings.terminals import sketch_of
from service.documents.svg.lettering import sentence, width, wrap
from service.documents.svg.paper import LEFT, Sheet

from .dimensioned import dimensioned, sign_at
from .named import ball_radius, named
from .remarks import bearing_sign
from .staged import AXIS, MEASURED, NAMES, NAMES_ROOM, Stage
from .strip import OVER, TWO_LINES, strip
from .wire import length_of_wire

_HEAD, _MARGIN, _BELOW = 16.0, 25.0, 41.0  # px; scale and legend are below
BROKEN = "Lengths along the fittings are to this scale, breadths are signs, holes turned to be seen; the wire is broken."
TO_SCALE = "Lengths along the fittings are to this scale, breadths are signs, holes turned to be seen; the wire is to scale too."
_BEYOND = 10.0  # px by which a centre line goes beyond the outermost bearing
_LIKENESS = 20.0  # px above and below an assembly without lettering


def draw(sheet: Sheet, stage: Stage) -> Axis:
    """Reserve space for the assembly and draw it."""
    tall = _tall_lettered(stage)
    sheet.take_block(height(stage))
    top = sheet.take(_HEAD + tall + 2 * _MARGIN)
    may_be_cut = stage.assembly.cut_length is not None
    if may_be_cut:
        sheet.text(LEFT, top + 11, stage.speech.say("Wire to cut"), labels.SIZE, 160.0, bold=True)
    sheet.text(MEASURED - 22, top + 11, stage.speech.say("Assembly, upper end on top"), labels.SIZE, 220.0, bold=True)
    start = top + _HEAD + _MARGIN
    axis = stage.axis(start)
    _assembly(sheet, stage, axis)
    span = (start - _MARGIN + 4, start + tall + _MARGIN - 4)
    if may_be_cut:
        strip(sheet, stage, axis, span)
    labels.draw(sheet, named(stage, axis), NAMES, NAMES_ROOM, span)
    return axis


def height(stage: Stage) -> float:
    """What the assembly takes of a sheet, px, with its scale and legend."""
    return _HEAD + _tall_lettered(stage) + 2 * _MARGIN + _BELOW


def _tall_lettered(stage: Stage) -> float:
    return _tall(stage, TWO_LINES * (2 + len(stage.assembly.stops)), _MARGIN)


def draw_likeness(sheet: Sheet, stage: Stage) -> None:
    """Draw the assembly without a word or a figure."""
    axis = stage.axis(_LIKENESS)
    sheet.take(axis.bottom + _LIKENESS)
    _parts(sheet, stage, axis)


def _tall(stage: Stage, marks: float, margin: float) -> float:
    """The height in px of the assembly with the labels beside it and marks of the given height, between two margins."""
    axis = stage.axis(0.0)
    return max(axis.bottom, max(labels.tall(named(stage, axis), NAMES_ROOM), marks) - 2 * margin + 8)


def _assembly(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    """Draw wire, members, stops, bearings and dimensions."""
    _parts(sheet, stage, axis)
    dimensioned(sheet, stage, axis)


def _parts(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    """Draw wire, members, stops and bearings."""
    sheet.open("g", class_="assembly")
    _wire(sheet, stage, axis)
    for end, y, way in stage.placed(axis):
        pen = Pen(sheet, AXIS, y, way, axis.scale, stage.drawn_wire(axis))
        for member in end.members:
            _sketch(pen, member)
        if end.members:
            pen.centre_line(-_BEYOND / axis.scale, end.depth)
    _balls(sheet, stage, axis)
    sheet.close("g")
    for end, y, _ in stage.placed(axis):
        if end.members:
            bearing_sign(sheet, AXIS - sign_at(stage, axis), y)


def _sketch(pen: Pen, member: Member) -> None:
    sketch = HARDWARE.get(member.kind) or sketch_of(member.kind)
    pen.sheet.open("g", class_=f"member {member.kind.replace(' ', '-').replace('_', '-')}")
    sketch(pen.moved(member.start), member)
    pen.sheet.close("g")


def _wire(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    top, bottom = axis.y(stage.upper.depth), axis.y(axis.length - stage.lower.depth)
    edges, breaks = [top, bottom], list(axis.breaks)
    for place, (end, _, way) in enumerate(stage.placed(axis)):
        if end.bare is not None:
            bare = float(end.bare) * axis.scale
            over = min(bare, OVER)
            breaks += [edges[place] - way * over / 2] if over < bare else []
            edges[place] -= way * over
    length_of_wire(sheet, AXIS, stage.drawn_wire(axis) * axis.scale, (edges[0], edges[1]), sorted(breaks))


def _balls(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    for stop in stage.assembly.stops:
        y = axis.y(float(stop.centre_from_upper_bearing.mm))
        radius = ball_radius(stop, axis)
        sheet.shape("circle", cx=AXIS, cy=y, r=radius, fill="#fff", stroke="#000", stroke_width=LINE, class_="stop")
        sheet.shape("circle", cx=AXIS, cy=y, r=0.9)


def scale_bar(sheet: Sheet, stage: Stage, axis: Axis) -> str:
    """Draw a graduated bar, and a sentence on what is to scale. Returns the sentence."""
    units = stage.quote.display_units
    step, count, unit = (25.4, 2, "in") if units == "imperial" else (10.0, 5, "mm")
    top = sheet.take(26)
    for place in range(count):
        x = LEFT + 2 + place * step * axis.scale
        sheet.rect(x, top + 12, step * axis.scale, 4.0, fill="#000" if place % 2 == 0 else "#fff", stroke="#000", stroke_width=0.6)
    end = LEFT + 2 + count * step * axis.scale
    sheet.text(LEFT, top + 9, "0", 9.0, 12.0)
    last = stage.speech.local(f"{count if unit == 'in' else 50} {unit}")
    sheet.text(end, top + 9, last, 9.0, width(last, 9.0) + 2, "middle")
    said = stage.speech.say(BROKEN if axis.broken else TO_SCALE)
    x = end + width(last, 9.0) / 2 + 14
    lines = wrap(sentence(said), sheet.paper.right - x, 9.0)
    for place, line in enumerate(lines):
        sheet.text_as(x, top + 17 + 11 * place - 8 * (len(lines) - 1), line.set, line.whole, 9.0, sheet.paper.right - x)
    return said
