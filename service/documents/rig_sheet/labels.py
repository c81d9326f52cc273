"""Labels in a column beside a view: the role and the tags of the wires of one place, each with its sign, joined to the wire by a leader line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from service.documents.cutting_plan.spread import spread
from service.documents.rig_sheet.line_kinds import LEADER, SIGN, small_sign
from service.documents.svg.lettering import width
from service.documents.svg.paper import Sheet

_HEADS, _TAGS = (8.0, 7.5, 7.0), (9.0, 8.0)  # px, lettering: a role and a tag are set as large as they go in whole
_HEAD_HIGH, _TAG_HIGH, _APART = 10.0, 11.0, 5.0
_CLEAR = 3.0  # px, between a leader and the label or sign at its end
MOST = 3  # tags of one place; the table has them all


@dataclass(frozen=True, slots=True)
class Label:
    """The label of one place: a role, the readiness and tag of its wires, and how many more there are, in words, or empty."""

    head: str
    rows: tuple[tuple[str, str], ...]
    more: str

    @property
    def height(self) -> float:
        """Px, with the room that keeps it apart from the next."""
        return _HEAD_HIGH + _TAG_HIGH * (len(self.rows) + bool(self.more)) + _APART


@dataclass(frozen=True, slots=True)
class Column:
    """The strip for labels: its left edge and width, px, and whether it is to the left of the drawing."""

    left: float
    width: float
    before: bool

    @property
    def edge(self) -> float:
        """Where leaders begin, px."""
        return self.left + self.width if self.before else self.left

    def text(self, sheet: Sheet, baseline: float, said: str, size: float, inset: float = 0.0, bold: bool = False) -> None:
        """Write a line that begins, or ends, `inset` px from the edge."""
        x, anchor = (self.edge - inset, "end") if self.before else (self.edge + inset, "start")
        sheet.text(x, baseline, said, size, self.width - inset, anchor, bold)


def largest(said: str, room: float, sizes: Sequence[float], bold: bool = False) -> float:
    """The largest of the sizes, in falling order, in which a line goes into its room; the smallest if none does."""
    return next((size for size in sizes if width(said, size, bold) <= room), sizes[-1])


Placed = tuple[Label, tuple[float, float]]  # a label and the point of the drawing that it names


def height(labels: Sequence[Placed]) -> float:
    """The height of labels below each other, px."""
    return sum(label.height for label, _ in labels)


def column(sheet: Sheet, place: Column, labels: Sequence[Placed], top: float, bottom: float) -> None:
    """Draw labels in a column, each as near as possible to the height of what it names."""
    placed = sorted(labels, key=lambda each: (each[1][1], each[1][0]))
    middles = spread([at[1] for _, at in placed], [label.height for label, _ in placed], top, bottom)
    for label, at, middle in _uncrossed(placed, middles, place):
        _label(sheet, place, label, middle - label.height / 2)
        _leader(sheet, place, label, at, middle)


def _uncrossed(placed: list[Placed], middles: list[float], place: Column) -> list[tuple[Label, tuple[float, float], float]]:
    """Labels with the heights of their middles, neighbours that touch exchanged where their leaders would cross."""
    found = [(label, at, middle) for (label, at), middle in zip(placed, middles, strict=True)]
    for _ in placed:
        for place_of in range(len(found) - 1):
            (one, its, high), (other, others, low) = found[place_of], found[place_of + 1]
            touching = low - high - (one.height + other.height) / 2 < 1
            if touching and _cross((place.edge, high), its, (place.edge, low), others):
                top = high - one.height / 2
                found[place_of] = (other, others, top + other.height / 2)
                found[place_of + 1] = (one, its, low + other.height / 2 - one.height / 2)
    return found


def _cross(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    def turn(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> bool:
        return (q[0] - p[0]) * (r[1] - p[1]) > (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, c, d) != turn(b, c, d) and turn(a, b, c) != turn(a, b, d)


def _label(sheet: Sheet, place: Column, label: Label, top: float) -> None:
    """Draw the label; the signs stand at the column's edge, where the leader begins."""
    place.text(sheet, top + _HEADS[0], label.head, largest(label.head, place.width, _HEADS))
    x, baseline = place.edge + (-SIGN if place.before else SIGN) / 2, top + _HEAD_HIGH + _TAGS[0] - 1
    for readiness, tag in label.rows:
        small_sign(sheet, readiness, x, baseline - 3.2)
        place.text(sheet, baseline, tag, largest(tag, place.width - SIGN - 3, _TAGS, bold=True), SIGN + 3, bold=True)
        baseline += _TAG_HIGH
    if label.more:
        place.text(sheet, baseline, label.more, _HEADS[0])


def _leader(sheet: Sheet, place: Column, label: Label, at: tuple[float, float], middle: float) -> None:
    """Draw the leader from the first tag's sign to that on the wire, which it stops short of."""
    x, y = place.edge + (_CLEAR if place.before else -_CLEAR), middle - label.height / 2 + _HEAD_HIGH + _TAGS[0] - 4.2
    across, down = at[0] - x, at[1] - y
    share = max(0.0, 1 - (SIGN / 2 + 1) / max(hypot(across, down), 1.0))
    sheet.line(x, y, x + share * across, y + share * down, class_="leader", **LEADER)
