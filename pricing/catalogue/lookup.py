"""The compiled catalogue: every row, with look-ups that are single dictionary accesses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeVar

from pricing import rows
from pricing.catalogue.cells import Json
from pricing.catalogue.threads import normal_thread
from pricing.errors import QuantityError

Article = (
    rows.Wire | rows.Terminal | rows.Body | rows.Screw | rows.Link | rows.Pin | rows.Cotter | rows.Thimble | rows.Sleeve
    | rows.Ball | rows.Labour | rows.Cone | rows.Locknut | rows.BackingPlate | rows.SoldOnly
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Tables:
    """All rows of all tables, in table order."""

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
    growths: tuple[rows.Growth, ...]
    cones: tuple[rows.Cone, ...]
    locknuts: tuple[rows.Locknut, ...]
    backing_plates: tuple[rows.BackingPlate, ...]
    accepted_doubts: tuple[rows.Acceptance, ...] = ()
    purchases: tuple[rows.Purchase, ...] = ()
    sold_only: tuple[rows.SoldOnly, ...] = ()


@dataclass(frozen=True, slots=True)
class Index:
    """The dictionaries behind the look-ups, built by `indexing.index_of`."""

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
    thimble: Mapping[Decimal, tuple[rows.Thimble, ...]]
    sleeve: Mapping[tuple[str, Decimal], tuple[rows.Sleeve, ...]]
    balls: Mapping[Decimal, tuple[rows.Ball, ...]]
    labour: Mapping[tuple[str, Decimal], rows.Labour]
    own_work: Mapping[str, rows.Labour]
    growth: Mapping[tuple[str, str, Decimal], rows.Growth]
    cone: Mapping[tuple[str, Decimal], rows.Cone]
    locknut: Mapping[tuple[str, str], rows.Locknut]
    backing_plate: Mapping[Decimal, rows.BackingPlate]
    tells_of_cotter_holes: bool
    last_days: tuple[date, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Catalogue:
    """All tables of one folder, checked and indexed. Lengths and diameters are in mm; look-ups match exactly, never by nearest value.

    `version` identifies the content of the parts and labour tables, `price_version` that of prices, price lists, tax, freight and terms.
    The articles sold on a day are a catalogue of their own (`selling.sold_on`), whose `full` is the catalogue with all articles.
    """

    edition: rows.Edition
    version: str
    price_version: str
    tables: Tables
    index: Index
    listing: Mapping[str, tuple[dict[str, Json], ...]]
    full: Catalogue | None = None

    @property
    def with_discontinued(self) -> Catalogue:
        """The catalogue including discontinued articles, for parts that stay aboard or were quoted before."""
        return self if self.full is None else self.full

    def of_part(self, *, kept: bool) -> Catalogue:
        """The catalogue to look a part up in: all articles for a kept part, those still sold for a new one."""
        return self.with_discontinued if kept else self

    @property
    def prices(self) -> tuple[rows.Price, ...]:
        """Unit prices, in table order."""
        return self.tables.prices

    @property
    def discounts(self) -> tuple[rows.Discount, ...]:
        """Price-list discounts."""
        return self.tables.price_lists

    @property
    def tax(self) -> tuple[rows.Tax, ...]:
        """Tax rates by group."""
        return self.tables.tax

    @property
    def freight(self) -> tuple[rows.Freight, ...]:
        """Freight rates by mass and coil diameter."""
        return self.tables.freight

    @property
    def terms(self) -> tuple[rows.Term, ...]:
        """The shop's terms."""
        return self.tables.terms

    @property
    def spools(self) -> tuple[rows.Spool, ...]:
        """The lengths in which wire can be bought."""
        return self.tables.spools

    @property
    def stock(self) -> tuple[rows.StockRow, ...]:
        """Wire in stock."""
        return self.tables.stock

    @property
    def wires(self) -> Mapping[str, rows.Wire]:
        """Wires by SKU."""
        return self.index.wires

    def article(self, sku: str) -> Article | None:
        """The row sold under this SKU, of any type."""
        return self.index.article.get(sku)

    def sold_only(self, sku: str | None) -> rows.SoldOnly | None:
        """The article, if it is only sold: its dimensions are unknown, so nothing can be computed with it."""
        row = self.index.article.get(sku or "")
        return row if isinstance(row, rows.SoldOnly) else None

    def group(self, sku: str) -> str | None:
        """The article's group for price lists and tax: wire, fitting or labour."""
        row = self.index.article.get(sku)
        if row is None:
            return None
        return "wire" if isinstance(row, rows.Wire) else "labour" if isinstance(row, rows.Labour) else "fitting"

    def wire(self, construction: str, material: str, diameter: Decimal) -> rows.Wire | None:
        """The wire with exactly this nominal diameter."""
        return self.index.wire.get((construction, material, diameter))

    def wires_of(self, construction: str, material: str) -> tuple[rows.Wire, ...]:
        """All sizes of this construction and material, thinnest first."""
        return self.index.wires_of.get((construction, material), ())

    def wire_sizes(self, construction: str, material: str) -> tuple[rows.Wire, ...]:
        """One wire of each size that is or was sold, thinnest first: a wire aboard may be discontinued."""
        sold, full = self.wires_of(construction, material), self.with_discontinued.wires_of(construction, material)
        by_diameter = {row.diameter: row for row in (*reversed(full), *reversed(sold))}
        return tuple(sorted(by_diameter.values(), key=lambda row: row.diameter))

    def terminals(
        self, family: str, attachment: str, construction: str, diameter: Decimal, material: str | None = None
    ) -> tuple[rows.Terminal, ...]:
        """The terminals that take this wire, in table order; without a `material`, for wire of any."""
        return _for_material(self.index.terminals.get((family, attachment, construction, diameter), ()), material)

    def growth(self, terminal: str, construction: str, diameter: Decimal) -> rows.Growth | None:
        """The measured growth of a terminal swaged on this wire; None if no test swage was made."""
        return self.index.growth.get((terminal, construction, diameter))

    def cone(self, construction: str, diameter: Decimal) -> rows.Cone | None:
        """The cone for this wire in a compression terminal."""
        return self.index.cone.get((construction, diameter))

    def locknut(self, thread: str, hand: str) -> rows.Locknut | None:
        """The locknut with this thread and hand."""
        return self.index.locknut.get((_spelled(thread, self.index.thread), hand))

    def backing_plate(self, diameter: Decimal) -> rows.BackingPlate | None:
        """The backing plate for a tee on this wire."""
        return self.index.backing_plate.get(diameter)

    def thread(self, designation: str) -> rows.Thread | None:
        """The thread with this designation, in any spelling."""
        return self.index.thread.get(_spelled(designation, self.index.thread))

    def body(self, body: str, thread: str) -> rows.Body | None:
        """The turnbuckle body of this type (open or tubular) and thread."""
        return self.index.body.get((body, _spelled(thread, self.index.thread)))

    def screws(self, thread: str, end: str) -> tuple[rows.Screw, ...]:
        """Turnbuckle screws with this thread and end, of either hand."""
        return self.index.screws.get((_spelled(thread, self.index.thread), end), ())

    def links(self, kind: str) -> tuple[rows.Link, ...]:
        """All toggles or all shackles, smallest pin first."""
        return self.index.links.get(kind, ())

    def pins(self, diameter: Decimal) -> tuple[rows.Pin, ...]:
        """Clevis pins of this diameter, shortest grip first."""
        return self.index.pins.get(diameter, ())

    def cotter(self, diameter: Decimal) -> rows.Cotter | None:
        """The cotter pin of this nominal diameter."""
        return self.index.cotter.get(diameter)

    def thimble(self, diameter: Decimal, material: str | None = None) -> rows.Thimble | None:
        """The thimble for this wire; the first in the table if no material is given."""
        return next(iter(_for_material(self.index.thimble.get(diameter, ()), material)), None)

    def sleeve(self, construction: str, diameter: Decimal, material: str | None = None) -> rows.Sleeve | None:
        """The oval sleeve for this wire; None for constructions that are not made up with sleeves."""
        return next(iter(_for_material(self.index.sleeve.get((construction, diameter), ()), material)), None)

    def balls(self, diameter: Decimal) -> tuple[rows.Ball, ...]:
        """Ball stops for this wire, smallest ball first."""
        return self.index.balls.get(diameter, ())

    def labour(self, operation: str, diameter: Decimal) -> rows.Labour | None:
        """The operation's labour class for a wire of this diameter."""
        labour = self.index.labour.get((operation, diameter))
        return labour if labour is not None else _by_class(self.tables.labour, operation, diameter)

    @property
    def own_work(self) -> Mapping[str, rows.Labour]:
        """The shop's own kinds of work by their codes, in table order."""
        return self.index.own_work

    def kinds(self) -> tuple[str, ...]:
        """The tables that may be shown: parts and labour, but not prices."""
        return tuple(self.listing)

    def rows(self, kind: str) -> tuple[dict[str, Json], ...]:
        """The rows of one of `kinds()` as JSON-ready objects (do not modify them). Raises KeyError for any other kind."""
        return self.listing[kind]


_ForWire = TypeVar("_ForWire", rows.Terminal, rows.Thimble, rows.Sleeve)


def _for_material(candidates: tuple[_ForWire, ...], material: str | None) -> tuple[_ForWire, ...]:
    """The rows for wire of this material; a row that names no material suits any."""
    if material is None:
        return candidates
    return tuple(row for row in candidates if row.materials is None or material in row.materials)


def _spelled(thread: str, known: Mapping[str, rows.Thread]) -> str:
    """The normalised designation; text that cannot be parsed is returned unchanged and will not be found."""
    if thread in known:
        return thread
    try:
        return normal_thread(thread)
    except QuantityError:
        return thread


def _by_class(table: tuple[rows.Labour, ...], operation: str, diameter: Decimal) -> rows.Labour | None:
    """Fallback for diameters that no wire in the catalogue has."""
    return next((row for row in table if row.operation == operation and takes(row, diameter)), None)


def takes(row: rows.Labour, diameter: Decimal) -> bool:
    """Whether the labour class covers wires of this diameter (mm); the shop's own kinds of work have no diameters."""
    return row.over is not None and row.up_to is not None and row.over < diameter <= row.up_to
