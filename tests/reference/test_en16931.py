"""The totals arithmetic against official EN 16931 example invoices, every amount.

Sources: repository, path and commit of each example in en16931_examples.json; no tolerance, amounts are compared as decimals.
Half up: the positive example of the BIS Billing 3 calculation rule prints 625743.54 at 25 % as 156435.89 (half even gives 156435.88).
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from pricing.costing.totals import Adjustment, DocumentAdjustment, Line, Totals, total
from pricing.money import percent_of

EXAMPLES = json.loads((Path(__file__).parent / "en16931_examples.json").read_text(encoding="utf-8"))["examples"]
BY_NAME = pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: str(example["id"]))


def decimal(row: dict[str, Any], key: str) -> Decimal | None:
    return Decimal(row[key]) if key in row else None


def adjustment(row: dict[str, Any]) -> dict[str, Any]:
    return {
        "charge": row["charge"],
        "reason": row["reason"],
        "amount": Decimal(row["amount"]),
        "percent": decimal(row, "percent"),
        "base_amount": decimal(row, "base_amount"),
        "code": row.get("reason_code"),
    }


def line(row: dict[str, Any], currency: str) -> Line:
    return Line(
        id=row["id"],
        quantity=Decimal(row["quantity"]),
        unit=row["unit_code"],
        net_price=Decimal(row["net_price"]),
        base_quantity=Decimal(row.get("base_quantity", "1")),
        category=row["vat_category"],
        rate=Decimal(row["vat_rate"]),
        adjustments=tuple(Adjustment(**adjustment(item)) for item in row.get("allowance_charges", [])),
        currency=currency,
    )


def totals(example: dict[str, Any]) -> Totals:
    currency = example["currency"]
    lines = [line(row, currency) for row in example["lines"]]
    adjustments = [
        DocumentAdjustment(**adjustment(row), category=row["vat_category"], rate=Decimal(row["vat_rate"]))
        for row in example["document_allowance_charges"]
    ]
    prepaid = Decimal(example["expected_totals"].get("prepaid_amount", "0"))
    return total(lines, adjustments, currency, prepaid=prepaid)


@BY_NAME
def test_each_line_comes_to_the_printed_net_amount(example: dict[str, Any]) -> None:
    computed = [line(row, example["currency"]).net for row in example["lines"]]
    assert computed == [Decimal(row["expected_line_net_amount"]) for row in example["lines"]]


@BY_NAME
def test_the_tax_breakdown_is_the_printed_one(example: dict[str, Any]) -> None:
    computed = [(share.category, share.rate, share.taxable, share.amount) for share in totals(example).tax]
    printed = [
        (row["category"], Decimal(row["rate"]), Decimal(row["taxable_amount"]), Decimal(row["tax_amount"]))
        for row in example["expected_vat_breakdown"]
    ]
    assert computed == printed


@BY_NAME
def test_every_document_total_is_the_printed_one(example: dict[str, Any]) -> None:
    computed, printed = totals(example), example["expected_totals"]
    assert computed.lines == Decimal(printed["line_extension_amount"])
    assert computed.allowances == Decimal(printed.get("allowance_total_amount", "0"))
    assert computed.charges == Decimal(printed.get("charge_total_amount", "0"))
    assert computed.tax_exclusive == Decimal(printed["tax_exclusive_amount"])
    assert computed.tax_amount == Decimal(printed["tax_amount"])
    assert computed.tax_inclusive == Decimal(printed["tax_inclusive_amount"])
    assert computed.payable == Decimal(printed["payable_amount"])


def test_tax_is_rounded_half_up_as_the_positive_example_prints_it() -> None:
    assert percent_of(Decimal("625743.54"), Decimal(25), "EUR") == Decimal("156435.89")
    sold = Line(id="1", quantity=Decimal(1), unit="C62", net_price=Decimal("625743.54"), category="S", rate=Decimal(25), currency="EUR")
    assert total([sold], [], "EUR").tax_amount == Decimal("156435.89")
