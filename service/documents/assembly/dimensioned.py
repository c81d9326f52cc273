"""The assembly's dimension lines: measured, finished, stops from the upper bearing, exposed threads."""

from __future__ import annotations

from itertools import pairwise

from service.documents.drafting.lettering import width
from service.documents.drafting.sheet import Sheet
from service.documents.rig.terms import Document, mm_of
from service.documents.sketch import dimensions
from service.documents.sketch.axis import Axis
from service.documents.sketch.pen import FINE

from .staged import AXIS, STOPS, THREADS, Stage


def dimensioned(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    """All of them."""
    _overall(sheet, stage, axis)
    _stops(sheet, stage, axis)
    for end, zero, way in stage.placed(axis):
        for member in end.members:
            if member.kind == "thread":
                edges = sorted(zero + way * along * axis.scale for along in (member.start, member.end))
                for edge in edges:
                    dimensions.extension(sheet, edge, AXIS + 8, THREADS)
                dimensions.standing(sheet, THREADS, *edges)


def _overall(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    """The reading stands where it was taken to, which need not be the bearing."""
    target, measured = stage.assembly["target_length"], stage.assembly["measured_length"]
    bearings = (axis.top, axis.bottom) if target else ()
    start, end = axis.y(stage.upper.read_from), axis.y(axis.length - stage.lower.read_from)
    read = (start, end) if measured else ()
    for y in bearings:
        dimensions.extension(sheet, y, AXIS - 8, stage.finished_at)
    if target:
        dimensions.measured(
            sheet, stage.finished_at, axis.top, axis.bottom, _said(stage, "finished %(length)s", target), bold=True, clear_of=read
        )
    for y in read:
        dimensions.extension(sheet, y, stage.finished_at if y in bearings else AXIS - 8, stage.measured_at)
    if measured:
        dimensions.measured(sheet, stage.measured_at, start, end, _said(stage, "measured %(length)s", measured))


def lettering_fits(stage: Stage) -> bool:
    """Whether the finished length can be written along its line without a line through it."""
    target, axis = stage.assembly["target_length"], stage.axis(0.0)
    if not target or not stage.assembly["measured_length"]:
        return True
    reads = (axis.y(stage.upper.read_from), axis.y(axis.length - stage.lower.read_from))
    edges = [axis.top, *sorted(y for y in reads if axis.top < y < axis.bottom), axis.bottom]
    room = width(_said(stage, "finished %(length)s", target), dimensions.SIZE, bold=True) + 6
    return any(below - above >= room for above, below in pairwise(edges))


def _said(stage: Stage, message: str, length: Document) -> str:
    return stage.tongue.say(message, length=stage.tongue.length(length["text"]))


def _stops(sheet: Sheet, stage: Stage, axis: Axis) -> None:
    marks = sorted(
        (axis.y(mm_of(stop["centre_from_upper_bearing"]) or 0.0), stage.tongue.length(stop["centre_from_upper_bearing"]["text"]))
        for stop in stage.assembly["stops"]
    )
    for y, _ in marks:
        sheet.line(AXIS - 10, y, STOPS - 3, y, stroke_width=FINE)
    dimensions.running(sheet, STOPS, axis.top, marks, stage.finished_at + 4, axis.bottom)
