"""The position of each millimetre of an assembly on the sheet: both ends to one scale, long stretches of wire broken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

TALL = 350.0  # px that ends and wire together should take
SCALES = (0.45, 1.5)  # px per mm: minimum and maximum
WHOLE = 0.8  # px per mm from which an assembly is drawn unbroken
_BROKEN = (27.5, 66.0)  # px of a broken stretch, minimum and maximum
_ROOMY = 120.0  # px extra for each if the ends are short: the lettering along the lines needs it
_UNBROKEN = 84.0  # px up to which a stretch is drawn to scale


@dataclass(frozen=True, slots=True)
class Stretch:
    """The wire between two marks, mm from the upper bearing, and the px it takes."""

    start: float
    end: float
    px: float
    broken: bool


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis running down from the upper bearing at `top` px."""

    top: float
    scale: float
    stretches: tuple[Stretch, ...]
    length: float

    def y(self, along: float) -> float:
        """The position of a mark this many mm from the upper bearing."""
        first = self.stretches[0]
        if along <= first.start:
            return self.top + along * self.scale
        y = self.top + first.start * self.scale
        for stretch in self.stretches:
            if along <= stretch.end:
                whole = stretch.end - stretch.start
                return y + (stretch.px * (along - stretch.start) / whole if whole > 0 else 0.0)
            y += stretch.px
        return y + (along - self.stretches[-1].end) * self.scale

    @property
    def bottom(self) -> float:
        """The position of the lower bearing."""
        return self.y(self.length)

    @property
    def breaks(self) -> tuple[float, ...]:
        """The middle of each shortened stretch, px."""
        return tuple(self.y((stretch.start + stretch.end) / 2) for stretch in self.stretches if stretch.broken)

    @property
    def broken(self) -> bool:
        """Whether any stretch is shortened."""
        return any(stretch.broken for stretch in self.stretches)


def laid(top: float, upper: float, lower: float, length: float, marks: Sequence[float], tall: float = TALL) -> Axis:
    """An axis for ends of these depths (mm) on an assembly of that length, with marks on the wire in mm from the upper bearing; about
    `tall` px high.
    """
    places = [upper, *sorted(min(max(mark, upper), length - lower) for mark in marks), max(length - lower, upper)]
    gaps = list(pairwise(places))
    whole = tall / max(length, 1.0)
    if whole >= WHOLE:
        return _axis(top, min(SCALES[1], whole), gaps, length, broken=False)
    least, most = _BROKEN
    each = min(most, max(least, tall / 2 / len(gaps)))
    scale = min(SCALES[1], max(SCALES[0], (tall - each * len(gaps)) / max(upper + lower, 1.0)))
    each += min(_ROOMY, max(0.0, tall - each * len(gaps) - (upper + lower) * scale) / len(gaps))
    return _axis(top, scale, gaps, length, broken=True, each=each)


def _axis(top: float, scale: float, gaps: Sequence[tuple[float, float]], length: float, *, broken: bool, each: float = 0.0) -> Axis:
    most = max(each, _UNBROKEN if len(gaps) < 6 else each)
    stretches = []
    for start, end in gaps:
        long = broken and (end - start) * scale > most
        stretches.append(Stretch(start, end, each if long else (end - start) * scale, long))
    return Axis(top, scale, tuple(stretches), length)
