"""Which wire sizes share a terminal, and the pins and threads it is offered with: invented, as is usual in the trade."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from pricing.data.recipes.common import Size
from pricing.data.recipes.wires import break_newtons


@dataclass(frozen=True, slots=True)
class WireClass:
    """One terminal size: the wire sizes that it takes, and the pins and threads offered for it."""

    sizes: tuple[Size, ...]
    pins: tuple[Size, ...]
    threads: tuple[str, ...]

    @property
    def first(self) -> Size:
        """The size that names the class and whose units its dimensions are written in."""
        return self.sizes[0]

    @property
    def mm(self) -> Fraction:
        """The diameter of the thickest wire it takes, mm."""
        return max(size.mm for size in self.sizes)

    @property
    def code(self) -> str:
        """The class in SKUs: its sizes' codes, joined by hyphens."""
        return "-".join(size.code for size in self.sizes)

    @property
    def words(self) -> str:
        """The class in names: `3/16 in or 5 mm`."""
        return " or ".join(size.text for size in self.sizes)

    def strongest(self, constructions: tuple[str, ...]) -> Fraction:
        """The greatest breaking load among the wires it takes, in N."""
        return max(break_newtons(kind, size) for kind in constructions for size in self.sizes)


def _class(sizes: str, pins: str, threads: str) -> WireClass:
    return WireClass(_sizes(sizes), _sizes(pins), tuple(threads.split(", ")))


def _sizes(texts: str) -> tuple[Size, ...]:
    return tuple(Size(text) for text in texts.split(", "))


CLASSES = (
    _class("3/32 in, 2.5 mm", "3/16 in", "1/4-28 UNF"),
    _class("3 mm", "6 mm", "M6 x 1"),
    _class("1/8 in", "1/4 in", "1/4-28 UNF"),
    _class("5/32 in, 4 mm", "5/16 in, 8 mm", "5/16-24 UNF, M8 x 1.25"),
    _class("3/16 in", "3/8 in", "3/8-24 UNF, 5/16-24 UNF"),
    _class("5 mm", "10 mm", "M10 x 1.5, M8 x 1.25"),
    _class("7/32 in", "7/16 in", "7/16-20 UNF, 3/8-24 UNF"),
    _class("6 mm", "12 mm", "M12 x 1.75, M10 x 1.5"),
    _class("1/4 in", "1/2 in", "1/2-20 UNF, 7/16-20 UNF"),
    _class("9/32 in, 7 mm", "1/2 in, 12 mm", "1/2-20 UNF, M12 x 1.75"),
    _class("5/16 in, 8 mm", "5/8 in, 16 mm", "5/8-18 UNF, M16 x 2"),
    _class("3/8 in", "5/8 in", "5/8-18 UNF, 3/4-16 UNF"),
    _class("10 mm", "16 mm", "M16 x 2"),
    _class("7/16 in", "3/4 in", "3/4-16 UNF"),
    _class("12 mm", "16 mm", "M16 x 2"),
    _class("1/2 in", "3/4 in", "3/4-16 UNF"),
)
