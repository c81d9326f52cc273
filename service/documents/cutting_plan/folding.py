"""Groups a plan into bars, runs of pieces and call-outs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

Document = dict[str, Any]


def mm(length: Document) -> float:
    """A document's length in mm, for drawing only."""
    return float(length["mm"])


@dataclass(frozen=True, slots=True)
class Run:
    """Adjacent cuts that give the same piece: same label, boat, quote and length."""

    cuts: tuple[Document, ...]

    @property
    def steps(self) -> str:
        """The step, or the first and last steps."""
        first, last = self.cuts[0]["step"], self.cuts[-1]["step"]
        return f"{first}" if first == last else f"{first}–{last}"

    @property
    def label(self) -> str:
        """The piece's label (an assembly's tag)."""
        return str(self.cuts[0]["label"])

    @property
    def boat(self) -> str:
        """The boat's name, or empty."""
        return str(self.cuts[0]["boat"] or "")

    @property
    def length(self) -> str:
        """The length of one piece in the shop's units, with the number of pieces."""
        each = str(self.cuts[0]["length"]["text"])
        return each if len(self.cuts) == 1 else f"{len(self.cuts)} × {each}"

    @property
    def span(self) -> tuple[float, float]:
        """Start and end, mm."""
        return mm(self.cuts[0]["start"]), mm(self.cuts[-1]["end"])


@dataclass(frozen=True, slots=True)
class Bar:
    """Stock objects with identical cuts, represented by the first; at most `most` cuts of each are drawn."""

    uses: tuple[Document, ...]
    most: int

    @property
    def use(self) -> Document:
        """The object that is drawn."""
        return self.uses[0]

    @property
    def cuts(self) -> Sequence[Document]:
        """The cuts that are drawn."""
        drawn: Sequence[Document] = self.use["cuts"][: self.most]
        return drawn

    @property
    def undrawn(self) -> int:
        """How many cuts of one object are not drawn."""
        return len(self.use["cuts"]) - len(self.cuts)

    @property
    def runs(self) -> list[Run]:
        """The drawn cuts, with equal neighbours grouped."""
        return [Run(tuple(cuts)) for _, cuts in groupby(self.cuts, key=_same_piece)]


def _same_piece(cut: Document) -> tuple[object, ...]:
    return cut["label"], cut["boat"], cut["quote"], cut["length"]["mm"]


def _pattern(use: Document) -> tuple[object, ...]:
    cuts = tuple((*_same_piece(cut), cut["start"]["mm"], cut["end"]["mm"]) for cut in use["cuts"])
    return use["stock"], use["source"], use["length"]["mm"], use["used"]["mm"], use["remnant_kept"], use.get("remnant_goes_to"), cuts


def folded(uses: Sequence[Document], most_cuts: int) -> list[Bar]:
    """One bar for all objects of a stock row that give the same pieces at the same positions, in the order of their first objects."""
    alike: dict[tuple[object, ...], list[Document]] = {}
    for use in uses:
        alike.setdefault(_pattern(use), []).append(use)
    return [Bar(tuple(group), most_cuts) for group in alike.values()]
