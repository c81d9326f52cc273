"""Numbered call-outs below a bar, and their key. The numbers are the steps of the cuts, as in the bench list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.documents.speech import Speech
from service.documents.svg.lettering import fit, isolated, shown, width
from service.documents.svg.paper import LEFT, RIGHT, ROOM, Sheet

from .folding import Run
from .spread import spread

SIZE = 10.0
ROW = 14.0
_BRACKET = 4.0
_NUMBER = 13.0


@dataclass(frozen=True, slots=True)
class Callouts:
    """The numbers, with the stretch of the bar that each points at (px) and the centre of its own position."""

    labels: tuple[str, ...]
    stretches: tuple[tuple[float, float], ...]
    places: tuple[float, ...]

    @property
    def drop(self) -> float:
        """How far the leaders go down, px: the farther to the side, the deeper, so that they stay apart."""
        aside = max((abs(place - (a + b) / 2) for place, (a, b) in zip(self.places, self.stretches, strict=True)), default=0.0)
        return 8.0 + min(36.0, aside * 0.12)

    @property
    def height(self) -> float:
        """Space needed below the bar, px."""
        return _BRACKET + self.drop + _NUMBER if self.labels else 0.0

    def draw(self, sheet: Sheet, top: float) -> None:
        """Draw bracket, leader and number of each call-out."""
        foot = top + _BRACKET + self.drop
        for label, (a, b), place in zip(self.labels, self.stretches, self.places, strict=True):
            apart = min(1.5, (b - a) / 4)
            sheet.line(a + apart, top + _BRACKET, max(b - apart, a + 0.5), top + _BRACKET, stroke_width=1.4)
            sheet.line((a + b) / 2, top + _BRACKET, place, foot, stroke_width=0.4)
            room = width(label, SIZE) + 1
            sheet.text(place, foot + 9.5, label, SIZE, room, "middle")


def callouts(runs: Sequence[Run], scale: float) -> Callouts:
    """Call-outs for runs too narrow for their own label; if there are too many for the width, neighbours share one."""
    share = 1
    while True:
        groups = [runs[at : at + share] for at in range(0, len(runs), share)]
        labels = [_steps(group) for group in groups]
        widths = [width(label, SIZE) + 7 for label in labels]
        if sum(widths) <= ROOM:
            break
        share += 1
    stretches = [(LEFT + group[0].span[0] * scale, LEFT + group[-1].span[1] * scale) for group in groups]
    places = spread([(a + b) / 2 for a, b in stretches], widths, LEFT, RIGHT)
    return Callouts(tuple(labels), tuple(stretches), tuple(places))


def _steps(group: Sequence[Run]) -> str:
    first, last = group[0].cuts[0]["step"], group[-1].cuts[-1]["step"]
    return f"{first}" if first == last else f"{first}–{last}"


def key(sheet: Sheet, runs: Sequence[Run], speech: Speech) -> None:
    """Draw the key in up to four columns: step, length, label and boat."""
    if not runs:
        return
    steps = max(width(run.steps, SIZE, bold=True) for run in runs) + 8
    lengths = max(width(speech.local(run.length), SIZE) for run in runs) + 8
    names = max(width(_name(run, ROOM), SIZE) for run in runs) + 14
    columns = max(1, min(4, len(runs), int(ROOM / (steps + lengths + names))))
    rows = -(-len(runs) // columns)
    for row in range(rows):
        top = sheet.take(ROW)
        for column, run in enumerate(runs[row::rows]):
            x, each = LEFT + column * ROOM / columns, ROOM / columns
            sheet.text(x + steps - 7, top + 10, run.steps, SIZE, steps - 7, "end", bold=True)
            sheet.text(x + steps, top + 10, speech.local(run.length), SIZE, lengths)
            _named(sheet, run, x + steps + lengths, top + 10, each - steps - lengths - 10)


def _name(run: Run, room: float) -> str:
    """Label and boat within a width, both shortened fairly: space that one leaves unused goes to the other."""
    gap = width(" · ", SIZE)
    boat = fit(run.boat, max((room - gap) / 2, room - gap - width(shown(run.label), SIZE)), SIZE)
    label = fit(run.label, room - (width(boat, SIZE) + gap if boat else 0), SIZE)
    return f"{isolated(label)} · {isolated(boat)}" if boat else isolated(label)


def _named(sheet: Sheet, run: Run, x: float, baseline: float, room: float) -> None:
    whole = f"{run.label} · {run.boat}" if run.boat else run.label
    sheet.text_as(x, baseline, _name(run, room), whole, SIZE, room)
