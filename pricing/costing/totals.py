"""Document totals by the calculation rules of EN 16931-1:2017, 6.4: lines, allowances, charges, tax by category, payable.

BR-... are rule numbers of the standard, BT- and BG- numbers its terms. Every amount is rounded once where it arises (a line, a percentage,
the tax of one category and rate) and only added afterwards, so the totals always reconcile to the minor unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import InitVar, dataclass, field
from decimal import Decimal

from msgspec import Struct

from pricing.money import MoneyError, exact_money, extension, percent_of, round_money

ZERO = Decimal(0)
ONE = Decimal(1)
TAXED = frozenset({"S"})
UNTAXED = frozenset({"Z", "E", "AE", "K", "G", "O"})
FREE_RATE = frozenset({"L", "M"})


class Adjustment(Struct, frozen=True, gc=False, kw_only=True):
    """An allowance (BG-27) or charge (BG-28) on a line. `code` is from UNCL5189 for an allowance, UNCL7161 for a charge.

    If `percent` and `base_amount` are given, `amount` must match them; use `percentage` to build one.
    """

    charge: bool
    reason: str
    amount: Decimal
    percent: Decimal | None = None
    base_amount: Decimal | None = None
    code: str | None = None


class DocumentAdjustment(Adjustment, frozen=True, gc=False, kw_only=True):
    """A document-level allowance (BG-20) or charge (BG-21), with its own tax category and rate (percent)."""

    category: str
    rate: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line (BG-25). `amount` is quantity x price / base quantity, rounded once; `net` (BT-131) adds charges and subtracts allowances.

    `net_price` is per `base_quantity` of `unit`, `rate` in percent. `currency` is used only for rounding and is not stored. Raises
    MoneyError for a negative price (BR-27), a base quantity that is not positive, or an adjustment that does not match its percentage.
    """

    id: str
    name: str = ""
    quantity: Decimal
    unit: str
    net_price: Decimal
    base_quantity: Decimal = ONE
    category: str
    rate: Decimal
    adjustments: tuple[Adjustment, ...] = ()
    note: str = ""
    currency: InitVar[str]
    amount: Decimal = field(init=False)
    net: Decimal = field(init=False)

    def __post_init__(self, currency: str) -> None:
        if self.net_price < 0 or self.base_quantity <= 0:
            raise MoneyError("price", f"line {self.id}: a price is never negative and its base quantity is above zero")
        amount = net = extension(self.quantity, self.net_price, self.base_quantity, currency)
        for item in self.adjustments:
            net += _signed(item, currency)
        object.__setattr__(self, "amount", amount)
        object.__setattr__(self, "net", net)


@dataclass(frozen=True, slots=True)
class TaxShare:
    """Tax for one category and rate (BG-23): `rate` in percent, the taxable amount (BT-116) and the tax (BT-117)."""

    category: str
    rate: Decimal
    taxable: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Totals:
    """Document totals (BG-22), all in whole minor units of the currency."""

    lines: Decimal
    allowances: Decimal
    charges: Decimal
    tax_exclusive: Decimal
    tax: tuple[TaxShare, ...]
    tax_amount: Decimal
    tax_inclusive: Decimal
    prepaid: Decimal
    payable_rounding: Decimal
    payable: Decimal


def percentage(base_amount: Decimal, percent: Decimal, currency: str, *, charge: bool, reason: str, code: str | None = None) -> Adjustment:
    """A line allowance or charge of `percent` percent of `base_amount`, rounded once to the minor unit of `currency`."""
    amount = percent_of(base_amount, percent, currency)
    return Adjustment(charge=charge, reason=reason, amount=amount, percent=percent, base_amount=base_amount, code=code)


def total(
    lines: Sequence[Line],
    adjustments: Sequence[DocumentAdjustment],
    currency: str,
    prepaid: Decimal = ZERO,
    payable_rounding: Decimal = ZERO,
) -> Totals:
    """Document totals by EN 16931-1:2017 BR-CO-10 to BR-CO-17 and BR-S-08; a document without lines comes to zero.

    Raises MoneyError for an amount finer than the minor unit, and for a rate that its category does not allow.
    """
    line_sum = exact_money(sum((line.net for line in lines), ZERO), currency)  # BR-CO-10
    allowances = exact_money(sum((a.amount for a in adjustments if not a.charge), ZERO), currency)  # BR-CO-11
    charges = exact_money(sum((a.amount for a in adjustments if a.charge), ZERO), currency)  # BR-CO-12
    exclusive = line_sum - allowances + charges  # BR-CO-13
    tax = tuple(_breakdown(lines, adjustments, currency))
    tax_amount = round_money(sum((share.amount for share in tax), ZERO), currency)  # BR-CO-14
    inclusive = exclusive + tax_amount  # BR-CO-15
    paid, rounding = exact_money(prepaid, currency), exact_money(payable_rounding, currency)
    payable = inclusive - paid + rounding  # BR-CO-16
    return Totals(line_sum, allowances, charges, exclusive, tax, tax_amount, inclusive, paid, rounding, payable)


def check_rate(category: str, rate: Decimal) -> str | None:
    """What is wrong with `rate` (percent) for a UNCL5305 tax `category` as used by EN 16931, or None.

    BR-S-05 requires a rate above zero; BR-Z-05, BR-E-05, BR-AE-05, BR-IC-05 and BR-G-05 require zero; BR-O-05 allows no rate, represented
    here as zero.
    """
    if not rate.is_finite() or rate < 0:
        return "a rate of zero or more per cent"
    if category in TAXED:
        return None if rate > 0 else f"a rate above zero for category {category}"
    if category in UNTAXED:
        return None if rate == 0 else f"a rate of zero for category {category}"
    return None if category in FREE_RATE else "a tax category: S, Z, E, AE, K, G, O, L or M"


def _breakdown(lines: Iterable[Line], adjustments: Iterable[DocumentAdjustment], currency: str) -> Iterable[TaxShare]:
    taxable: dict[tuple[str, Decimal], Decimal] = {}
    for line in lines:
        key = (line.category, line.rate)
        taxable[key] = taxable.get(key, ZERO) + line.net
    for item in adjustments:
        key = (item.category, item.rate)
        taxable[key] = taxable.get(key, ZERO) + _signed(item, currency)
    if len(taxable) > 1 and any(category == "O" for category, _ in taxable):
        raise MoneyError("tax_category", "category O (not subject to tax) stands alone in a document (BR-O-11)")
    for (category, rate), base in taxable.items():
        if fault := check_rate(category, rate):
            raise MoneyError("tax_rate", f"{category} at {rate} %: expected {fault}")
        yield TaxShare(category, rate, round_money(base, currency), percent_of(base, rate, currency))  # BR-S-08, BR-CO-17


def _signed(item: Adjustment, currency: str) -> Decimal:
    if item.amount < 0:
        raise MoneyError("adjustment", f"{item.reason}: an allowance or charge is never negative, use the other kind")
    if item.percent is not None and item.base_amount is not None:
        expected = percent_of(item.base_amount, item.percent, currency)
        if item.amount != expected:
            raise MoneyError("adjustment", f"{item.reason}: {item.percent} % of {item.base_amount} is {expected}, not {item.amount}")
    amount = exact_money(item.amount, currency)
    return amount if item.charge else -amount
