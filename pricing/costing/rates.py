"""Dated rates as of a day given by the caller: `PriceTable(...).at(day)`. There is no clock here.

In every table, all rows with the newest `from_day` on or before the day apply: a new day of prices for an article replaces all its
quantity breaks, a new day of freight the whole tariff. Rows are only ever added.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Protocol, TypeVar

from pricing.costing.terms import Terms, term_faults, terms_at
from pricing.costing.totals import check_rate
from pricing.errors import NoPrice, RequestError, TableError, TableFault
from pricing.rows import Discount, Freight, Price, Spool, Tax, Term

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

__all__ = ["PriceTable", "Rates", "Terms", "price_table"]

ZERO = Decimal(0)
_DAYS_KEPT = 64


class Dated(Protocol):
    """A row that applies from a given day."""

    @property
    def from_day(self) -> date:
        """First day on which the row applies."""


Row = TypeVar("Row", bound=Dated)
Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Rates:
    """Everything a price depends on as of `day`: look-ups by dict and bisection, and the `spools` that can be bought."""

    day: date
    _ladders: Mapping[str, tuple[tuple[Decimal, ...], tuple[Price, ...]]]
    _discounts: Mapping[tuple[str, str], Decimal]
    _price_lists: tuple[str, ...]
    _tax: Mapping[str, tuple[str, Decimal]]
    _freight: tuple[Freight, ...]
    spools: tuple[Spool, ...]
    _terms: Terms | tuple[TableFault, ...]

    def price(self, sku: str, quantity: Decimal) -> Price:
        """The row that prices `quantity` of an article: its unit, unit price and source. Raises NoPrice if there is none."""
        starts, rows = self._ladders.get(sku, ((), ()))
        step = bisect_right(starts, quantity)
        if step == 0:
            raise NoPrice(sku, self.day.isoformat())
        return rows[step - 1]

    def unit_price(self, sku: str, quantity: Decimal) -> Decimal:
        """Price per unit when buying `quantity`, before any discount. Raises NoPrice."""
        return self.price(sku, quantity).unit_price

    def price_lists(self) -> tuple[str, ...]:
        """Names of the price lists in force, sorted."""
        return self._price_lists

    def discount_percent(self, price_list: str, group: str) -> Decimal:
        """Percentage off for a group of articles; 0 for a group not in the list. Raises RequestError for an unknown list."""
        percent = self._discounts.get((price_list, group))
        if percent is not None:
            return percent
        self.check_price_list(price_list)
        return ZERO

    def check_price_list(self, price_list: str) -> None:
        """Raises RequestError, naming the available lists, if the list is not in force."""
        if price_list not in self._price_lists:
            known = ", ".join(self._price_lists) or "none"
            raise RequestError([("/price_list", "unknown_price_list", f"no price list {price_list!r} on {self.day}: there are {known}")])

    def tax(self, group: str) -> tuple[str, Decimal]:
        """Tax category (UNCL5305) and percentage rate for a group of articles. Raises NoPrice for `tax:group`."""
        try:
            return self._tax[group]
        except KeyError:
            raise NoPrice(f"tax:{group}", self.day.isoformat()) from None

    def taxes(self) -> tuple[tuple[str, Decimal], ...]:
        """Each tax category with a rate in percent that the shop charges for anything, in order."""
        return tuple(sorted(set(self._tax.values())))

    def freight(self, weight_kg: Decimal, coil_mm: Decimal) -> Freight | None:
        """The cheapest tariff row for this weight and coil diameter; None if there is none."""
        for row in self._freight:
            if weight_kg <= row.up_to_kg and coil_mm <= row.up_to_coil:
                return row
        return None

    @property
    def terms(self) -> Terms:
        """The shop's terms. Raises TableError listing every term that is not in force."""
        if isinstance(self._terms, Terms):
            return self._terms
        raise TableError(self._terms)


