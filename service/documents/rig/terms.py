"""The derivation of a quoted assembly, looked up by step. Millimetres are floats here: they place lines, no text is made of them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Document = dict[str, Any]
_LENGTH = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)(?: mm)?")


@dataclass(frozen=True, slots=True)
class Step:
    """One term of the derivation."""

    name: str
    mm: float
    source: str
    formula: str
    inputs: Mapping[str, str]

    def given(self, name: str) -> float:
        """An input of the formula, mm (or a plain number); 0 where the document has none such."""
        found = _LENGTH.fullmatch(self.inputs.get(name, ""))
        return float(found[1]) if found else 0.0


class Steps:
    """All terms of one assembly."""

    def __init__(self, assembly: Document) -> None:
        self.every = tuple(
            Step(row["step"], float(row["mm"]), row["source"], row["formula"], row["inputs"]) for row in assembly["derivation"]
        )

    def all(self, *names: str) -> tuple[Step, ...]:
        """The terms of these names, in their order."""
        return tuple(step for step in self.every if step.name in names)

    def first(self, *names: str) -> Step | None:
        """The first of them."""
        return next(iter(self.all(*names)), None)

    def sum(self, *names: str) -> float:
        """What they add, mm."""
        return sum(step.mm for step in self.all(*names))


def mm_of(length: Document | None) -> float | None:
    """A document's length in mm."""
    return None if length is None else float(length["mm"])
