"""A quote's margin over the shop's cost, worked by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from msgspec.structs import replace

from pricing.document import read
from pricing.model import DocumentAllowance, DocumentCharge, Quote, QuotedLine, Tax
from pricing.purchasing.margin import margin
from pricing.rows import Term
from tests.documents import quotes
from tests.purchasing.offers import SOURCE, D, metres, offer, pieces, suppliers

TAX = Tax("S", D(7))
DOLLARS = (Term("currency", "USD", "", date(2026, 1, 1), SOURCE),)
OFFERS = (
    offer("WIRE", "North Wire", "N-76", metres("76.2"), "1.86"),
    offer("WIRE", "North Wire", "N-304", metres("304.8"), "1.75"),  # the dearer of the two counts
    offer("FORK", "Sea Fittings", "S-1", pieces(1), "14.665"),
    offer("FORK", "Sea Fittings", "S-1", pieces(1), "16.00", from_day=date(2026, 11, 26)),  # a day after the quote's
    offer("SWAGE", "Other Loft", "O-1", pieces(1), "9.50"),
)


def line(identifier: str, sku: str, group: str, quantity: str, net: str, rule: str = "articles") -> QuotedLine:
    return QuotedLine(identifier, sku, sku, "", group, rule, D(quantity), "each", net, D(net), (), (), D(net), TAX)


LINES = (
    line("1", "WIRE", "wire", "37.250", "102.48"),
    line("2", "FORK", "fitting", "3", "56.79"),
    line("3", "TAG", "labour", "4", "50.00"),
    line("4", "SWAGE", "labour", "2", "30.00"),
    line("5", "WIRE", "waste", "12.500", "34.40", "remnant"),
    line("6", "", "extra", "1", "10.00", "extra_lines"),
)


def quoted(*lines: QuotedLine, **more: Any) -> Quote:
    """A quote of 25 November 2026 in dollars with these lines and no others."""
    return replace(read(quotes.demo()), lines=lines, allowances=(), charges=(), **more)


def shown(found: Any, name: str) -> list[Any]:
    return [each[name] for each in found["lines"]]


def test_the_margin_of_a_line_is_its_net_price_less_its_cost() -> None:
    """37.250 m x 1.86 = 69.285, half up 69.29; 3 x 14.665 = 43.995, half up 44.00; 2 x 9.50 = 19.00; 12.500 m x 1.86 = 23.25.

    33.19 of 102.48 are 32.387 %, 12.79 of 56.79 22.522 %, 11.00 of 30.00 36.667 %, 11.15 of 34.40 32.413 %.
    """
    found = margin(quoted(*LINES), suppliers(*OFFERS, terms=DOLLARS))
    assert shown(found, "cost") == ["69.29", "44.00", None, "19.00", "23.25", None]
    assert shown(found, "margin") == ["33.19", "12.79", None, "11.00", "11.15", None]
    assert shown(found, "margin_percent") == ["32.39", "22.52", None, "36.67", "32.41", None]
    assert shown(found, "unit_cost")[:2] == ["1.86", "14.665"]


def test_an_unknown_cost_is_named_and_counts_for_nothing() -> None:
    """Net 283.67, of it 50.00 and 10.00 without a cost; 223.67 less 155.54 of costs are 68.13, and 68.13 of 223.67 are 30.460 %."""
    found = margin(quoted(*LINES), suppliers(*OFFERS, terms=DOLLARS))
    assert [each and each["code"] for each in shown(found, "unknown")] == [None, None, "labour", None, None, "by_hand"]
    assert found["totals"] == {
        "net": "283.67", "net_with_cost": "223.67", "net_without_cost": "60.00", "lines_without_cost": 2, "cost": "155.54", "allowances": "0.00",
        "margin": "68.13", "margin_percent": "30.46", "charges": "0.00",
    }  # fmt: skip


def test_a_discount_on_the_whole_quote_is_taken_off_and_freight_is_in_no_margin() -> None:
    """68.13 less 5.00 are 63.13; of 223.67 less 5.00 they are 28.870 %."""
    off = DocumentAllowance("Winter", "95", "discount", None, None, D("5.00"), TAX)
    sent = DocumentCharge("Freight", "FC", "freight", D("22.00"), TAX)
    found = margin(replace(quoted(*LINES), allowances=(off,), charges=(sent,)), suppliers(*OFFERS, terms=DOLLARS))
    totals = found["totals"]
    assert (totals["allowances"], totals["margin"], totals["margin_percent"], totals["charges"]) == ("5.00", "63.13", "28.87", "22.00")


def test_a_quote_without_any_known_cost_has_no_margin() -> None:
    found = margin(quoted(*LINES), suppliers(terms=DOLLARS))
    assert (found["totals"]["margin"], found["totals"]["margin_percent"], found["totals"]["lines_without_cost"]) == (None, None, 6)
    assert [each["code"] for each in shown(found, "unknown")] == ["no_cost", "no_cost", "labour", "labour", "no_cost", "by_hand"]


def test_a_quote_in_another_currency_is_not_compared_with_costs() -> None:
    found = margin(quoted(*LINES[:2], currency="EUR"), suppliers(*OFFERS, terms=DOLLARS))
    assert [each["code"] for each in shown(found, "unknown")] == ["other_currency", "other_currency"]


def test_a_line_sold_below_cost_has_a_negative_margin() -> None:
    """2 x 14.665 = 29.33, sold for 25.00: 4.33 are lost, 17.32 % of the price."""
    found = margin(quoted(line("1", "FORK", "fitting", "2", "25.00")), suppliers(*OFFERS, terms=DOLLARS))
    assert (shown(found, "margin"), shown(found, "margin_percent")) == (["-4.33"], ["-17.32"])


def test_a_line_given_away_has_no_margin_percentage() -> None:
    found = margin(quoted(line("1", "FORK", "fitting", "1", "0.00")), suppliers(*OFFERS, terms=DOLLARS))
    assert (shown(found, "margin"), shown(found, "margin_percent")) == (["-14.67"], [None])  # 14.665, half up
    assert Decimal(found["totals"]["cost"]) == D("14.67")
