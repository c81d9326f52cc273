"""Many boats as one: everything they need together, how they compare, and what quantity breaks over the whole fleet would save.

Works on quote documents, one after the other, and keeps of each what the fleet needs. Pure: the same quotes and rates give the same document.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from pricing.document import Json
from pricing.errors import NoPrice
from pricing.money import round_money

if TYPE_CHECKING:
    from pricing.rates import Rates

ARTICLES = "articles"  # the rule whose lines are the quantities that breaks go by
READINESS = ("ready_to_cut", "confirm", "hold")
Key = tuple[str, bool]


class Fleet:
    """The fleet so far."""

    def __init__(self) -> None:
        self.boats: list[Json] = []
        self.pieces: list[Json] = []
        self.currency: str | None = None
        self._bill: dict[Key, tuple[str, str, Decimal]] = {}
        self._lines: list[tuple[str, Decimal, Decimal, tuple[Decimal, ...]]] = []
        self._quantities: dict[str, Decimal] = {}
        self._alike: dict[tuple[Any, ...], int] = {}

    def add(self, document: Mapping[str, Any], head: Json) -> None:
        """Add a boat's quote; `head` names it (line, number, id)."""
        self.currency = document["currency"]
        readiness = [each["readiness"] for each in document["assemblies"]]
        self.boats.append({
            **head, "boat": document["boat"]["name"], "assemblies": {name: readiness.count(name) for name in READINESS},
            "tax_exclusive": document["totals"]["tax_exclusive"], "payable": document["totals"]["payable"],
            "alike": self._kind(document),
        })  # fmt: skip
        self.pieces.append({
            "id": head["id"], "number": head["number"], "revision": head["revision"], "boat": document["boat"],
            "lines": [{name: line[name] for name in ("sku", "quantity", "rule")} for line in document["lines"]],
            "assemblies": [{name: each[name] for name in ("cut_length", "wire", "quantity", "tag", "side", "mast", "role")} for each in document["assemblies"]],
        })  # fmt: skip
        for each in document["bill_of_materials"]:
            key = (each["sku"], each["kept"])
            _, _, many = self._bill.get(key, ("", "", Decimal(0)))
            self._bill[key] = (each["name"], each["unit"], many + Decimal(each["quantity"]))
        for line in document["lines"]:
            percents = tuple(Decimal(each["percent"]) for each in line["allowances"] if each["percent"] is not None)
            self._lines.append((line["sku"], Decimal(line["quantity"]), Decimal(line["net"]), percents))
            if line["rule"] == ARTICLES:
                self._quantities[line["sku"]] = self._quantities.get(line["sku"], Decimal(0)) + Decimal(line["quantity"])

    def _kind(self, document: Mapping[str, Any]) -> int:
        """Boats with the same number are built from the same parts and as much wire, to a tenth of a metre."""
        bill = tuple(
            (each["sku"], each["kept"], Decimal(each["quantity"]).quantize(Decimal("0.1"))) for each in document["bill_of_materials"]
        )
        return self._alike.setdefault(bill, len(self._alike) + 1)

    def bill(self) -> list[Json]:
        """The bill of materials over all boats, articles in the order they first appear."""
        return [
            {"sku": sku, "name": name, "quantity": f"{many:.3f}" if unit == "m" else str(many), "unit": unit, "kept": kept}
            for (sku, kept), (name, unit, many) in self._bill.items()
        ]

    def totals(self) -> Json:
        """Sums over all boats."""
        return {name: str(sum((Decimal(each[name]) for each in self.boats), Decimal(0))) for name in ("tax_exclusive", "payable")}

    def compared(self) -> Json:
        """How the boats compare: the least and the most that one comes to before tax, the middle, how many kinds of boat there are."""
        ordered = sorted(self.boats, key=lambda each: (Decimal(each["tax_exclusive"]), each["number"]))
        middle = ordered[(len(ordered) - 1) // 2]
        names = ("line", "number", "boat", "tax_exclusive")
        found = {
            which: {name: each[name] for name in names}
            for which, each in (("least", ordered[0]), ("middle", middle), ("most", ordered[-1]))
        }
        return {**found, "kinds": len(self._alike)}

    def breaks(self, rates: Rates) -> Json:
        """What each article's price at the fleet's quantity would save, before tax, beside the boats' own prices; whether the shop's terms
        grant it. Charges such as a minimum order stay as they are in the boats' quotes."""
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
        except NoPrice:  # a day whose prices have it no more
            return Decimal(0)
        saved = Decimal(0)
        for _, quantity, net, percents in (line for line in self._lines if line[0] == sku):
            amount = round_money(quantity * price, currency)
            saved += net - amount + sum((round_money(amount * percent / 100, currency) for percent in percents), Decimal(0))
        return saved


def buying_list(bill: list[Json], plan: Mapping[str, Any], shelf: frozenset[str], spools: Mapping[str, Any]) -> Iterator[Json]:
    """What to buy: of wire the spools that the plan takes and the shelf does not hold, of parts all that are new, since no shelf of parts is
    kept. `spools`: those that can be bought, by id."""
    wires: dict[str, list[Json]] = {}  # wire bought for a job has a plan of its own for each quote
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
