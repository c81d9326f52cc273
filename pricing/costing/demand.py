"""The input to pricing: counted articles, a price list, and the kind of delivery."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

from msgspec import Struct

from pricing.errors import QuantityError

if TYPE_CHECKING:
    from pricing.measurement.assembly import Discount, ExtraLine

GROUPS = ("wire", "fitting", "labour")
MILLIMETRE = Decimal("0.001")
HUNDREDTH = Decimal("0.01")
ONE = Decimal(1)
MOST = Decimal(10) ** 9


class Demand(Struct, frozen=True, gc=False, kw_only=True):
    """Demand for one article.

    `quantity` is in `unit`: m for wire (rounded half up to 0.001 m before pricing), each for pieces and operations, hour for work by the hour.
    `own`: one of the shop's own kinds of work. For wire, `cuts` is the number of pieces cut and `scrap_percent` its own scrap rate (None: the
    shop's flat rate). `remnant` is the length in metres left over of wire bought for the job, which the customer pays for instead of scrap;
    None for wire from the shop's stock.
    """

    sku: str
    name: str
    group: str
    quantity: Decimal
    unit: str
    cuts: int = 0
    scrap_percent: Decimal | None = None
    remnant: Decimal | None = None
    note: str = ""
    own: bool = False


@dataclass(frozen=True, slots=True)
class Collect:
    """The customer collects the order: no freight."""


@dataclass(frozen=True, slots=True)
class Ship:
    """The order is shipped: gross weight in kg, and the smallest coil diameter in mm that the stiffest wire may be bent to."""

    weight_kg: Decimal
    coil_mm: Decimal

    def __str__(self) -> str:
        return f"{self.weight_kg.quantize(HUNDREDTH, ROUND_HALF_UP)} kg, coil of {self.coil_mm.quantize(ONE, ROUND_HALF_UP)} mm"


@dataclass(frozen=True, slots=True)
class Order:
    """Everything priced in one document; the last four fields are what the shop adds by hand.

    `work_of_the_boat`: whether the demands include own work requested for the boat as a whole.
    """

    demands: tuple[Demand, ...]
    price_list: str
    delivery: Collect | Ship = Collect()
    extra_lines: tuple[ExtraLine, ...] = ()
    discount: Discount | None = None
    work_of_the_boat: bool = False
    extra_articles: tuple[Demand, ...] = ()


def metres(length: Decimal) -> Decimal:
    """Metres as printed on a line: rounded half up to 0.001 m."""
    return length.quantize(MILLIMETRE, ROUND_HALF_UP)


def printed_quantity(demand: Demand) -> Decimal:
    """The quantity that the line prints and is priced by.

    Raises QuantityError if it is not above zero (after rounding), is a fraction of a piece, or has an unknown unit or group. Hours are not
    rounded.
    """
    if demand.group not in GROUPS or demand.unit not in ("m", "each", "hour"):
        raise _refused("unknown_unit", demand, f"is sold by the piece, by m or by the hour, in a group of {', '.join(GROUPS)}")
    quantity = demand.quantity
    if not quantity.is_finite() or abs(quantity) >= MOST:
        raise _refused("not_a_quantity", demand, "needs a number below a thousand million")
    if demand.unit != "hour":
        quantity = metres(quantity) if demand.unit == "m" else quantity.quantize(ONE)
    if quantity <= 0:
        raise _refused("not_positive", demand, "needs a quantity above zero (for wire at least 0.001 m)")
    if demand.unit == "each" and quantity != demand.quantity:
        raise _refused("part_of_a_piece", demand, "is sold in whole pieces")
    return quantity


def check_waste(demand: Demand) -> None:
    """Raises QuantityError for negative cuts, scrap rate or remnant, and for any of them on anything but wire by the metre."""
    scrap, remnant = demand.scrap_percent, demand.remnant
    if demand.cuts < 0 or (scrap is not None and not (scrap.is_finite() and 0 <= scrap <= 100)):
        raise _refused("waste", demand, "has cuts of 0 or more and a scrap rate from 0 to 100 %")
    if remnant is not None and not (remnant.is_finite() and 0 <= remnant < MOST):
        raise _refused("waste", demand, "has a remnant of 0 m or more")
    if demand.unit != "m" and (demand.cuts or scrap or remnant):
        raise _refused("waste", demand, "is not sold by the metre: it has no cuts, no scrap and no remnant")


def check_delivery(delivery: Collect | Ship) -> None:
    """Raises QuantityError unless weight and coil are finite numbers of zero or more."""
    if isinstance(delivery, Ship):
        for number, unit in ((delivery.weight_kg, "kg"), (delivery.coil_mm, "mm")):
            if not number.is_finite() or not 0 <= number < MOST:
                raise QuantityError("delivery", f"{number} {unit}", "what is sent has a weight and a coil of zero or more")


def check_once(demands: Iterable[Demand]) -> None:
    """Raises QuantityError for duplicate articles: the quantity break would be looked up for only part of what is bought."""
    seen: set[str] = set()
    for demand in demands:
        if demand.sku in seen:
            raise _refused("counted_twice", demand, "stands twice: add its quantities up first")
        seen.add(demand.sku)


def _refused(code: str, demand: Demand, detail: str) -> QuantityError:
    return QuantityError(code, f"{demand.quantity} {demand.unit}", f"{demand.sku} {detail}")
