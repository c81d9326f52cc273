"""Sizes and words shared by the recipes. Lengths are Fractions in mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil, floor

INVENTED = "invented demo data"
INCH = Fraction(254, 10)
PI = Fraction(355, 113)  # good to a ten-millionth: ample for invented figures, and a fraction

Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class Size:
    """A nominal size as the trade writes it, `3/16 in` or `5 mm`."""

    text: str

    @property
    def inch(self) -> bool:
        """Whether it is an inch size."""
        return self.text.endswith("in")

    @property
    def mm(self) -> Fraction:
        """Millimetres, exact."""
        number, unit = self.text.split(" ")
        return Fraction(number) * (INCH if unit == "in" else 1)

    @property
    def code(self) -> str:
        """The size in SKUs: `3-16IN`, `2.5MM`."""
        return self.text.replace("/", "-").replace(" ", "").upper()


def nearest(value: Fraction, step: Fraction) -> Fraction:
    """Round to the nearest multiple of `step`, half up."""
    return floor(value / step + Fraction(1, 2)) * step


def upward(value: Fraction, step: Fraction) -> Fraction:
    """Round up to a multiple of `step`."""
    return ceil(value / step) * step


def places(value: Fraction, digits: int) -> str:
    """Decimal text with this many decimals, rounded half up."""
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return str(exact.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP))


def fraction_in(mm: Fraction, parts: int) -> str:
    """Text of a length in mm in inches, to the nearest 1/`parts` in: `1 11/64 in`."""
    whole, rest = divmod(nearest(mm / INCH, Fraction(1, parts)), 1)
    words = [str(whole)] if whole or not rest else []
    return " ".join([*words, str(rest)] if rest else words) + " in"


def shop_dim(mm: Fraction, inch: bool, parts: int = 64) -> str:
    """Text of a dimension in the units of its size: a fraction of an inch, or mm to 0.1."""
    return fraction_in(mm, parts) if inch else f"{places(mm, 1)} mm"


def fine_dim(mm: Fraction, inch: bool) -> str:
    """Text of a gauged dimension: inches to 0.001, or mm to 0.01."""
    return f"{places(mm / INCH, 3)} in" if inch else f"{places(mm, 2)} mm"


def grams(value: Fraction) -> str:
    """A mass, to the gram, at least one."""
    return f"{max(1, floor(value + Fraction(1, 2)))} g"


def money(value: Fraction) -> str:
    """A price to the cent."""
    return places(value, 2)


def listing(texts: Sequence[str]) -> str:
    """Texts as one cell of a table, separated by semicolons."""
    return ";".join(texts)


def kilonewtons(newtons: Fraction) -> str:
    """A strength in kN, rounded down to 0.1 kN."""
    return f"{places(Fraction(newtons // 100, 10), 1)} kN"


def pin_hole(pin: Size) -> Row:
    """The hole (pin and clearance) and the distance from the bearing to the outer tip, in the pin's units: invented."""
    hole = fraction_in(pin.mm + INCH / 64, 64) if pin.inch else f"{places(pin.mm + Fraction(4, 10), 1)} mm"
    return {"hole": hole, "tip": shop_dim(pin.mm * Fraction(65, 100), pin.inch, 32)}


WIDE = Fraction(5, 4)  # of a pin: clear width between cheeks, invented
CHEEK = Fraction(35, 100)  # of a pin: how thick each of a jaw's two cheeks is, invented


def jaw_for(pin: Size) -> Row:
    """The jaw of forks and toggles with this pin, clear width 1.25 times the pin, and the width over its cheeks: invented."""
    return {"jaw": shop_dim(pin.mm * WIDE, pin.inch, 32), "jaw_over": shop_dim(pin.mm * (WIDE + 2 * CHEEK), pin.inch, 32)}


def tongue_for(pin: Size) -> Row:
    """An eye or a toggle's tongue is as thick as its pin: invented."""
    return {"tongue": shop_dim(pin.mm, pin.inch, 32)}
