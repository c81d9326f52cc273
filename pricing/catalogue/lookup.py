"""The compiled catalogue: every row, and look-ups that are one dictionary access each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from pricing.catalogue import rows
from pricing.catalogue.cells import Json
from pricing.catalogue.threads import normal_thread
from pricing.errors import QuantityError

Article = (
    rows.Wire | rows.Terminal | rows.Body | rows.Screw | rows.Link | rows.Pin | rows.Cotter | rows.Thimble | rows.Sleeve
    | rows.Ball | rows.Labour
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Tables:
    """Every row of every table, in the table's order."""

    edition: tuple[rows.Edition, ...]
    wires: tuple[rows.Wire, ...]
    terminals: tuple[rows.Terminal, ...]
    threads: tuple[rows.Thread, ...]
    turnbuckle_bodies: tuple[rows.Body, ...]
    screws: tuple[rows.Screw, ...]
    links: tuple[rows.Link, ...]
    pins: tuple[rows.Pin, ...]
    cotters: tuple[rows.Cotter, ...]
    thimbles: tuple[rows.Thimble, ...]
    sleeves: tuple[rows.Sleeve, ...]
    balls: tuple[rows.Ball, ...]
    labour: tuple[rows.Labour, ...]
    prices: tuple[rows.Price, ...]
    price_lists: tuple[rows.Discount, ...]
    tax: tuple[rows.Tax, ...]
    freight: tuple[rows.Freight, ...]
    terms: tuple[rows.Term, ...]
    spools: tuple[rows.Spool, ...]
    stock: tuple[rows.StockRow, ...]


@dataclass(frozen=True, slots=True)
class Index:
    """The dictionaries behind the look-ups, built once by `indexing.index_of`."""

    article: Mapping[str, Article]
    wire: Mapping[tuple[str, str, Decimal], rows.Wire]
    wires: Mapping[str, rows.Wire]
    wires_of: Mapping[tuple[str, str], tuple[rows.Wire, ...]]
    terminals: Mapping[tuple[str, str, str, Decimal], tuple[rows.Terminal, ...]]
    thread: Mapping[str, rows.Thread]
    body: Mapping[tuple[str, str], rows.Body]
    screws: Mapping[tuple[str, str], tuple[rows.Screw, ...]]
    links: Mapping[str, tuple[rows.Link, ...]]
    pins: Mapping[Decimal, tuple[rows.Pin, ...]]
    cotter: Mapping[Decimal, rows.Cotter]
    thimble: Mapping[Decimal, rows.Thimble]
    sleeve: Mapping[tuple[str, Decimal], rows.Sleeve]
    balls: Mapping[Decimal, tuple[rows.Ball, ...]]
    labour: Mapping[tuple[str, Decimal], rows.Labour]


