"""The margin of a quote: each line's net price against the cost of its article on the quote's day. For the shop's owner alone.

Amounts are rounded where they arise, half up to the currency's minor unit (`pricing.money`), and sums are taken of the rounded amounts. An
unknown cost is reported, never taken as zero: its line does not count towards the margin.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import partial
from typing import TYPE_CHECKING

from pricing.document import Json
from pricing.money import extension, money_text, price_text

if TYPE_CHECKING:
    from pricing.model import Quote, QuotedLine
    from pricing.purchasing.suppliers import Suppliers
    from pricing.rows import Purchase

ONE, ZERO = Decimal(1), Decimal(0)
HUNDREDTH = Decimal("0.01")
_CONTEXT = Context(prec=60, rounding=ROUND_HALF_UP)
UNKNOWN: Mapping[str, str] = {
    "no_cost": "No row of purchases.csv says what this cost on the quote's day.",
    "labour": "The shop has not stated a cost for this work: a row in purchases.csv would.",
    "by_hand": "The line was added by hand: it has no article, and so no cost.",
    "other_currency": "The quote is in another currency than the shop's on its day.",
}
NOTES: Mapping[str, str] = {
    "waste_as_quoted": "Cut allowances, scrap and remnants are counted as the quote counts them: what the bench really cuts may be less or more.",
    "charges_not_counted": "Freight and the minimum-order charge belong to the whole quote, and their cost is not known: they are in no margin.",
    "allowances_taken_off": "A discount on the whole quote is taken off in full, also where it is on lines whose cost is not known.",
    "dearest_pack": "Where the supplier has several packs, the cost is that of the dearest by the metre or piece.",
}


def margin(quote: Quote, suppliers: Suppliers) -> Json:
    """The margin of a stored quote as a JSON document: money as decimal text, percentages of the net price with two decimals."""
    day = date.fromisoformat(quote.provenance.priced_on)
    rows = [(line, *_cost(quote, line, suppliers, day)) for line in quote.lines]
    known = [(line, row) for line, row, _ in rows if row is not None]
    net = sum((line.net for line in quote.lines), ZERO)
    with_cost = sum((line.net for line, _ in known), ZERO)
    cost = sum((_extended(line, row, quote.currency) for line, row in known), ZERO)
    off = sum((each.amount for each in quote.allowances), ZERO)
    amount_text = partial(money_text, currency=quote.currency)
    return {
        "id": quote.id, "number": quote.number, "revision": quote.revision,
        "day": day.isoformat(), "currency": quote.currency, "price_list": quote.price_list,
        "lines": [_line(quote, *each) for each in rows],
        "totals": {
            "net": amount_text(net), "net_with_cost": amount_text(with_cost), "net_without_cost": amount_text(net - with_cost),
            "lines_without_cost": len(rows) - len(known), "cost": amount_text(cost), "allowances": amount_text(off),
            "margin": amount_text(with_cost - off - cost) if known else None,
            "margin_percent": _percent(with_cost - off - cost, with_cost - off) if known else None,
            "charges": amount_text(sum((each.amount for each in quote.charges), ZERO)),
        },
        "notes": [{"code": code, "message": message} for code, message in NOTES.items()],
    }  # fmt: skip


def _cost(quote: Quote, line: QuotedLine, suppliers: Suppliers, day: date) -> tuple[Purchase | None, str | None]:
    """The purchase row with the cost of the line's article, or None and the reason code."""
    if not line.sku:
        return None, "by_hand"
    if suppliers.currency(day) != quote.currency:
        return None, "other_currency"
    row = suppliers.costed(line.sku, day)
    return (row, None) if row is not None else (None, "labour" if line.group == "labour" else "no_cost")


def _extended(line: QuotedLine, row: Purchase, currency: str) -> Decimal:
    return extension(line.quantity, row.cost, ONE, currency)


def _line(quote: Quote, line: QuotedLine, row: Purchase | None, why: str | None) -> Json:
    amount_text = partial(money_text, currency=quote.currency)
    head = {
        "id": line.id, "sku": line.sku, "name": line.name, "group": line.group, "rule": line.rule, "quantity": str(line.quantity), "unit": line.unit,
        "net": amount_text(line.net),
    }  # fmt: skip
    if row is None:
        nothing = dict.fromkeys(("supplier", "order_number", "cost_from_day", "unit_cost", "cost", "margin", "margin_percent"))
        return {**head, **nothing, "unknown": {"code": why, "message": UNKNOWN[str(why)]}}
    cost = _extended(line, row, quote.currency)
    return {
        **head,
        "supplier": row.supplier, "order_number": row.order_number, "cost_from_day": row.from_day.isoformat(),
        "unit_cost": price_text(row.cost, quote.currency), "cost": amount_text(cost), "margin": amount_text(line.net - cost),
        "margin_percent": _percent(line.net - cost, line.net), "unknown": None,
    }  # fmt: skip


def _percent(part: Decimal, whole: Decimal) -> str | None:
    """`part` as a percentage of `whole`, half up to two decimals; None if `whole` is not above zero."""
    if whole <= 0:
        return None
    return str(_CONTEXT.divide(part * 100, whole).quantize(HUNDREDTH, ROUND_HALF_UP))
