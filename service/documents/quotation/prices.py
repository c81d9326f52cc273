"""A quotation's prices as the owner reads them: in groups with sums, which less a discount and plus the charges give the total before tax.

Waste is shown with its wire: the metres are those charged, and the amount includes the cost of cuts, scrap and remnants.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from msgspec import Struct

from pricing.model import Quote, QuotedLine, TaxTotal
from service.documents.quotation.texts import Text, named
from service.documents.rig import words
from service.documents.speech import Speech

WIRE, FITTINGS, WORK, EXTRA = "wire", "fitting", "labour", "extra"
#: The groups in the order of the paper, with the groups of lines that each takes.
GROUPS = {WIRE: ("wire", "waste"), FITTINGS: ("fitting",), WORK: ("labour",), EXTRA: ("extra",)}
TITLES = {WIRE: "Wire, with what is wasted in cutting", FITTINGS: "Fittings", WORK: "Work", EXTRA: "Further items"}
NAMES = {**TITLES, WIRE: "Wire"}
#: UNCL5305: why a tax of 0 % is charged.
UNTAXED = {
    "Z": "zero-rated",
    "E": "exempt from tax",
    "AE": "the buyer accounts for the tax",
    "K": "delivered within the European Union, free of tax",
    "G": "exported, free of tax",
    "O": "outside the scope of tax",
}
_FOOT = Decimal("0.3048")  # m, exactly


class Row(Struct, frozen=True):
    """A row of prices. `quantity` and `each` are empty where several prices are summed."""

    name: Text
    note: Text | None
    quantity: str
    each: str
    amount: str


class Group(Struct, frozen=True):
    """Rows that belong together, what is taken off or added to them, and their sum."""

    title: str
    rows: tuple[Row, ...]
    adjusted: tuple[Row, ...]
    total: str


class Taxed(Struct, frozen=True):
    """The tax of one category and rate: its words and its amount, or none with the reason."""

    name: str
    amount: str


class Totals(Struct, frozen=True):
    """What comes after the groups; `charges` are also what is taken off, with its sign."""

    lines: str
    charges: tuple[Row, ...]
    net: str
    tax: tuple[Taxed, ...]
    payable: str


def groups(quote: Quote, speech: Speech) -> tuple[Group, ...]:
    """The priced lines by group; groups that have none are left out."""
    found = []
    for group, parts in GROUPS.items():
        lines = [each for each in quote.lines if each.group in parts]
        if not lines:
            continue
        by_assembly = group == FITTINGS and quote.fittings_priced == "by_assembly" and _has_prices_by_assembly(quote)
        rows = (
            _by_assembly(quote, speech)
            if by_assembly
            else _wires(quote, lines, speech)
            if group == WIRE
            else _articles(quote, lines, speech)
        )
        adjusted = () if by_assembly else _adjusted(quote, lines, speech)
        found.append(
            Group(speech.say(TITLES[group]), tuple(rows), tuple(adjusted), speech.money(_sum(each.net for each in lines), quote.currency))
        )
    return tuple(found)


def totals(quote: Quote, speech: Speech) -> Totals:
    """From the sum of the groups to what is to be paid."""
    money, all_of = quote.currency, quote.totals
    charges = tuple(Row(named(each.reason, speech), None, "", "", speech.money(each.amount, money)) for each in quote.charges)
    tax = tuple(_tax(quote, each, speech) for each in all_of.tax)
    return Totals(
        speech.money(all_of.lines, money),
        (*_taken_off(quote, speech), *charges),
        speech.money(all_of.tax_exclusive, money),
        tax,
        speech.money(all_of.payable, money),
    )


def _taken_off(quote: Quote, speech: Speech) -> Iterator[Row]:
    """The discount on the whole, in one row however its parts are taxed."""
    for reason, percent in dict.fromkeys((each.reason, each.percent) for each in quote.allowances):
        amount = _sum(each.amount for each in quote.allowances if (each.reason, each.percent) == (reason, percent))
        rate = "" if percent is None else f", {speech.percent(percent)}"
        yield Row(Text(f"{speech.say('Discount')}{rate}: {reason}", None), None, "", "", f"−{speech.money(amount, quote.currency)}")


def _articles(quote: Quote, lines: Iterable[QuotedLine], speech: Speech) -> Iterator[Row]:
    for line in lines:
        unit = {"each": "", "m": " m", "hour": " h"}.get(line.unit, f" {line.unit}")
        note = named(line.note, speech) if line.note else None
        yield Row(
            Text(line.name, None) if line.group == EXTRA else named(line.name, speech),
            note,
            f"{speech.number(line.quantity)}{unit}",
            speech.price(line.unit_price, quote.currency),
            speech.money(line.amount, quote.currency),
        )


def _wires(quote: Quote, lines: list[QuotedLine], speech: Speech) -> Iterator[Row]:
    """A row for each wire and price: the metres asked for and those wasted, together."""
    bought: dict[tuple[str, str, str], list[QuotedLine]] = {}
    for line in lines:
        bought.setdefault((line.sku, line.unit, line.unit_price), []).append(line)
    for (_, unit, price), parts in bought.items():
        own = next((each for each in parts if each.group == WIRE), None)
        if unit != "m" or own is None:
            yield from _articles(quote, parts, speech)
            continue
        whole, wasted = _sum(each.quantity for each in parts), _sum(each.quantity for each in parts if each.group != WIRE)
        note = Text(speech.say("%(wasted)s of it for cutting, scrap and remnants", wasted=_run(wasted, speech)), None) if wasted else None
        each = speech.say("%(price)s per m", price=speech.price(price, quote.currency))
        amount = speech.money(_sum(each.amount for each in parts), quote.currency)
        yield Row(named(own.name, speech), note, _run(whole, speech, exact=True), each, amount)


def _by_assembly(quote: Quote, speech: Speech) -> Iterator[Row]:
    for each in quote.assemblies:
        if each.price is not None and each.price.fittings is not None:
            name = Text(f"{each.tag}: {words.role(each, speech)}", None)
            quantity = speech.number(Decimal(each.quantity))
            yield Row(name, None, quantity, "", speech.money(each.price.fittings, quote.currency))


def _has_prices_by_assembly(quote: Quote) -> bool:
    """Whether the quote says what each assembly's fittings cost, which an earlier release did not."""
    return all(each.price is None or each.price.fittings is not None for each in quote.assemblies)


