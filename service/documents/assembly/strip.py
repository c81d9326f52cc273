"""The wire as it is cut, beside the assembly: its length, and from which cut end each mark is made."""

from __future__ import annotations

from dataclasses import dataclass

from service.documents.cutting.spread import spread
from service.documents.drafting.sheet import Sheet
from service.documents.rig import words
from service.documents.rig.ends import End
from service.documents.rig.terms import Document
from service.documents.sketch import dimensions
from service.documents.sketch.axis import Axis
from service.documents.sketch.pen import FINE

from .wire import length_of_wire

X, LINE_X, TEXT, ROOM = 56.0, 32.0, 70.0, 97.0
OVER = 26.0  # px that the wire may reach beyond the drawing where its ends are longer than what they are made into
TWO_LINES = 27.0


@dataclass(frozen=True, slots=True)
class Mark:
    """A place on the cut wire with its figure and what it is."""

    y: float
    figure: str
    said: str


def strip(sheet: Sheet, document: Document, assembly: Document, axis: Axis, ends: tuple[End, End], span: tuple[float, float]) -> None:
    """Draw the cut wire, its length, and the marks, their lettering within the span."""
    upper, lower = ends
    marks_at = (axis.y(upper.depth), axis.y(axis.length - lower.depth))
    whole = (marks_at[0] - upper.taken * axis.scale, marks_at[1] + lower.taken * axis.scale)
    top, bottom = max(whole[0], axis.top - OVER), min(whole[1], axis.bottom + OVER)
    breaks = [
        *axis.breaks,
        *([(top + marks_at[0]) / 2] if top > whole[0] else []),
        *([(bottom + marks_at[1]) / 2] if bottom < whole[1] else []),
    ]
    sheet.open("g", class_="cut-wire")
    length_of_wire(sheet, X, 3.0, (top, bottom), sorted(breaks))
    sheet.close("g")
    for y in (top, bottom):
        sheet.line(X + 5, y, LINE_X - 4, y, stroke_width=FINE)
        sheet.line(X - 5, y, X + 5, y, stroke_width=1.6)
    dimensions.measured(sheet, LINE_X, top, bottom, f"cut {assembly['cut_length']['text']}", bold=True)
    marks = _marks(document, assembly, axis, ends)
    places = spread([mark.y for mark in marks], [TWO_LINES] * len(marks), *span)
    for mark, place in zip(marks, places, strict=True):
        sheet.line(X - 4, mark.y, X + 4, mark.y, stroke_width=1.2, class_="mark")
        sheet.line(X + 4, mark.y, TEXT - 2, place, stroke_width=FINE)
        sheet.figure(TEXT, place - 2, mark.figure, 10.0, ROOM)
        sheet.text(TEXT, place + 10, mark.said, 9.0, ROOM)


def _marks(document: Document, assembly: Document, axis: Axis, ends: tuple[End, End]) -> list[Mark]:
    units = document["display_units"]
    upper, lower = ends
    found = [Mark(axis.y(upper.depth), words.figure(f"{upper.taken:.3f}", units), f"{entry(upper)}, from top")]
    found += [
        Mark(
            axis.y(float(stop["centre_from_upper_bearing"]["mm"])),
            stop["centre_from_upper_cut_end"]["text"],
            f"stop {stop['stop']}, from top",
        )
        for stop in assembly["stops"]
    ]
    found.append(Mark(axis.y(axis.length - lower.depth), words.figure(f"{lower.taken:.3f}", units), f"{entry(lower)}, from foot"))
    return sorted(found, key=lambda mark: mark.y)


def entry(end: End) -> str:
    """What the wire between a cut end and its mark becomes."""
    if end.bare is not None:
        return "bare"
    if any(member.kind == "thimble eye" for member in end.members):
        return "eye"
    return "bore"


def figures(document: Document, assembly: Document, ends: tuple[End, End]) -> list[str]:
    """The marks in words."""
    units = document["display_units"]
    stops = [f"stop {stop['stop']} at {stop['centre_from_upper_cut_end']['text']} from the upper cut end" for stop in assembly["stops"]]
    both = [f"{end.name} end, {entry(end)}: {words.figure(f'{end.taken:.3f}', units)}" for end in ends]
    return [both[0], *stops, both[1]]
