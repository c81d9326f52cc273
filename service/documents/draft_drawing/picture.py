"""The drawing of a wire as far as a draft describes it: upper end on top, symbols of usual size, the wire broken; never to scale, and without
any cut length.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from service.documents.assembly_drawing.wire import length_of_wire
from service.documents.speech import Speech
from service.documents.svg.fittings import dimensions, labels, usual
from service.documents.svg.fittings.hardware import HARDWARE
from service.documents.svg.fittings.pen import FINE, LINE, Pen
from service.documents.svg.fittings.terminals import sketch_of
from service.documents.svg.fittings.usual import WIRE

from .asking import Span, asked_parts, span_asked, total_asked
from .parts import Chain, Part, chain, wire
from .reading import ENDS, ReadTo, Values, read_to, value_at
from .shapes import WIDTH, Shapes
from .words import label, reading_sentences, sentence_of

AXIS, NAMES, NAMES_ROOM, HERE, MARK = 92.0, 136.0, 102.0, 14.0, 122.0  # px: the wire's axis, the labels, two dimension lines
_MARGIN, _FREE, _STOP, _BALL = 24.0, 52.0, 14.0, 4.0  # px; the wire between both ends, and how much more of it for each stop
_LETTERS = 10.0
_HALF, _LEAST = 24.0, 24.0  # px: half the width of a part's box, and its least height


class Picture(NamedTuple):
    """A drawing: its size in px, its shapes, its parts with their boxes, and its text alternative."""

    width: float
    height: float
    shapes: list[dict[str, Any]]
    parts: list[dict[str, Any]]
    says: str


@dataclass(frozen=True, slots=True)
class Laid:
    """An end on the sheet: `zero` is its outermost bearing, px from the top, and `way` the direction of the wire from there."""

    chain: Chain
    zero: float
    way: int

    def y(self, along: float) -> float:
        """A place that many mm from the outermost bearing."""
        return self.zero + self.way * along

    def height(self, read: ReadTo) -> float:
        """Where a reading to this place ends."""
        member = self.chain.read_on(read).member
        assert member is not None  # noqa: S101  # nothing is read to a bare end
        start = self.chain.last_thread if member.sizes.get("neck") else member.start
        return self.y(start + usual.along(member.kind, read.datum))


def picture(values: Values, asked: str, speech: Speech) -> Picture:
    """Draw what a draft describes so far, with the place that is asked about marked."""
    ends = _laid(values, speech)
    upper, lower = ends
    body = wire(values, speech)
    stops = [_stop(place, speech, each) for place, each in enumerate(value_at(values, "stops") or [])]
    parts = [*upper.chain.parts, body, *stops, *reversed(lower.chain.parts)]
    sheet = Shapes()
    boxes = _boxes(ends, parts)
    _wire(sheet, ends, parts.index(body), body)
    _stops(sheet, ends, parts, stops)
    for end in ends:
        _members(sheet, end, parts)
    labels_of = [(place, labels.Label(sum(boxes[place][1::2]) / 2, AXIS + WIRE / 2, label(part))) for place, part in enumerate(parts)]
    height = max(lower.zero + _MARGIN, _lettered(sheet, labels_of, lower.zero + _MARGIN))
    marked = asked_parts(asked, parts)
    _marks(sheet, ends, asked, [boxes[place] for place in marked], speech)
    reads = {end.chain.end: read_to(values, end.chain.end) for end in ends}
    said = [sentence_of(part, speech, asked=place in marked) for place, part in enumerate(parts)]
    whole = list(said)
    if total_asked(asked):
        _from_here_to_here(sheet, ends, reads, speech)
        whole += reading_sentences(reads, [end.chain for end in ends], values, speech)
    part_documents = [
        {"pointer": part.pointer, "says": said[place], "known": part.known, "asked": place in marked, "box": _area(boxes[place])}
        for place, part in enumerate(parts)
    ]
    return Picture(WIDTH, round(height, 1), sheet.shapes, part_documents, " ".join(whole))


def _laid(values: Values, speech: Speech) -> tuple[Laid, Laid]:
    upper, lower = (chain(end, values, speech) for end in ENDS)
    free = _FREE + _STOP * len(value_at(values, "stops") or []) + _covered(upper) + _covered(lower)
    return Laid(upper, _MARGIN, 1), Laid(lower, _MARGIN + upper.depth + free + lower.depth, -1)


def _covered(end: Chain) -> float:
    return end.clear - end.depth


def _stop(place: int, speech: Speech, values: Any) -> Part:
    about = f"/stops/{place}"
    return Part(about, (about,), speech.say("Ball stop %(number)s", number=place + 1), "", value_at(values, "position") is not None)


def _boxes(ends: Sequence[Laid], parts: Sequence[Part]) -> list[tuple[float, float, float, float]]:
    """The box of each part: left, top, right, bottom."""
    upper, lower = ends
    clear = upper.y(upper.chain.clear), lower.y(lower.chain.clear)
    stops = [part for part in parts if part.about[0].startswith("/stops/")]
    found = []
    for part in parts:
        end = next((each for each in ends if part in each.chain.parts), None)
        if part.member is not None and end is not None:
            edges = sorted(end.y(each) for each in (part.member.start, part.member.end))
        elif end is not None:
            edges = sorted((end.zero, end.zero + end.way * _LEAST))
        elif part in stops:
            y = _stop_at(clear, len(stops), stops.index(part))
            edges = [y - _STOP / 2, y + _STOP / 2]
        else:
            edges = list(clear)
        found.append((AXIS - _HALF, edges[0], AXIS + _HALF, edges[1]))
    return found


def _area(box: tuple[float, float, float, float]) -> list[float]:
    """What may be pressed for a part: x, y, width and height, never too low for a finger."""
    left, top, right, bottom = box
    more = max(0.0, _LEAST - (bottom - top)) / 2
    return [round(each, 1) for each in (left, top - more, right - left, bottom - top + 2 * more)]


def _stop_at(clear: tuple[float, float], count: int, place: int) -> float:
    top, bottom = clear
    return bottom - (bottom - top) * (count - place) / (count + 2)


def _wire(sheet: Shapes, ends: Sequence[Laid], place: int, body: Part) -> None:
    """The wire, broken in the upper half, above its stops; a bare end beyond its mouth."""
    top, bottom = (end.y(end.chain.depth) for end in ends)
    upper, lower = (end.y(end.chain.clear) for end in ends)
    with sheet.of(place, known=body.known, named="wire" if body.known else ""):
        length_of_wire(sheet, AXIS, WIRE, (top, bottom), [upper + min(_FREE / 3, (lower - upper) / 3)])


def _stops(sheet: Shapes, ends: Sequence[Laid], parts: Sequence[Part], stops: Sequence[Part]) -> None:
    upper, lower = (end.y(end.chain.clear) for end in ends)
    for place, part in enumerate(stops):
        with sheet.of(parts.index(part), known=part.known):
            y = _stop_at((upper, lower), len(stops), place)
            sheet.shape("circle", cx=AXIS, cy=y, r=_BALL, fill="#fff", stroke="#000", stroke_width=LINE)


def _members(sheet: Shapes, end: Laid, parts: Sequence[Part]) -> None:
    """Draw the members of an end, from the top of the sheet down."""
    for part in end.chain.parts if end.way > 0 else reversed(end.chain.parts):
        member = part.member
        if member is None:
            continue
        pen = Pen(sheet, AXIS, end.y(member.start), end.way, 1.0, WIRE)
        if part.turned:
            pen = Pen(sheet, AXIS, end.y(member.start + member.sizes.get("whole", member.length)), -end.way, 1.0, WIRE)
        with sheet.of(parts.index(part), known=part.known):
            (HARDWARE.get(member.kind) or sketch_of(member.kind))(pen, member)


def _lettered(sheet: Shapes, named: Sequence[tuple[int, labels.Label]], bottom: float) -> float:
    """Write the labels beside their parts; returns where the last of them ends."""
    before = len(sheet.shapes)
    only = [each for _, each in named]
    foot = max(bottom, labels.tall(only, NAMES_ROOM) + 4)
    labels.draw(sheet, only, NAMES, NAMES_ROOM, (2.0, foot))
    place = -1
    for shape in sheet.shapes[before:]:
        place += shape["shape"] == "line" and shape["x1"] == round(AXIS + WIRE / 2, 1)
        shape["part"] = named[place][0]
    return foot


def _marks(sheet: Shapes, ends: Sequence[Laid], asked: str, boxes: Sequence[tuple[float, float, float, float]], speech: Speech) -> None:
    """Mark what is asked for: a length by its dimension, anything else by a frame."""
    spans = [(end, span) for end in ends for span in span_asked(asked, end.chain)]
    with sheet.of(named="mark"):
        for end, span in spans:
            _span(sheet, end, span)
        for left, top, right, bottom in () if spans else boxes:
            sheet.rect(left, top - 2, right - left, bottom - top + 4, fill="none", stroke="#000", stroke_width=LINE)


def _span(sheet: Shapes, end: Laid, span: Span) -> None:
    edges = sorted(end.y(each) for each in span)
    for y in edges:
        dimensions.extension(sheet, y, AXIS + WIRE, MARK)
    dimensions.standing(sheet, MARK, *edges)


def _from_here_to_here(sheet: Shapes, ends: Sequence[Laid], reads: dict[str, ReadTo | None], speech: Speech) -> None:
    """The length asked for, between the places that its datums name; an end whose place is not known has no arrow."""
    with sheet.of(named="here"):
        found = list(_ends_of_reading(ends, reads))
        for end, y in found:
            dimensions.extension(sheet, y, AXIS, HERE)
            words = speech.say("from here") if end.way > 0 else speech.say("to here")
            sheet.text(HERE + 6, y - 4 if end.way > 0 else y + _LETTERS + 1, words, _LETTERS, AXIS - HERE - 20)
        if len(found) == len(ends):
            dimensions.standing(sheet, HERE, found[0][1], found[1][1])
        else:
            for end, y in found:
                sheet.line(HERE, y, HERE, y + end.way * _MARGIN, stroke_width=FINE)
                dimensions.arrow(sheet, HERE, y, -end.way)


def _ends_of_reading(ends: Sequence[Laid], reads: dict[str, ReadTo | None]) -> Iterator[tuple[Laid, float]]:
    for end in ends:
        if (read := reads[end.chain.end]) is not None:
            yield end, end.height(read)
