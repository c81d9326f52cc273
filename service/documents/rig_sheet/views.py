"""The two views of a rig, of one set of points: each mast from abaft, looking forward, and the whole boat from starboard.

Each view is named beside it, as ISO 128-3:2020 has it for views that are not laid out by projection (from memory). That from starboard is an
oblique projection (ISO 5456-3, from memory): the port side stands beyond and above, so that its wires do not fall on those of starboard.
A ship's profile is drawn with the bow to the right (common practice).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import dist

from pricing.model import QuotedAssembly
from service.documents.rig_sheet.labels import Column, Placed, column, height
from service.documents.rig_sheet.line_kinds import GROUND, OF_WIRE, drawn, small_sign
from service.documents.rig_sheet.masts import SPRIT, Mast, Rig
from service.documents.rig_sheet.places import BOOM, STEM, UPPER, Point, deck_edge, stanchions
from service.documents.rig_sheet.standing import Standing
from service.documents.speech import Speech
from service.documents.svg.paper import Sheet

Px = tuple[float, float]
Shown = Callable[[Point], Px]
FROM_ABAFT = "%(mast)s from abaft, looking forward"
FROM_STARBOARD = "From starboard, the bow to the right; the port side stands beyond, drawn higher"
TITLE, _SIDES = 10.0, 10.0  # px, lettering
_TOP, _HULL = 34.0, 22.0  # px, for a view's name, and below its deck
_GUTTER = 14.0  # px, between labels and what is drawn
_BESIDE, _ALONG = 3.0, 11.0  # px, between the lines, and the signs, of one place
_MAST = 2.0  # px, half a mast
_LIFT, _LONG = 0.16, 1.26  # the port edge above the starboard one, as a share of the height; the length that is drawn, of the deck's
_BROAD = 2.7  # in half breadths: what is drawn from abaft


class Frame:
    """A view's place on the sheet: its left edge, width, top and bottom, px, with a column of labels on each side."""

    def __init__(self, left: float, width: float, top: float, bottom: float) -> None:
        share = 0.24 if width > 400 else 0.31
        self.left, self.width, self.top, self.bottom = left, width, top, bottom
        self.before = Column(left, share * width, before=True)
        self.after = Column(left + (1 - share) * width, share * width, before=False)
        self.room = width - 2 * share * width - 2 * _GUTTER

    @property
    def middle(self) -> float:
        """Half way across, px."""
        return self.left + self.width / 2

    @property
    def high(self) -> float:
        """From the deck to the highest masthead, px."""
        return self.bottom - self.top - _TOP - _HULL - 6


def least(places: Sequence[Standing], speech: Speech) -> float:
    """The height that a view needs for its labels, in px, however they are shared out."""
    placed: list[Placed] = [(each.label(speech), (0.0, 0.0)) for each in places]
    if places and places[0].athwart:
        port = [each for each, place in zip(placed, places, strict=True) if place.first.side == "port"]
        return _TOP + max(height(port), height(placed) - height(port))
    return _TOP + height(placed) / 2 + max((label.height for label, _ in placed), default=0.0)


def fitting(places: Sequence[Standing], frame: Frame, speech: Speech) -> tuple[list[Standing], list[QuotedAssembly]]:
    """The places whose labels fit beside a view, in their order, and the wires of the others."""
    room = frame.bottom - frame.top - _TOP
    heights = [place.label(speech).height for place in places]
    # Both columns together take labels in any proportion, but a label is not divided between them.
    left = {"port": room, "starboard": room} if places[0].athwart else {"both": 2 * room - max(heights)}
    kept, crowded = list[Standing](), list[QuotedAssembly]()
    for place, high in zip(places, heights, strict=True):
        column_of = place.first.side or "" if place.athwart else "both"
        if high > left[column_of]:
            crowded += place.wires
        else:
            left[column_of] -= high
            kept.append(place)
    return kept, crowded


def from_abaft(sheet: Sheet, frame: Frame, mast: Mast, places: Sequence[Standing], speech: Speech) -> None:
    """One mast with what is led athwart."""
    half, deck = min(frame.room / _BROAD, 0.4 * frame.high), frame.bottom - _HULL

    def shown(point: Point) -> Px:
        return frame.middle + half * point.athwart, deck - frame.high * point.up / mast.head

    named = speech.phrase(f"mast.{mast.name}", "named")
    sheet.open("g", class_=f"view abaft {mast.name}")
    sheet.text(frame.left, frame.top + TITLE, speech.say(FROM_ABAFT, mast=named[:1].upper() + named[1:]), TITLE, frame.width, bold=True)
    for side, place in (("port", frame.before), ("starboard", frame.after)):
        said = speech.phrase(f"side.{side}").upper()
        place.text(sheet, frame.top + 26, said, _SIDES, bold=True)
    _section(sheet, mast, shown)
    placed = _wires(sheet, places, shown, speech)
    port = [each for each, place in zip(placed, places, strict=True) if place.first.side == "port"]
    starboard = [each for each, place in zip(placed, places, strict=True) if place.first.side != "port"]
    for place, labels in ((frame.before, port), (frame.after, starboard)):
        column(sheet, place, labels, frame.top + _TOP, frame.bottom)
    sheet.close("g")


