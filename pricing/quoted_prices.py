"""The priced side of a quote: seller, lines, charges and totals. Amounts are rounded where they arise (costing/totals.py), not here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from pricing.costing.priced_lines import EXTRA
from pricing.costing.shares import shares, takers_of
from pricing.model import (
    Address,
    Adjusted,
    Customer,
    DocumentAllowance,
    DocumentCharge,
    QuotedLine,
    QuotedTotals,
    Seller,
    SharedPrice,
    Tax,
    TaxTotal,
)
from pricing.money import price_text

if TYPE_CHECKING:
    from decimal import Decimal

    from pricing.costing.bill import Counted
    from pricing.costing.priced_lines import Priced, PricedLine
    from pricing.costing.terms import Terms
    from pricing.costing.totals import Adjustment, Totals
    from pricing.measurement import assembly as measured

FITTING = "fitting"  # the group of the lines for fittings


def seller_of(terms: Terms) -> Seller:
    """The seller as named in the head of a quotation; None for what the shop's terms do not give."""
    address = [getattr(terms, f"seller_{name}") or None for name in ("street", "city", "region", "postal_code", "country")]
    rest = {name: getattr(terms, f"seller_{name}") or None for name in ("phone", "email", "tax_number", "legal")}
    payment = terms.payment_terms or None
    return Seller(name=terms.seller, address=Address(*address) if any(address) else None, payment_terms=payment, **rest)


def customer_of(customer: measured.Customer) -> Customer:
    """The customer as sent."""
    address, to = _address(customer.address), _address(customer.delivery_address)
    return Customer(
        customer.name, customer.reference, customer.email, address, customer.telephone, customer.tax_number, to, customer.external_id
    )


def _address(at: measured.Address | None) -> Address | None:
    return None if at is None else Address(at.street, at.city, at.region, at.postal_code, at.country)


def prices_of(counted: Sequence[Counted | None], priced: Priced, of_the_boat: Mapping[str, Decimal] = {}) -> list[SharedPrice | None]:
    """Each assembly's share of the lines, and of the fitting lines alone; None if it is not priced. Lines added by hand are not shared.

    `of_the_boat`: quantity by article of the work done for the boat as a whole, whose cost is in no assembly's share.
    """
    takers = takers_of(counted, of_the_boat)
    whole = shares(counted, [line for line in priced.lines if line.group != EXTRA], priced.currency, takers=takers)
    fittings = shares(counted, [line for line in priced.lines if line.group == FITTING], priced.currency, takers=takers)
    return [None if net is None else SharedPrice(net, of_fittings) for net, of_fittings in zip(whole, fittings, strict=True)]


def lines_of(priced: Priced) -> tuple[QuotedLine, ...]:
    """The priced lines."""
    return tuple([_line(line, priced.currency) for line in priced.lines])


def _line(line: PricedLine, currency: str) -> QuotedLine:
    return QuotedLine(
        id=line.id,
        sku=line.sku,
        name=line.name,
        note=line.note,
        group=line.group,
        rule=line.rule,
        quantity=line.quantity,
        unit=line.unit,
        unit_price=price_text(line.net_price, currency),
        amount=line.amount,
        allowances=_adjusted(line.adjustments, charge=False),
        charges=_adjusted(line.adjustments, charge=True),
        net=line.net,
        tax=Tax(line.category, line.rate),
    )


def _adjusted(all_of: Iterable[Adjustment], *, charge: bool) -> tuple[Adjusted, ...]:
    return tuple([Adjusted(each.reason, each.code, each.percent, each.amount) for each in all_of if each.charge is charge])


def allowances_of(priced: Priced) -> tuple[DocumentAllowance, ...]:
    """Document-level allowances: the shop's discount by hand."""
    return tuple(
        [
            DocumentAllowance(each.reason, each.code, each.rule, each.percent, each.base_amount, each.amount, Tax(each.category, each.rate))
            for each in priced.allowances
        ]
    )


def charges_of(priced: Priced) -> tuple[DocumentCharge, ...]:
    """Document-level charges: freight, minimum order."""
    return tuple([DocumentCharge(each.reason, each.code, each.rule, each.amount, Tax(each.category, each.rate)) for each in priced.charges])


def totals_of(totals: Totals, *, built: bool) -> QuotedTotals:
    """EN 16931 document totals; if nothing is built, payable is None, since 0.00 would be a price."""
    return QuotedTotals(
        lines=totals.lines,
        allowances=totals.allowances,
        charges=totals.charges,
        tax_exclusive=totals.tax_exclusive,
        tax=tuple([TaxTotal(share.category, share.rate, share.taxable, share.amount) for share in totals.tax]),
        tax_amount=totals.tax_amount,
        tax_inclusive=totals.tax_inclusive,
        payable=totals.payable if built else None,
    )