def _adjusted(quote: Quote, lines: Iterable[QuotedLine], speech: Speech) -> Iterator[Row]:
    """Allowances and charges of a group's lines, each reason and percentage once."""
    sums: dict[tuple[str, Decimal | None, int], Decimal] = {}
    for line in lines:
        for sign, adjustments in ((-1, line.allowances), (1, line.charges)):
            for each in adjustments:
                at = (each.reason, each.percent, sign)
                sums[at] = sums.get(at, Decimal(0)) + each.amount
    for (reason, percent, sign), amount in sums.items():
        name = named(reason, speech)
        what = speech.say("Discount") if sign < 0 else speech.say("Surcharge")
        rate = "" if percent is None else f", {speech.percent(percent)}"
        yield Row(
            Text(f"{what}{rate}: {name.text}", None), None, "", "", f"{'−' if sign < 0 else '+'}{speech.money(amount, quote.currency)}"
        )


def _tax(quote: Quote, tax: TaxTotal, speech: Speech) -> Taxed:
    """A tax in words, with what it is charged on unless that is everything."""
    taxable, of = speech.money(tax.taxable, quote.currency), "; ".join(_of(quote, tax, speech))
    if not tax.rate:
        why = speech.say(UNTAXED[tax.category]) if tax.category in UNTAXED else speech.say("not taxed")
        name = speech.say("No tax on %(taxable)s, %(why)s (%(of)s)", taxable=taxable, why=why, of=of)
    elif len(quote.totals.tax) > 1:
        name = speech.say("Tax of %(rate)s on %(taxable)s (%(of)s)", rate=speech.percent(tax.rate), taxable=taxable, of=of)
    else:
        name = speech.say("Tax of %(rate)s on %(taxable)s", rate=speech.percent(tax.rate), taxable=taxable)
    return Taxed(name, speech.money(tax.amount, quote.currency))


def _of(quote: Quote, tax: TaxTotal, speech: Speech) -> Iterator[str]:
    """What is taxed so: the groups that have lines of it, and the charges."""
    for group, parts in GROUPS.items():
        if any((each.tax.category, each.tax.rate) == (tax.category, tax.rate) for each in quote.lines if each.group in parts):
            yield speech.say(NAMES[group])
    for charge in quote.charges:
        if (charge.tax.category, charge.tax.rate) == (tax.category, tax.rate):
            yield named(charge.reason, speech).text


def _run(metres: Decimal, speech: Speech, *, exact: bool = False) -> str:
    """Metres of wire, in feet for a boat measured in inches; `exact`: with the metres that are charged."""
    text = f"{speech.number(metres)} m"
    if speech.units == "metric":
        return text
    feet = speech.local(f"{(metres / _FOOT).quantize(Decimal('0.1'))} ft")
    return f"{feet} ({text})" if exact else feet


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, Decimal(0))
