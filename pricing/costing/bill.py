"""The bill of materials: parts and operations of each assembly, counted as articles that can be priced."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, NamedTuple

from pricing import model
from pricing.costing.demand import Demand, metres
from pricing.costing.shipped_parts import travels
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Part, Work
from pricing.geometry.hardware import CACHE_SIZE, Hardware
from pricing.model import BillLine
from pricing.units import tenth
from pricing.values import Size, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.fittings import Fitting
    from pricing.geometry.chain import Built
    from pricing.geometry.stops import PlacedStop
    from pricing.rows import Labour, Wire

NO_LABOUR = code("no-labour-rate", "stop", "The labour table has no class for that operation on that wire.", "shop")


@dataclass(frozen=True, eq=False)
class Articles:
    """The parts of one assembly and the operations on it, as articles. `kg` is the shipping weight of the parts, without those kept aboard."""

    parts: tuple[Part, ...]
    work: tuple[tuple[Labour, Work], ...]
    findings: tuple[Finding, ...]
    kg: Decimal

    @cached_property
    def quoted_parts(self) -> tuple[model.Part, ...]:
        """The parts as they appear in the quote."""
        return tuple(
            [
                model.Part(
                    sku=part.sku, name=part.name, quantity=part.quantity, at=part.at, kept=part.kept, family=part.family,
                    attachment=part.attachment,
                )
                for part in self.parts
            ]
        )  # fmt: skip

    @cached_property
    def quoted_work(self) -> tuple[model.Work, ...]:
        """The operations as they appear in the quote."""
        return tuple([model.Work(labour.sku, labour.name, work.operation, work.quantity, work.at) for labour, work in self.work])


class Counted(NamedTuple):
    """One assembly's articles (for a quantity of one), and its wire length in mm as cut at the bench, to 0.1 mm."""

    built: Built
    wire: Wire
    cut: Decimal
    articles: Articles

    @property
    def parts(self) -> tuple[Part, ...]:
        """Its parts."""
        return self.articles.parts

    @property
    def work(self) -> tuple[tuple[Labour, Work], ...]:
        """Its operations, each with its labour class."""
        return self.articles.work

    @property
    def kg(self) -> Decimal:
        """The shipping weight of its parts."""
        return self.articles.kg


def count(built: Built, catalogue: Catalogue, own: Sequence[tuple[Labour, Work]] = ()) -> Counted | None:
    """Parts and operations of an assembly, with the shop's own work requested for it (`own`); None if it has no cut length."""
    if built.cut is None or built.wire is None:
        return None
    articles = _counted(built.hardware, catalogue, _balls(built.stops)) if built.stops else _without_stops(built.hardware, catalogue)
    if own:
        articles = replace(articles, work=(*articles.work, *own))
    return Counted(built, built.wire, tenth(built.cut), articles)


def _balls(stops: Iterable[PlacedStop]) -> tuple[Part, ...]:
    return tuple([Part(stop.ball.sku, stop.ball.name, 1, f"stop {stop.place + 1}", False, stop.ball.mass_kg) for stop in stops])


@lru_cache(maxsize=CACHE_SIZE)
def _without_stops(hardware: Hardware, catalogue: Catalogue) -> Articles:
    return _counted(hardware, catalogue, ())


def _counted(hardware: Hardware, catalogue: Catalogue, balls: tuple[Part, ...]) -> Articles:
    if hardware.wire is None or hardware.ends is None:
        return Articles((), (), (), Decimal(0))
    ends, diameter = (hardware.ends.upper, hardware.ends.lower), hardware.wire.diameter
    parts = (*(part for end in ends for part in end.parts), *balls)
    work: list[tuple[Labour, Work]] = []
    findings: list[Finding] = []
    for each in _operations([end.fitting for end in ends], hardware.wire, len(balls)):
        labour = catalogue.labour(each.operation, diameter)
        if labour is None:
            findings.append(finding(NO_LABOUR, "wire", operation=phrase(f"operation.{each.operation}"), wire=Size(diameter)))
        else:
            work.append((labour, each))
    kg = sum((part.quantity * part.kg for part in travels(parts, hardware.assembly, catalogue)), Decimal(0))
    return Articles(parts, tuple(work), tuple(findings), kg)


