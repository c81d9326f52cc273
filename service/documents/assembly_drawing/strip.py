"""The wire as cut, beside the assembly: its length, and each mark measured from a cut end."""

from __future__ import annotations

from dataclasses import dataclass

from service.documents.cutting_plan.spread import spread
from service.documents.rig import words
from service.documents.rig.ends import End
from service.documents.speech import Speech
from service.documents.svg.fittings import dimensions
from service.documents.svg.fittings.axis import Axis
from service.documents.svg.fittings.pen import FINE
from service.documents.svg.lettering import width
from service.documents.svg.paper import Sheet

from .staged import Stage
from .wire import length_of_wire

X, LINE_X, TEXT, ROOM = 56.0, 32.0, 70.0, 97.0
OVER = 21.0  # px by which the wire may extend beyond the drawing if its ends are longer than what they are made into
TWO_LINES = 27.0
_SIZES = (9.0, 8.2, 7.5)


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on the cut wire, with its figure and its meaning."""

    y: float
    figure: str
    meaning: str


def strip(sheet: Sheet, stage: Stage, axis: Axis, span: tuple[float, float]) -> None:
    """Draw the cut wire, its length and its marks, keeping the lettering within the span."""
    upper, lower = stage.ends
    marks_at = (axis.y(upper.depth), axis.y(axis.length - lower.depth))
    whole = (marks_at[0] - float(upper.taken) * axis.scale, marks_at[1] + float(lower.taken) * axis.scale)
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
    cut = stage.assembly.cut_length
    if cut is not None:
        dimensions.measured(sheet, LINE_X, top, bottom, stage.speech.say("cut %(length)s", length=stage.speech.local(cut.text)), bold=True)
    marks = _marks(stage, axis)
    places = spread([mark.y for mark in marks], [TWO_LINES] * len(marks), *span)
    for mark, place in zip(marks, places, strict=True):
        sheet.line(X - 4, mark.y, X + 4, mark.y, stroke_width=1.2, class_="mark")
        sheet.line(X + 4, mark.y, TEXT - 2, place, stroke_width=FINE)
        sheet.figure(TEXT, place - 2, mark.figure, 10.0, ROOM)
        sheet.text(TEXT, place + 10, mark.meaning, next((size for size in _SIZES if width(mark.meaning, size) <= ROOM), _SIZES[-1]), ROOM)


def _marks(stage: Stage, axis: Axis) -> list[Mark]:
    speech, (upper, lower) = stage.speech, stage.ends
    found = [Mark(axis.y(upper.depth), _taken(upper, speech), speech.say("%(what)s, from top", what=entry(upper, speech)))]
    found += [
        Mark(
            axis.y(float(stop.centre_from_upper_bearing.mm)),
            speech.local(stop.centre_from_upper_cut_end.text),
            speech.say("stop %(stop)s, from top", stop=stop.stop),
        )
        for stop in stage.assembly.stops
    ]
    found.append(
        Mark(axis.y(axis.length - lower.depth), _taken(lower, speech), speech.say("%(what)s, from foot", what=entry(lower, speech)))
    )
    return sorted(found, key=lambda mark: mark.y)


def entry(end: End, speech: Speech) -> str:
    """What the wire between a cut end and its mark becomes."""
    if end.bare is not None:
        return speech.say("bare")
    if any(member.kind in ("thimble_eye", "deadeye") for member in end.members):
        return speech.say("eye")
    return speech.say("inserted")


def _taken(end: End, speech: Speech) -> str:
    return words.figure(end.taken, speech)


def description(stage: Stage) -> str:
    """The marks as text."""
    speech = stage.speech
    stops = [
        speech.say(
            "stop %(stop)s at %(length)s from the upper cut end",
            stop=stop.stop,
            length=speech.local(stop.centre_from_upper_cut_end.text),
        )
        for stop in stage.assembly.stops
    ]
    both = [f"{speech.phrase(f'end.{end.name}')}, {entry(end, speech)}: {_taken(end, speech)}" for end in stage.ends]
    return f"{speech.say('Wire to cut')}: {'; '.join([both[0], *stops, both[1]])}."
