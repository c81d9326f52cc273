"""The bill: parts and operations of each assembly, counted into articles that can be priced."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.demand import Demand
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Part, Work
from pricing.units import tenth

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Labour, Wire
    from pricing.chain import Built

NO_LABOUR = code("no-labour-rate", "stop", "The labour table has no class for that operation on that wire.")


class Counted(NamedTuple):
    """One assembly's parts and operations (for one of its quantity), and its wire's length in mm as the bench cuts it, to 0.1 mm."""

    built: Built
    wire: Wire
    cut: Decimal
    parts: tuple[Part, ...]
    work: tuple[tuple[Labour, Work], ...]
    findings: tuple[Finding, ...] = ()


def count(built: Built, catalogue: Catalogue) -> Counted | None:
    """Parts and operations of an assembly that has a cut length; None for one that has not."""
    if built.cut is None or built.wire is None or built.upper is None or built.lower is None:
        return None
    balls = tuple(Part(stop.ball.sku, stop.ball.name, 1, f"stop {stop.place + 1}", False, stop.ball.mass_kg) for stop in built.stops)
    parts = (*built.upper.parts, *built.lower.parts, *balls)
    work: list[tuple[Labour, Work]] = []
    findings: list[Finding] = []
    for each in _operations(built):
        labour = catalogue.labour(each.operation, built.wire.diameter)
        if labour is None:
            message = f"There is no labour class for {each.operation.replace('_', ' ')} on {built.wire.size} wire."
            findings.append(finding(NO_LABOUR, "wire", message, "Add the class to the shop's labour table."))
        else:
            work.append((labour, each))
    return Counted(built, built.wire, tenth(built.cut), parts, tuple(work), tuple(findings))


def _operations(built: Built) -> Iterable[Work]:
    """One assembly, one tag; a proof pull where both ends are fitted in the shop and one is swaged (common practice, no source)."""
    ends = [side.fitting for side in (built.upper, built.lower) if side is not None]
    for fitting in ends:
        yield from fitting.work
    if built.stops:
        yield Work("stop", len(built.stops), "wire")
    yield Work("assembly", 1, "wire")
    if all(fitting.work for fitting in ends) and any(work.operation == "swage" for fitting in ends for work in fitting.work):
        yield Work("proof_pull", 1, "wire")
    yield Work("tag", 1, "wire")


@dataclass(slots=True)
class Bill:
    """Everything over all assemblies, articles in the order they first appear. Kept parts are listed at no price."""

    metres: dict[str, Decimal] = field(default_factory=dict)
    cuts: dict[str, int] = field(default_factory=dict)
    wires: dict[str, Wire] = field(default_factory=dict)
    fittings: dict[tuple[str, bool], tuple[str, int]] = field(default_factory=dict)
    labour: dict[str, tuple[str, int]] = field(default_factory=dict)
    kg: Decimal = Decimal(0)
    coil: Decimal = Decimal(0)

    def add(self, counted: Counted) -> None:
        """Count one assembly with its quantity."""
        many, wire = counted.built.assembly.quantity, counted.wire
        self.wires[wire.sku] = wire
        self.metres[wire.sku] = self.metres.get(wire.sku, Decimal(0)) + many * counted.cut / 1000
        self.cuts[wire.sku] = self.cuts.get(wire.sku, 0) + many
        self.kg += many * counted.cut / 1000 * wire.kg_per_100m / 100
        self.coil = max(self.coil, wire.least_coil)
        for part in counted.parts:
            key = (part.sku, part.kept)
            self.fittings[key] = (part.name, self.fittings.get(key, ("", 0))[1] + many * part.quantity)
            self.kg += many * part.quantity * part.kg
        for labour, work in counted.work:
            self.labour[labour.sku] = (labour.name, self.labour.get(labour.sku, ("", 0))[1] + many * work.quantity)

    def demands(self, rests: Mapping[str, Decimal]) -> tuple[Demand, ...]:
        """What is priced: wire by the metre, new parts and operations by the piece. `rests`: metres left of wires bought for the job."""
        wire = (
            Demand(
                sku=sku,
                name=row.name,
                group="wire",
                quantity=self.metres[sku],
                unit="m",
                cuts=self.cuts[sku],
                scrap_percent=row.scrap_percent,
                rest=rests.get(sku),
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
        return (*wire, *fittings, *labour)

    def lines(self) -> list[dict[str, object]]:
        """The bill of materials as it stands in the quote: wire and parts, kept ones too."""
        wire: list[dict[str, object]] = [
            {"sku": sku, "name": row.name, "quantity": f"{self.metres[sku]:.3f}", "unit": "m", "kept": False}
            for sku, row in self.wires.items()
        ]
        parts: list[dict[str, object]] = [
            {"sku": sku, "name": name, "quantity": str(many), "unit": "each", "kept": kept}
            for (sku, kept), (name, many) in self.fittings.items()
        ]
        return wire + parts
