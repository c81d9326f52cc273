"""A column of labels beside the drawing, each with a leader to what it describes. The leader ends in a dot on what is new, in an open square
on what is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.documents.cutting_plan.spread import spread
from service.documents.svg.lettering import Line, sentence, shown, width, wrap
from service.documents.svg.paper import Sheet

from .pen import FINE, LINE

SIZE = 10.0
_LEADING = 12.5
_APART = 5.0
_MOST_LINES = 8
_SIGN = 3.2  # px, half of its side


@dataclass(frozen=True, slots=True)
class Label:
    """A label's text, and where its leader starts (px). `strong` comes first, in bold. `kept` is None for what is neither new nor kept."""

    y: float
    x: float
    said: str
    strong: str = ""
    kept: bool | None = None

    def lines(self, room: float) -> tuple[list[Line], list[Line]]:
        """The bold lines and the others."""
        bold = wrap(sentence(self.strong), room, SIZE, bold=True, most=2) if self.strong else []
        return bold, wrap(sentence(self.said), room, SIZE, most=_MOST_LINES) if self.said else []

    def height(self, room: float) -> float:
        """The height it takes in the column, including its spacing, px."""
        return sum(map(len, self.lines(room))) * _LEADING + _APART


def tall(labels: Sequence[Label], room: float) -> float:
    """The minimum height of a column that holds these labels."""
    return sum(label.height(room) for label in labels)


def draw(sheet: Sheet, labels: Sequence[Label], left: float, room: float, span: tuple[float, float]) -> None:
    """Draw the labels in the order of their leaders, without overlap, between the two ends of the span."""
    ordered = sorted(labels, key=lambda label: label.y)
    heights = [label.height(room) for label in ordered]
    places = spread([label.y for label in ordered], heights, *span)
    for label, middle, height in zip(ordered, places, heights, strict=True):
        sheet.line(label.x, label.y, left - 14, middle, stroke_width=FINE, class_="leader")
        sheet.line(left - 14, middle, left - 4, middle, stroke_width=FINE, class_="leader")
        if label.kept is not None:
            standing_sign(sheet, label.x, label.y, label.kept)
        baseline = middle - (height - _APART) / 2 + 0.8 * _LEADING
        bold, plain = label.lines(room)
        for line, strong in [*((each, True) for each in bold), *((each, False) for each in plain)]:
            sheet.text_as(left, baseline, line.set, line.whole, SIZE, min(room, width(shown(line.set), SIZE, strong) + 2), bold=strong)
            baseline += _LEADING


def standing_sign(sheet: Sheet, x: float, y: float, kept: bool) -> None:
    """Mark a part as kept, with an open square, or as new, with a dot."""
    if kept:
        sheet.rect(x - _SIGN, y - _SIGN, 2 * _SIGN, 2 * _SIGN, fill="#fff", stroke="#000", stroke_width=LINE, class_="old")
    else:
        sheet.shape("circle", cx=x, cy=y, r=0.75 * _SIGN, class_="new")
