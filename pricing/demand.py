"""What is to be priced: articles already counted, a price list, and how the work leaves the shop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from pricing.errors import QuantityError

GROUPS = ("wire", "fitting", "labour")
MILLIMETRE = Decimal("0.001")
HUNDREDTH = Decimal("0.01")
ONE = Decimal(1)
MOST = Decimal(10) ** 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """One article: `quantity` in `unit`, m for wire (rounded half up to 0.001 m before it is priced), each for pieces and operations.

    For wire, `cuts` counts the pieces taken off spools, and `scrap_percent` is its own scrap rate; None: the shop's flat one. `rest` is what
    is left, in metres, of wire bought for the job: its customer pays for it, and no scrap rate besides. None: wire from the shop's stock.
    """

    sku: str
    name: str
    group: str
    quantity: Decimal
    unit: str
    cuts: int = 0
    scrap_percent: Decimal | None = None
    rest: Decimal | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Collect:
    """The customer fetches the work: no freight."""


@dataclass(frozen=True, slots=True)
class Ship:
    """Sent: gross weight in kg, and in mm the diameter of the least coil that the stiffest wire may be bent to."""

    weight_kg: Decimal
    coil_mm: Decimal

    def __str__(self) -> str:
        return f"{self.weight_kg.quantize(HUNDREDTH, ROUND_HALF_UP)} kg, coil of {self.coil_mm.quantize(ONE, ROUND_HALF_UP)} mm"


@dataclass(frozen=True, slots=True)
class Order:
    """All that is priced in one document."""

    demands: tuple[Demand, ...]
    price_list: str
    delivery: Collect | Ship = Collect()


def metres(length: Decimal) -> Decimal:
    """Metres as a line prints them: half up to 0.001 m."""
    return length.quantize(MILLIMETRE, ROUND_HALF_UP)


def printed_quantity(demand: Demand) -> Decimal:
    """The quantity that the line prints and is priced by.

    Raises QuantityError for what is not above zero (after rounding), for a fraction of a piece, and for a unit or group that is unknown.
    """
    if demand.group not in GROUPS or demand.unit not in ("m", "each"):
        raise _refused("unknown_unit", demand, f"is sold by the piece or by m, in a group of {', '.join(GROUPS)}")
    quantity = demand.quantity
    if not quantity.is_finite() or abs(quantity) >= MOST:
        raise _refused("not_a_quantity", demand, "needs a number below a thousand million")
    quantity = metres(quantity) if demand.unit == "m" else quantity.quantize(ONE)
    if quantity <= 0:
        raise _refused("not_positive", demand, "needs a quantity above zero (for wire at least 0.001 m)")
    if demand.unit == "each" and quantity != demand.quantity:
        raise _refused("part_of_a_piece", demand, "is sold in whole pieces")
    return quantity


def check_waste(demand: Demand) -> None:
    """Raises QuantityError for a negative count of cuts, scrap rate or rest, and for any of them on what is not wire by the metre."""
    scrap, rest = demand.scrap_percent, demand.rest
    if demand.cuts < 0 or (scrap is not None and not (scrap.is_finite() and 0 <= scrap <= 100)):
        raise _refused("waste", demand, "has cuts of 0 or more and a scrap rate from 0 to 100 %")
    if rest is not None and not (rest.is_finite() and 0 <= rest < MOST):
        raise _refused("waste", demand, "has a rest of 0 m or more")
    if demand.unit != "m" and (demand.cuts or scrap or rest):
        raise _refused("waste", demand, "is not sold by the metre: it has no cuts, no scrap and no rest")


def check_delivery(delivery: Collect | Ship) -> None:
    """Raises QuantityError for a weight or coil that is no number of zero or more."""
    if isinstance(delivery, Ship):
        for number, unit in ((delivery.weight_kg, "kg"), (delivery.coil_mm, "mm")):
            if not number.is_finite() or not 0 <= number < MOST:
                raise QuantityError("delivery", f"{number} {unit}", "what is sent has a weight and a coil of zero or more")


def check_once(demands: Iterable[Demand]) -> None:
    """Raises QuantityError for an article that stands twice: its quantity break would be looked up on a part of what is bought."""
    seen: set[str] = set()
    for demand in demands:
        if demand.sku in seen:
            raise _refused("counted_twice", demand, "stands twice: add its quantities up first")
        seen.add(demand.sku)


def _refused(code: str, demand: Demand, detail: str) -> QuantityError:
    return QuantityError(code, f"{demand.quantity} {demand.unit}", f"{demand.sku} {detail}")
