"""The priced side of a quote: bill of materials, lines, charges and totals, with the terms of EN 16931-1:2017 (BG- and BT- numbers)."""

from __future__ import annotations

from decimal import Decimal

from msgspec import Struct


class BillLine(Struct, frozen=True, gc=False):
    """An article of the bill of materials; `quantity` in metres for wire, in pieces for parts."""

    sku: str
    name: str
    quantity: Decimal
    unit: str
    kept: bool


class Tax(Struct, frozen=True, gc=False):
    """Tax category (UNCL5305) and rate in percent."""

    category: str
    rate: Decimal


class Adjusted(Struct, frozen=True, gc=False):
    """An allowance (BG-27) or charge (BG-28) on a line."""

    reason: str
    code: str | None
    percent: Decimal | None
    amount: Decimal


class QuotedLine(Struct, frozen=True, gc=False):
    """A priced line (BG-25). `amount` is quantity times unit price, `net` that with its allowances and charges."""

    id: str
    sku: str
    name: str
    note: str
    group: str
    rule: str
    quantity: Decimal
    unit: str
    unit_price: str  # as text, since it may have more decimals than the currency
    amount: Decimal
    allowances: tuple[Adjusted, ...]
    charges: tuple[Adjusted, ...]
    net: Decimal
    tax: Tax


class DocumentCharge(Struct, frozen=True, gc=False):
    """A charge on the whole document (BG-21): freight, minimum order."""

    reason: str
    code: str | None
    rule: str
    amount: Decimal
    tax: Tax


class DocumentAllowance(Struct, frozen=True, gc=False):
    """A document-level allowance (BG-20) on the lines with this tax. If it is a percentage, `percent` and `base` are set."""

    reason: str
    code: str | None
    rule: str
    percent: Decimal | None
    base: Decimal | None
    amount: Decimal
    tax: Tax


class TaxTotal(Struct, frozen=True, gc=False):
    """The tax of one category and rate (BG-23)."""

    category: str
    rate: Decimal
    taxable: Decimal
    amount: Decimal


class QuotedTotals(Struct, frozen=True, gc=False):
    """Document totals (BG-22). `payable` is None where nothing can be built, since 0.00 would be a price."""

    lines: Decimal
    allowances: Decimal
    charges: Decimal
    tax_exclusive: Decimal
    tax: tuple[TaxTotal, ...]
    tax_amount: Decimal
    tax_inclusive: Decimal
    payable: Decimal | None