def _operations(ends: Sequence[Fitting], wire: Wire, stops: int) -> Iterable[Work]:
    """The assembly's operations.

    One assembly and one tag each; a proof pull if both ends are fitted in the shop and one of them is swaged (common practice, no source).
    """
    for fitting in ends:
        yield from fitting.work
    if stops:
        yield Work("stop", stops, "wire")
    yield Work("assembly", 1, "wire")
    if all(fitting.work for fitting in ends) and any(work.operation == "swage" for fitting in ends for work in fitting.work):
        yield Work("proof_pull", 1, "wire")
    yield Work("tag", 1, "wire")
    if wire.coating is not None and (fitted := sum(bool(fitting.work) for fitting in ends)):
        yield Work("strip", fitted, "wire")


@dataclass(slots=True)
class Bill:
    """Totals over all assemblies, with articles in order of first appearance. Kept parts are listed without a price.

    `own`: the shop's own work, including work for the boat as a whole. `coil` is the least coil diameter of the stiffest wire, mm.
    """

    metres: dict[str, Decimal] = field(default_factory=dict)
    cuts: dict[str, int] = field(default_factory=dict)
    wires: dict[str, Wire] = field(default_factory=dict)
    fittings: dict[tuple[str, bool], tuple[str, int]] = field(default_factory=dict)
    labour: dict[str, tuple[str, int]] = field(default_factory=dict)
    own: dict[str, tuple[Labour, Decimal]] = field(default_factory=dict)
    kg: Decimal = Decimal(0)
    coil: Decimal = Decimal(0)

    def add(self, counted: Counted) -> None:
        """Add one assembly, times its quantity."""
        many, wire = counted.built.assembly.quantity, counted.wire
        self.wires[wire.sku] = wire
        self.metres[wire.sku] = self.metres.get(wire.sku, Decimal(0)) + many * counted.cut / 1000
        self.cuts[wire.sku] = self.cuts.get(wire.sku, 0) + many
        self.kg += many * (counted.cut / 1000 * wire.kg_per_100m / 100 + counted.kg)
        self.coil = max(self.coil, wire.least_coil)
        for part in counted.parts:
            key = (part.sku, part.kept)
            self.fittings[key] = (part.name, self.fittings.get(key, ("", 0))[1] + many * part.quantity)
        for labour, work in counted.work:
            if labour.counted_by is None:
                self.labour[labour.sku] = (labour.name, self.labour.get(labour.sku, ("", 0))[1] + many * work.quantity)
            else:
                self.add_own(labour, Decimal(many * work.quantity))

    def add_own(self, labour: Labour, quantity: Decimal) -> None:
        """Add work of the shop's own kinds."""
        self.own[labour.sku] = (labour, self.own.get(labour.sku, (labour, Decimal(0)))[1] + quantity)

    def demands(self, remnants: Mapping[str, Decimal]) -> tuple[Demand, ...]:
        """The demands to price: wire by the metre, new parts and operations by the piece, the shop's own work in its own unit.

        `remnants`: metres left over, by SKU, of wires bought for the job.
        """
        wire = (
            Demand(
                sku=sku,
                name=row.name,
                group="wire",
                quantity=self.metres[sku],
                unit="m",
                cuts=self.cuts[sku],
                scrap_percent=row.scrap_percent,
                remnant=remnants.get(sku),
            )
            for sku, row in self.wires.items()
        )
        fittings = (
            Demand(sku=sku, name=name, group="fitting", quantity=Decimal(many), unit="each")
            for (sku, kept), (name, many) in self.fittings.items()
            if not kept
        )
        labour = (
            Demand(sku=sku, name=name, group="labour", quantity=Decimal(many), unit="each") for sku, (name, many) in self.labour.items()
        )
        own = (
            Demand(sku=sku, name=row.name, group="labour", quantity=quantity, unit=row.unit, own=True)
            for sku, (row, quantity) in self.own.items()
        )
        return (*wire, *fittings, *labour, *own)

    def lines(self) -> tuple[BillLine, ...]:
        """The bill of materials as printed in the quote: wire and parts, including kept ones."""
        wire = [BillLine(sku, row.name, metres(self.metres[sku]), "m", kept=False) for sku, row in self.wires.items()]
        parts = [BillLine(sku, name, Decimal(many), "each", kept) for (sku, kept), (name, many) in self.fittings.items()]
        return (*wire, *parts)
