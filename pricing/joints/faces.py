"""A member's mating face, and the result of joining two. Lengths and diameters in mm; None if unknown."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from pricing.values import Phrase, Value, Values, phrase

LARGEST_PLAY = Decimal("1.15")  # hole over pin above which the pin rattles: common practice, no source
KINDS = (
    "jaw", "tongue", "bow", "pin", "crown", "thread", "cross_bar", "slot", "ball", "socket", "hook", "ring", "lashing", "bored_plate", "deadeye", "bare",
)  # fmt: skip


def suits(pin: Decimal, hole: Decimal) -> bool:
    """Whether a pin goes through a hole without rattling."""
    return pin <= hole <= pin * LARGEST_PLAY


@dataclass(frozen=True, slots=True)
class Face:
    """One mating face of a member.

    `of` names the member that has it. `pin` is the pin that comes with a jaw or shackle, or that a tongue's hole is for; `hole` is the hole
    that takes it (for a crown: the largest pin that fits). `thick` is the dimension that must fit between the neighbour's cheeks or through
    its hole: a tongue, a thimble's width, the bar of a bow, ring or hook, a tee's shank. `inside` is the clear width of a jaw, shackle or
    slot, `over` the width over a jaw's cheeks. `brings` means that a jaw comes with its pin, `kept` that it is the customer's own. On the
    boat (`boat`), pins stay, and a hole to be redrilled (`drilled`) has no size yet.
    """

    kind: str
    of: Phrase
    pin: Decimal | None = None
    hole: Decimal | None = None
    thick: Decimal | None = None
    inside: Decimal | None = None
    over: Decimal | None = None
    brings: bool = False
    kept: bool = False
    boat: bool = False
    drilled: bool = False

    @property
    def named(self) -> Phrase:
        """The name of the face's kind."""
        return phrase(f"face.{self.kind}")


class PinNeeded(NamedTuple):
    """The clevis pin of a joint: diameter, the width it must span (None: unknown), and whether it is kept along with its jaw."""

    diameter: Decimal
    grip: Decimal | None
    kept: bool


class Joint(NamedTuple):
    """Two faces that mate: `overlap` is subtracted from the sum of both lengths; `pin` must be supplied (None: none, or the boat's own).

    `kind` is for programmers. `unknown` names the sizes that were not given and so could not be checked.
    """

    kind: str
    overlap: Decimal
    pin: PinNeeded | None = None
    unknown: tuple[Phrase, ...] = ()


class Unfit(NamedTuple):
    """Two faces that do not mate: how the finding is worded, and its values. `hole` means that only pin and hole mismatch."""

    wording: str
    values: Values
    hole: bool = False


def unfit(wording: str, *, hole: bool = False, **values: Value) -> Unfit:
    """A misfit with named values."""
    return Unfit(wording, tuple(values.items()), hole)