def _section(sheet: Sheet, mast: Mast, shown: Shown) -> None:
    """The mast, its spreaders, and the hull in section."""
    sheet.open("g", class_="ground")
    _mast(sheet, shown(Point(0.0, 0.0, 0.0)), shown(Point(0.0, 0.0, mast.head)))
    for out, up in mast.tips:
        drawn(sheet, [shown(Point(0.0, side * out, up * mast.head)) for side in (-1, 1)], GROUND)
    (left, deck), (right, _) = shown(Point(0.0, -1.06, 0.0)), shown(Point(0.0, 1.06, 0.0))
    bilge, keel = 0.25 * (right - left), deck + _HULL - 4
    drawn(
        sheet,
        [
            (left, deck),
            (left + 4, deck + 9),
            (left + bilge, keel),
            (right - bilge, keel),
            (right - 4, deck + 9),
            (right, deck),
            (left, deck),
        ],
        GROUND,
    )
    sheet.close("g")


def _mast(sheet: Sheet, foot: Px, head: Px) -> None:
    sheet.rect(foot[0] - _MAST, head[1], 2 * _MAST, foot[1] - head[1], **{**GROUND, "fill": "#fff"})


def from_starboard(sheet: Sheet, frame: Frame, rig: Rig, places: Sequence[Standing], speech: Speech) -> None:
    """The whole boat with what is led along it."""
    lift = _LIFT * frame.high
    long, high = frame.room / _LONG, frame.high - lift / 2
    start, deck = frame.middle - 0.52 * long, frame.bottom - _HULL

    def shown(point: Point) -> Px:
        return start + long * point.along, deck - high * point.up - lift * (1 - point.athwart) / 2

    sheet.open("g", class_="view starboard")
    sheet.text(frame.left, frame.top + TITLE, speech.say(FROM_STARBOARD), TITLE, frame.width, bold=True)
    _profile(
        sheet, rig, shown, {each.first.side for each in places if each.first.role.startswith("lifeline") or each.first.role == "gate_wire"}
    )
    placed = _wires(sheet, places, shown, speech)
    aft, forward = _shared(placed, frame)
    column(sheet, frame.before, aft, frame.top + _TOP, frame.bottom)
    column(sheet, frame.after, forward, frame.top + _TOP, frame.bottom)
    sheet.close("g")


def _shared(placed: Sequence[Placed], frame: Frame) -> tuple[list[Placed], list[Placed]]:
    """Labels aft and forward of the middle; of too many on one side those nearest to the middle go to the other."""
    order = sorted(placed, key=lambda each: each[1][0])
    at, room = sum(each[1][0] < frame.middle for each in order), frame.bottom - frame.top - _TOP
    while at > 0 and height(order[:at]) > room:
        at -= 1
    while at < len(order) and height(order[at:]) > room:
        at += 1
    return order[:at], order[at:]


def _profile(sheet: Sheet, rig: Rig, shown: Shown, railed: set[str | None]) -> None:
    """The deck's edges, the hull below them, bowsprit, masts, booms, and stanchions on the sides that have lifelines."""
    sheet.open("g", class_="ground")
    port, starboard = (list(map(shown, [*deck_edge(side), Point(1.0, 0.0, 0.0)])) for side in (-1.0, 1.0))
    (left, deck), (right, bow), (stem, _) = starboard[0], starboard[-1], shown(Point(*STEM))
    drawn(sheet, [*port, *reversed(starboard), port[0]], GROUND)
    drawn(sheet, [(left, deck), (left + 10, deck + _HULL - 6), (stem - 8, deck + _HULL - 6), (stem, bow + 12), (right, bow)], GROUND)
    if rig.bowsprit:
        drawn(sheet, [shown(Point(0.95, 0.0, 0.0)), shown(Point(SPRIT, 0.0, 0.05))], GROUND)
    for mast in rig.masts:
        drawn(sheet, [shown(Point(mast.foot, 0.0, BOOM)), shown(Point(mast.boom, 0.0, BOOM))], GROUND)
        _mast(sheet, shown(Point(mast.foot, 0.0, 0.0)), shown(Point(mast.foot, 0.0, mast.head)))
    for side, out in (("port", -1.0), ("starboard", 1.0)):
        for foot in stanchions(out) if side in railed else ():
            drawn(sheet, [shown(foot), shown(foot._replace(up=UPPER + 0.01))], GROUND)
    sheet.close("g")


def _wires(sheet: Sheet, places: Sequence[Standing], shown: Shown, speech: Speech) -> list[Placed]:
    """Draw the wires, then their signs over them; of places with more than one readiness a line for each, side by side."""
    placed: list[Placed] = []
    signs: list[tuple[str, Px]] = []
    for place in places:
        strokes = [list(map(shown, stroke)) for stroke in place.course.strokes]
        for at, kind in enumerate(place.kinds):
            beside = [_beside(stroke, at * _BESIDE) for stroke in strokes]
            sheet.open("g", class_=f"wire {place.first.role} {place.first.side or 'centre'} line-{kind}")
            for stroke in beside:
                drawn(sheet, stroke, OF_WIRE[kind])
            sheet.close("g")
            signs.append((kind, _along(beside[0], place.course.mark, at * _ALONG)))
        placed.append((place.label(speech), signs[-len(place.kinds)][1]))
    for kind, (x, y) in signs:
        small_sign(sheet, kind, x, y)
    return placed


def _beside(stroke: list[Px], aside: float) -> list[Px]:
    """The line moved aside: down where it is rather level, else across."""
    (x, y), (end, low) = stroke[0], stroke[-1]
    level = abs(end - x) > abs(low - y)
    return [(px, py + aside) if level else (px + aside, py) for px, py in stroke]


def _along(stroke: list[Px], share: float, more: float) -> Px:
    """The point at a share of the line's length and so many px further, at most its end."""
    left = share * sum(dist(one, other) for one, other in pairwise(stroke)) + more
    for one, other in pairwise(stroke):
        long = dist(one, other)
        if left <= long:
            return one[0] + left / long * (other[0] - one[0]), one[1] + left / long * (other[1] - one[1])
        left -= long
    return stroke[-1]