@dataclass(frozen=True, slots=True)
class PriceTable:
    """The dated rows, validated on construction. Raises TableError with every fault of every table."""

    prices: tuple[Price, ...]
    discounts: tuple[Discount, ...]
    tax: tuple[Tax, ...]
    freight: tuple[Freight, ...]
    terms: tuple[Term, ...]
    spools: tuple[Spool, ...] = ()
    _days: dict[date, Rates] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if faults := [*_ladder_faults(self.prices), *_tax_faults(self.tax), *term_faults(self.terms)]:
            raise TableError(faults)

    def at(self, day: date) -> Rates:
        """Rates in force on `day`; cached, so the same day usually returns the same object."""
        rates = self._days.get(day)
        if rates is None:
            if len(self._days) >= _DAYS_KEPT:
                self._days.clear()
            rates = self._days[day] = self._taken_at(day)
        return rates

    def _taken_at(self, day: date) -> Rates:
        discounts = _in_force(self.discounts, lambda row: (row.price_list, row.group), day)
        return Rates(
            day,
            {sku: _ladder(rows) for sku, rows in _in_force(self.prices, lambda row: row.sku, day).items()},
            {key: rows[-1].percent for key, rows in discounts.items()},
            tuple(sorted({price_list for price_list, _ in discounts})),
            {group: (rows[-1].category, rows[-1].rate_percent) for group, rows in _in_force(self.tax, lambda row: row.group, day).items()},
            tuple(
                sorted(_in_force(self.freight, lambda _: "", day).get("", ()), key=lambda row: (row.price, row.up_to_kg, row.up_to_coil))
            ),
            tuple(rows[-1] for rows in _in_force(self.spools, lambda row: row.id, day).values()),
            terms_at({key: rows[-1] for key, rows in _in_force(self.terms, lambda row: row.key, day).items()}, day),
        )


def price_table(catalogue: Catalogue) -> PriceTable:
    """The dated rows of a catalogue. Raises TableError."""
    return PriceTable(catalogue.prices, catalogue.discounts, catalogue.tax, catalogue.freight, catalogue.terms, catalogue.spools)


def _in_force(rows: Iterable[Row], key: Callable[[Row], Key], day: date) -> dict[Key, list[Row]]:
    """For each key, the rows of its newest `from_day` on or before `day`."""
    newest: dict[Key, list[Row]] = {}
    for row in rows:
        if row.from_day > day:
            continue
        held = newest.setdefault(key(row), [])
        if held and row.from_day > held[0].from_day:
            held.clear()
        if not held or row.from_day == held[0].from_day:
            held.append(row)
    return newest


def _ladder(rows: Iterable[Price]) -> tuple[tuple[Decimal, ...], tuple[Price, ...]]:
    steps = tuple(sorted(rows, key=lambda row: row.from_quantity))
    return tuple(step.from_quantity for step in steps), steps


def _ladder_faults(prices: Iterable[Price]) -> Iterable[TableFault]:
    """Articles with duplicate quantity breaks, mixed units, or no price for the smallest purchase."""
    ladders: dict[tuple[str, date], list[Price]] = {}
    for row in prices:
        ladders.setdefault((row.sku, row.from_day), []).append(row)
    for (sku, day), rows in ladders.items():
        starts = {row.from_quantity for row in rows}
        where = f"{sku} from {day.isoformat()}"
        if len(starts) < len(rows):
            yield TableFault("prices.csv", 0, "from_quantity", where, "each quantity once")
        if len({row.unit for row in rows}) > 1:
            yield TableFault("prices.csv", 0, "unit", where, "one unit for all quantities of an article")
        if min(starts) > (1 if rows[0].unit == "each" else 0):
            yield TableFault("prices.csv", 0, "from_quantity", where, "a first step at 0 (or at 1 for articles sold by the piece)")


def _tax_faults(tax: Iterable[Tax]) -> Iterable[TableFault]:
    for row in tax:
        if expected := check_rate(row.category, row.rate_percent):
            yield TableFault("tax.csv", 0, "rate", f"{row.category} {row.rate_percent} for {row.group} from {row.from_day}", expected)