@dataclass(frozen=True, slots=True, eq=False)
class Catalogue:
    """All tables of one folder, checked and indexed. Lengths and diameters in mm; nothing is found by nearness, only by equality.

    `version` names the content of the tables of parts and work, `price_version` that of prices, price lists, tax, freight and terms.
    """

    edition: rows.Edition
    version: str
    price_version: str
    tables: Tables
    index: Index
    listing: Mapping[str, tuple[dict[str, Json], ...]]

    @property
    def prices(self) -> tuple[rows.Price, ...]:
        """Unit prices, in the table's order."""
        return self.tables.prices

    @property
    def discounts(self) -> tuple[rows.Discount, ...]:
        """Percentages of the price lists."""
        return self.tables.price_lists

    @property
    def tax(self) -> tuple[rows.Tax, ...]:
        """Tax rates by group."""
        return self.tables.tax

    @property
    def freight(self) -> tuple[rows.Freight, ...]:
        """Freight by mass and coil."""
        return self.tables.freight

    @property
    def terms(self) -> tuple[rows.Term, ...]:
        """The shop's decisions."""
        return self.tables.terms

    @property
    def spools(self) -> tuple[rows.Spool, ...]:
        """The lengths in which wires can be bought."""
        return self.tables.spools

    @property
    def stock(self) -> tuple[rows.StockRow, ...]:
        """Wire on the shelf."""
        return self.tables.stock

    @property
    def wires(self) -> Mapping[str, rows.Wire]:
        """Wires by sku."""
        return self.index.wires

    def article(self, sku: str) -> Article | None:
        """The row of whatever kind that is sold under this sku."""
        return self.index.article.get(sku)

    def group(self, sku: str) -> str | None:
        """The group of an article for price lists and tax: wire, fitting or labour."""
        row = self.index.article.get(sku)
        if row is None:
            return None
        return "wire" if isinstance(row, rows.Wire) else "labour" if isinstance(row, rows.Labour) else "fitting"

    def wire(self, construction: str, material: str, diameter: Decimal) -> rows.Wire | None:
        """The wire of exactly this nominal diameter."""
        return self.index.wire.get((construction, material, diameter))

    def wires_of(self, construction: str, material: str) -> tuple[rows.Wire, ...]:
        """All sizes, thinnest first."""
        return self.index.wires_of.get((construction, material), ())

    def terminals(self, family: str, attachment: str, construction: str, diameter: Decimal) -> tuple[rows.Terminal, ...]:
        """The terminals that take this wire, in the table's order."""
        return self.index.terminals.get((family, attachment, construction, diameter), ())

    def thread(self, designation: str) -> rows.Thread | None:
        """The thread by its designation, however spelled."""
        return self.index.thread.get(_spelled(designation, self.index.thread))

    def body(self, body: str, thread: str) -> rows.Body | None:
        """The turnbuckle body of this kind (open, tubular) and thread."""
        return self.index.body.get((body, _spelled(thread, self.index.thread)))

    def screws(self, thread: str, end: str) -> tuple[rows.Screw, ...]:
        """The turnbuckle's own screws with this thread and end, of either hand."""
        return self.index.screws.get((_spelled(thread, self.index.thread), end), ())

    def links(self, kind: str) -> tuple[rows.Link, ...]:
        """All toggles, or all shackles, smallest pin first."""
        return self.index.links.get(kind, ())

    def pins(self, diameter: Decimal) -> tuple[rows.Pin, ...]:
        """The clevis pins of this diameter, shortest grip first."""
        return self.index.pins.get(diameter, ())

    def cotter(self, diameter: Decimal) -> rows.Cotter | None:
        """The cotter pin of this nominal diameter."""
        return self.index.cotter.get(diameter)

    def thimble(self, diameter: Decimal) -> rows.Thimble | None:
        """The thimble for this wire."""
        return self.index.thimble.get(diameter)

    def sleeve(self, construction: str, diameter: Decimal) -> rows.Sleeve | None:
        """The oval sleeve for this wire; None where a construction is not made up so."""
        return self.index.sleeve.get((construction, diameter))

    def balls(self, diameter: Decimal) -> tuple[rows.Ball, ...]:
        """The ball stops for this wire, smallest ball first."""
        return self.index.balls.get(diameter, ())

    def labour(self, operation: str, diameter: Decimal) -> rows.Labour | None:
        """The operation's class for a wire of this diameter."""
        found = self.index.labour.get((operation, diameter))
        return found if found is not None else _by_class(self.tables.labour, operation, diameter)

    def kinds(self) -> tuple[str, ...]:
        """The tables that may be shown: parts and work, not the prices."""
        return tuple(self.listing)

    def rows(self, kind: str) -> tuple[dict[str, Json], ...]:
        """The rows of one of `kinds()` as JSON-ready objects (not to be changed). Raises KeyError for another kind."""
        return self.listing[kind]


def _spelled(thread: str, known: Mapping[str, rows.Thread]) -> str:
    """The designation if it is one already, else normalised; unreadable text is returned as it is and found nowhere."""
    if thread in known:
        return thread
    try:
        return normal_thread(thread)
    except QuantityError:
        return thread


def _by_class(table: tuple[rows.Labour, ...], operation: str, diameter: Decimal) -> rows.Labour | None:
    """For a diameter that no wire of the catalogue has."""
    return next((row for row in table if row.operation == operation and row.over < diameter <= row.up_to), None)
