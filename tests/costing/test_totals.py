"""Totals: what must hold for every document, and cases worked out by hand.

The rules are EN 16931-1:2017 (BR-CO-10 to 17, BR-S-08, BR-S-05, BR-O-11). Documents in currencies of 0 and 3 decimals have no published
example: those are marked derived.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.costing.totals import Adjustment, DocumentAdjustment, Line, percentage, total
from pricing.money import MoneyError, minor_unit, percent_of

D = Decimal
CURRENCIES = st.sampled_from(["JPY", "USD", "KWD", "CLF"])
TAXES = st.sampled_from([("S", D(25)), ("S", D("8.875")), ("S", D("25.0")), ("Z", D(0)), ("E", D("0.0"))])


def line(
    price: str, quantity: str = "1", *, base: str = "1", tax: str = "S 25", currency: str = "EUR", adjustments: tuple[Adjustment, ...] = ()
) -> Line:
    category, rate = tax.split()
    return Line(
        id="1", quantity=D(quantity), unit="each", net_price=D(price), base_quantity=D(base), category=category, rate=D(rate),
        adjustments=adjustments, currency=currency,
    )  # fmt: skip


@st.composite
def documents(draw: st.DrawFn) -> tuple[list[Line], list[DocumentAdjustment], str]:
    currency = draw(CURRENCIES)
    cents = st.integers(0, 10**7).map(lambda n: D(n).scaleb(-minor_unit(currency)))

    def one_line(n: int) -> Line:
        (category, rate), percent = draw(TAXES), draw(st.decimals(0, 100, places=2))
        quantity, price = draw(st.decimals(D("0.001"), 10**4, places=3)), draw(st.decimals(0, 10**4, places=4))
        off = percentage(draw(cents), percent, currency, charge=draw(st.booleans()), reason="list")
        return Line(
            id=str(n), quantity=quantity, unit="m", net_price=price, base_quantity=draw(st.sampled_from([D(1), D(3), D(100)])),
            category=category, rate=rate, adjustments=(off,), currency=currency,
        )  # fmt: skip

    def one_adjustment(_: int) -> DocumentAdjustment:
        category, rate = draw(TAXES)
        return DocumentAdjustment(charge=draw(st.booleans()), reason="any", amount=draw(cents), category=category, rate=rate)

    lines = [one_line(n) for n in range(draw(st.integers(0, 6)))]
    return lines, [one_adjustment(n) for n in range(draw(st.integers(0, 3)))], currency


@given(document=documents(), cents=st.integers(0, 10**6))
def test_totals_always_reconcile(document: tuple[list[Line], list[DocumentAdjustment], str], cents: int) -> None:
    lines, adjustments, currency = document
    unit = D(1).scaleb(-minor_unit(currency))
    result = total(lines, adjustments, currency, prepaid=cents * unit)
    assert result.lines == sum(row.net for row in lines)
    assert result.tax_exclusive == result.lines - result.allowances + result.charges
    assert result.tax_exclusive == sum(share.taxable for share in result.tax)
    assert result.tax_amount == sum(share.amount for share in result.tax)
    assert all(share.amount == percent_of(share.taxable, share.rate, currency) for share in result.tax)
    assert result.payable == result.tax_exclusive + result.tax_amount - cents * unit
    assert len({(share.category, share.rate) for share in result.tax}) == len(result.tax)
    amounts = [result.lines, result.allowances, result.charges, result.tax_exclusive, result.tax_inclusive, result.payable]
    assert all(amount.as_tuple().exponent == -minor_unit(currency) for amount in amounts)


@given(document=documents())
def test_tax_lies_within_half_a_minor_unit_of_the_exact_tax_of_each_category(
    document: tuple[list[Line], list[DocumentAdjustment], str],
) -> None:
    result = total(*document)
    half = D(5).scaleb(-minor_unit(document[2]) - 1)
    assert all(abs(share.amount - share.taxable * share.rate / 100) <= half for share in result.tax)


def test_tax_is_rounded_on_the_sum_of_a_category_and_not_line_by_line() -> None:
    # Three lines of 0.10 at 25 %: 0.075 is 0.08; line by line it would be 3 x 0.03 = 0.09.
    assert total([line("0.10")] * 3, [], "EUR").tax_amount == D("0.08")


def test_a_rate_written_with_more_zeros_is_the_same_rate() -> None:
    result = total([line("1", tax="S 25"), line("1", tax="S 25.0")], [], "EUR")
    assert [(share.rate, share.taxable) for share in result.tax] == [(D(25), D(2))]


def test_a_line_is_rounded_before_its_allowance_and_the_allowance_by_itself() -> None:
    # 3 x 0.335 = 1.005 -> 1.01; 10 % of 1.01 = 0.101 -> 0.10; net 0.91. One rounding at the end would give 0.9045 -> 0.90.
    off = percentage(D("1.01"), D(10), "EUR", charge=False, reason="trade list")
    row = line("0.335", "3", adjustments=(off,))
    assert (row.amount, off.amount, row.net) == (D("1.01"), D("0.10"), D("0.91"))


def test_yen_document_derived() -> None:
    # Derived, no published example: 3 x 333.5 = 1000.5 -> 1001; 10 % of 1001 = 100.1 -> 100; payable 1101.
    result = total([line("333.5", "3", tax="S 10", currency="JPY")], [], "JPY")
    assert [str(n) for n in (result.lines, result.tax_amount, result.payable)] == ["1001", "100", "1101"]


def test_dinar_document_derived() -> None:
    # Derived, no published example: 1.5 x 2.333 = 3.4995 -> 3.500; charge 0.125; 5 % of 3.625 = 0.18125 -> 0.181; payable 3.806.
    freight = DocumentAdjustment(charge=True, reason="Freight", amount=D("0.125"), category="S", rate=D(5))
    result = total([line("2.333", "1.5", tax="S 5", currency="KWD")], [freight], "KWD")
    assert [str(n) for n in (result.lines, result.charges, result.tax_amount, result.payable)] == ["3.500", "0.125", "0.181", "3.806"]


def test_a_document_without_lines_comes_to_zero_at_the_minor_unit() -> None:
    result = total([], [], "EUR")
    assert (str(result.lines), str(result.payable), result.tax) == ("0.00", "0.00", ())


def test_payable_rounding_and_prepayment_enter_only_the_payable_amount() -> None:
    # BR-CO-16. 10.02 at 25 % = 2.505 -> 2.51; 12.53 - 10.00 + 0.03 = 2.56
    result = total([line("10.02")], [], "EUR", prepaid=D(10), payable_rounding=D("0.03"))
    assert (result.tax_inclusive, result.payable) == (D("12.53"), D("2.56"))


@pytest.mark.parametrize(
    ("category", "rate", "message"),
    [
        ("S", "0", "above zero"),
        ("E", "25", "rate of zero"),
        ("Z", "0.1", "rate of zero"),
        ("X", "1", "tax category"),
        ("S", "-1", "zero or more"),
    ],
)
def test_a_rate_that_its_category_does_not_allow_is_refused(category: str, rate: str, message: str) -> None:
    with pytest.raises(MoneyError, match=message):
        total([line("1", tax=f"{category} {rate}")], [], "EUR")


def test_a_category_outside_the_scope_of_tax_stands_alone() -> None:
    alone = line("1", tax="O 0")
    assert total([alone], [], "EUR").payable == 1
    with pytest.raises(MoneyError, match="BR-O-11"):
        total([alone, line("1")], [], "EUR")


def test_amounts_with_a_part_of_a_cent_are_refused() -> None:
    odd = Adjustment(charge=False, reason="odd", amount=D("0.005"))
    with pytest.raises(MoneyError, match="part of the minor unit"):
        line("1", adjustments=(odd,))
    with pytest.raises(MoneyError, match="part of the minor unit"):
        total([line("1")], [], "EUR", prepaid=D("0.001"))


def test_an_adjustment_that_is_not_its_own_percentage_is_refused() -> None:
    wrong = Adjustment(charge=True, reason="cleaning", amount=D("1.01"), percent=D(1), base_amount=D(100))
    with pytest.raises(MoneyError, match=r"is 1\.00, not 1\.01"):
        line("1", adjustments=(wrong,))


@pytest.mark.parametrize(("price", "base"), [("-1", "1"), ("1", "0"), ("1", "-1")])
def test_a_negative_price_or_an_empty_base_quantity_is_refused(price: str, base: str) -> None:
    with pytest.raises(MoneyError, match="never negative"):
        line(price, base=base)
