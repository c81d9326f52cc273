"""A fleet's quotes together: their bill of materials, how the boats compare, and what price breaks at the fleet's quantities would save.

Takes quotes one at a time and keeps only what the fleet needs. Pure: the same quotes and rates give the same document.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from pricing.document import Json
from pricing.errors import NoPrice
from pricing.model.assembly import Readiness
from pricing.money import round_money
from pricing.records.sisters import Measured, Odd, odd_ones
from pricing.stock.pieces import QuoteToPlan
from pricing.units import imperial, metric

if TYPE_CHECKING:
    from pricing.costing.rates import Rates
    from pricing.model import Quote

ARTICLES = "articles"  # the costing rule whose lines give the quantities for price breaks
READINESS: tuple[Readiness, ...] = ("ready_to_cut", "confirm", "hold")
Key = tuple[str, bool]


class Fleet:
    """The boats added so far; at least one before `compared`."""

    def __init__(self) -> None:
        self.boats: list[Json] = []
        self.to_plan: list[QuoteToPlan] = []
        self.currency: str | None = None
        self._bill: dict[Key, tuple[str, str, Decimal]] = {}
        self._lines: list[tuple[str, Decimal, Decimal, tuple[Decimal, ...]]] = []
        self._quantities: dict[str, Decimal] = {}
        self._alike: dict[tuple[Any, ...], int] = {}
        self._measured: list[Measured] = []
        self._units: list[str] = []

    def add(self, quote: Quote, head: Json) -> None:
        """Add a boat's quote; `head` identifies it: `custom_id`, `line_number`, `id` and `number`."""
        self.currency = quote.currency
        readiness, payable = [each.readiness for each in quote.assemblies], quote.totals.payable
        self.boats.append({
            **head, "boat": quote.boat.name, "assemblies": {name: readiness.count(name) for name in READINESS},
            "tax_exclusive": str(quote.totals.tax_exclusive), "payable": None if payable is None else str(payable),
            "alike": self._kind(quote),
        })  # fmt: skip
        self.to_plan.append(QuoteToPlan.of(quote))
        self._measured += _measured(len(self._units), quote)
        self._units.append(quote.display_units)
        for each in quote.bill_of_materials:
            key = (each.sku, each.kept)
            _, _, many = self._bill.get(key, ("", "", Decimal(0)))
            self._bill[key] = (each.name, each.unit, many + each.quantity)
        for line in quote.lines:
            percents = tuple([each.percent for each in line.allowances if each.percent is not None])
            self._lines.append((line.sku, line.quantity, line.net, percents))
            if line.rule == ARTICLES:
                self._quantities[line.sku] = self._quantities.get(line.sku, Decimal(0)) + line.quantity

    def _kind(self, quote: Quote) -> int:
        """A number shared by boats built from the same parts and the same amount of wire, to a tenth of a metre."""
        bill = tuple([(each.sku, each.kept, each.quantity.quantize(Decimal("0.1"))) for each in quote.bill_of_materials])
        return self._alike.setdefault(bill, len(self._alike) + 1)

    def bill(self) -> list[Json]:
        """The bill of materials over all boats, articles in order of first appearance."""
        return [
            {"sku": sku, "name": name, "quantity": f"{many:.3f}" if unit == "m" else str(many), "unit": unit, "kept": kept}
            for (sku, kept), (name, unit, many) in self._bill.items()
        ]

    def totals(self) -> Json:
        """Sums over all boats; a boat for which nothing can be built adds nothing to the amount payable."""
        return {name: str(sum((Decimal(each[name] or 0) for each in self.boats), Decimal(0))) for name in ("tax_exclusive", "payable")}

    def compared(self) -> Json:
        """The cheapest, the median and the dearest boat before tax, and how many kinds of boat there are."""
        ordered = sorted(self.boats, key=lambda each: (Decimal(each["tax_exclusive"]), each["number"]))
        middle = ordered[(len(ordered) - 1) // 2]
        names = ("custom_id", "number", "boat", "tax_exclusive")
        compared = {
            which: {name: each[name] for name in names}
            for which, each in (("minimum", ordered[0]), ("median", middle), ("maximum", ordered[-1]))
        }
        return {**compared, "kinds": len(self._alike)}

    def differing(self) -> list[Json]:
        """Wires whose measured length is far from that of the same wire of the other boats."""
        return [self._differs(each) for each in odd_ones(self._measured)]

    def _differs(self, odd: Odd) -> Json:
        wire, boat = odd.measured, self.boats[odd.measured.boat]
        text = metric if self._units[wire.boat] == "metric" else imperial
        length, middle = text(wire.mm), text(odd.median)
        whose = boat["boat"] or boat["custom_id"] or boat["number"]
        return {
            **{name: boat[name] for name in ("custom_id", "line_number", "id", "number", "boat")},
            "tag": wire.tag, "role": wire.role, "length": {"mm": str(wire.mm), "text": length},
            "median": {"mm": str(odd.median), "text": middle}, "difference_mm": str(odd.difference), "sisters": odd.sisters,
            "message": f"{wire.tag} of {whose} was measured as {length}; the median of the same wire on the {odd.sisters} others is {middle}.",
        }  # fmt: skip

    def breaks(self, rates: Rates) -> Json:
        """The saving before tax if each article were priced at the fleet's quantity, and whether the shop's terms grant it.

        Charges such as a minimum order stay as in the boats' quotes.
        """
        currency = self.currency or rates.terms.currency
        saved = {sku: amount for sku in self._quantities if (amount := self._saved(sku, rates, currency)) > 0}
        total = sum(saved.values(), Decimal(0))
        before = Decimal(self.totals()["tax_exclusive"])
        granted = rates.terms.price_breaks == "fleet"
        return {
            "policy": rates.terms.price_breaks, "granted": granted,
            "saving": str(round_money(total, currency)),
            "tax_exclusive": str(round_money(before - total if granted else before, currency)),
            "articles": [
                {"sku": sku, "quantity": str(self._quantities[sku]), "unit_price": str(rates.unit_price(sku, self._quantities[sku])),
                 "saving": str(round_money(amount, currency))}
                for sku, amount in saved.items()
            ],
        }  # fmt: skip

    def _saved(self, sku: str, rates: Rates, currency: str) -> Decimal:
        try:
            price = rates.unit_price(sku, self._quantities[sku])
        except NoPrice:  # no longer priced on that day
            return Decimal(0)
        saved = Decimal(0)
        for _, quantity, net, percents in (line for line in self._lines if line[0] == sku):
            amount = round_money(quantity * price, currency)
            saved += net - amount + sum((round_money(amount * percent / 100, currency) for percent in percents), Decimal(0))
        return saved


def _measured(place: int, quote: Quote) -> Iterator[Measured]:
    """The wires of the boat at this place that have a measured length, with her length overall, if known, to tell models apart."""
    overall = quote.boat.length_overall
    for each in quote.assemblies:
        if each.measured_length is not None:
            wire = None if each.wire is None else each.wire.sku
            yield Measured(place, None if overall is None else overall.mm, each.role, each.tag, wire, each.measured_length.mm)


def buying_list(bill: list[Json], plan: Mapping[str, Any], shelf: frozenset[str], spools: Mapping[str, Any]) -> Iterator[Json]:
    """What to buy, by article: for wire, the spools that the plan uses and the shelf does not hold; for parts, all new ones, as none are stocked.

    `plan` is a cutting plan's document, `shelf` the ids of the stock rows on the shelf, `spools` the spools that can be bought, by id.
    """
    wires: dict[str, list[Json]] = {}  # wire bought for a job has a separate plan for each quote
    for each in plan["wires"]:
        wires.setdefault(each["wire"]["sku"], []).append(each)
    for each in bill:
        if each["kept"]:
            continue
        head = {name: each[name] for name in ("sku", "name", "unit")}
        planned = wires.get(each["sku"])
        if planned is None:
            yield {**head, "needed": each["quantity"], "to_buy": each["quantity"], "spools": [], "unplanned": 0}
            continue
        bought: dict[str, int] = {}
        for use in (use for one in planned for use in one["uses"]):
            if use["stock"] in spools and use["stock"] not in shelf:
                bought[use["stock"]] = bought.get(use["stock"], 0) + 1
        taken = [
            {"id": name, "length": {"mm": str(spools[name].length)}, "price": str(spools[name].price), "count": many}
            for name, many in bought.items()
        ]
        metres = sum((spools[name].length * many for name, many in bought.items()), Decimal(0)) / 1000
        left = sum(left["quantity"] for one in planned for left in one["unplanned"])
        yield {**head, "needed": each["quantity"], "to_buy": f"{metres:.3f}", "spools": taken, "unplanned": left}
