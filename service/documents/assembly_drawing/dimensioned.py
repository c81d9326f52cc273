"""The assembly's dimension lines: measured, finished, stops from the upper bearing, exposed threads.

The extension lines of a bearing begin in the part, at the bearing itself, so that nobody takes the outline for it.
"""

from __future__ import annotations

from pricing.model import Length
from service.documents.svg.fittings import dimensions
from service.documents.svg.fittings.axis import Axis
from service.documents.svg.fittings.pen import FINE
from service.documents.svg.fittings.shanks import ROD
from service.documents.svg.lettering import sentence, width, wrap
from service.documents.svg.paper import Sheet

from .staged import AXIS, FINISHED, MEASURED, STOPS, THREADS, Stage

_HERE = (9.0, 8.0, 7.5)  # sizes of the words at the bearings
_APART = 2.0  # px between them and the line
_CLOSE = 18.0  # px: another line that runs closer outside leaves them no room there


def dimensioned(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    """Draw all dimension lines."""
    _overall(sheet, stage, axis)
    _from_here_to_here(sheet, stage, axis)
    _stops(sheet, stage, axis)
    half = ROD * stage.drawn_wire(axis) * axis.scale
    for end, zero, way in stage.placed(axis):
        for member in end.members:
            if member.kind == "thread":
                edges = sorted(zero + way * along * axis.scale for along in (member.start, member.end))
                for edge in edges:
                    dimensions.extension(sheet, edge, AXIS + half + dimensions.GAP, THREADS)
                dimensions.standing(sheet, THREADS, *edges)


def _overall(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    """Draw the overall dimensions. The measured length ends where it was read, which need not be the bearing."""
    target, measured = stage.assembly.target_length, stage.assembly.measured_length
    bearings = (axis.top, axis.bottom) if target else ()
    start, end = stage.read(axis)
    read = (start, end) if measured else ()
    for y in bearings:
        dimensions.extension(sheet, y, AXIS - 8, FINISHED)
    if target:
        dimensions.measured(sheet, FINISHED, axis.top, axis.bottom, _said(stage, "finished %(length)s", target), bold=True, clear_of=read)
    for y in read:
        dimensions.extension(sheet, y, FINISHED if y in bearings else AXIS - 8, MEASURED)
    if measured:
        dimensions.measured(sheet, MEASURED, start, end, _said(stage, "measured %(length)s", measured))


def _from_here_to_here(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    """Write at both bearings where to measure from and to; where there is none to be finished, where it was measured."""
    reads = stage.read(axis) if stage.assembly.measured_length else ()
    if stage.assembly.target_length:
        ends = (axis.top, axis.bottom)
    elif reads:
        ends = reads
    else:
        return
    for y, way, message in ((ends[0], -1, "measure from here"), (ends[1], 1, "to here")):
        beyond = [read for read in reads if 0 < (read - y) * way < _CLOSE]
        said, stops = stage.speech.say(message), bool(stage.assembly.stops)
        right = STOPS - 8 if stops else AXIS - sign_at(stage, axis) - 14
        inside = bool(beyond) and not stops
        left = FINISHED + 4
        _words(sheet, said, (left, right), max([y, *beyond], key=lambda each: each * way) if stops else y, -way if inside else way)


def _words(sheet: Sheet, said: str, room: tuple[float, float], y: float, way: int) -> None:
    """Write words that end at the right of their room, above (`way` -1) or below (1) the line at `y`; on two lines if they must."""
    left, right = room
    size = next((each for each in _HERE if width(said, each) + 2 <= right - left), _HERE[-1])
    lines = wrap(sentence(said), right - left - 2, size)
    first = y + 0.75 * size + _APART if way > 0 else y - 0.22 * size - _APART - 1.1 * size * (len(lines) - 1)
    for place, line in enumerate(lines):
        wide = min(right - left, width(line.set, size) + 2)
        sheet.text_as(right, first + 1.1 * size * place, line.set, line.whole, size, wide, "end")


def sign_at(stage: Stage, axis: Axis) -> float:
    """How far left of the axis the outermost bearing's sign points at the part, px."""
    return max(2.6 * stage.drawn_wire(axis) * axis.scale, 14.0)


def _said(stage: Stage, message: str, length: Length) -> str:
    return stage.speech.say(message, length=stage.speech.local(length.text))


def _stops(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    marks = sorted(
        (axis.y(float(stop.centre_from_upper_bearing.mm)), stage.speech.local(stop.centre_from_upper_bearing.text))
        for stop in stage.assembly.stops
    )
    for y, _ in marks:
        sheet.line(AXIS - 10, y, STOPS - 3, y, stroke_width=FINE)
    dimensions.running(sheet, STOPS, axis.top, marks, FINISHED + 4, axis.bottom)
