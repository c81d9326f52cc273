"""A column of labels beside the drawing, each with a leader to what it names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.documents.cutting.spread import spread
from service.documents.drafting.lettering import Line, sentence, shown, width, wrap
from service.documents.drafting.sheet import Sheet

from .pen import FINE

SIZE = 10.0
_LEADING = 12.5
_APART = 5.0
_MOST_LINES = 4


@dataclass(frozen=True, slots=True)
class Label:
    """What is said, and where its leader starts (px). `strong` is set first, in bold."""

    y: float
    x: float
    said: str
    strong: str = ""

    def lines(self, room: float) -> tuple[list[Line], list[Line]]:
        """Bold lines and the others."""
        bold = wrap(sentence(self.strong), room, SIZE, bold=True, most=2) if self.strong else []
        return bold, wrap(sentence(self.said), room, SIZE, most=_MOST_LINES) if self.said else []

    def height(self, room: float) -> float:
        """Room it takes in the column, with what keeps it apart, px."""
        return sum(map(len, self.lines(room))) * _LEADING + _APART


def tall(labels: Sequence[Label], room: float) -> float:
    """The least height of a column that holds them."""
    return sum(label.height(room) for label in labels)


def draw(sheet: Sheet, labels: Sequence[Label], left: float, room: float, span: tuple[float, float]) -> None:
    """Labels in order of their leaders, none touching another, between the two ends of the span."""
    ordered = sorted(labels, key=lambda label: label.y)
    heights = [label.height(room) for label in ordered]
    places = spread([label.y for label in ordered], heights, *span)
    for label, middle, height in zip(ordered, places, heights, strict=True):
        sheet.line(label.x, label.y, left - 14, middle, stroke_width=FINE, class_="leader")
        sheet.line(left - 14, middle, left - 4, middle, stroke_width=FINE, class_="leader")
        baseline = middle - (height - _APART) / 2 + 0.8 * _LEADING
        bold, plain = label.lines(room)
        for line, strong in [*((each, True) for each in bold), *((each, False) for each in plain)]:
            sheet.text_as(left, baseline, line.set, line.whole, SIZE, min(room, width(shown(line.set), SIZE, strong) + 2), bold=strong)
            baseline += _LEADING
