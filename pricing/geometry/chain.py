"""The chain of one assembly: cut length = bearing to bearing, less every member that is not wire, plus the wire that the fittings take."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import Term, total
from pricing.findings import Finding, code, finding
from pricing.geometry.sides import Side
from pricing.geometry.stops import PlacedStop, Wireway, place_stops
from pricing.geometry.turnbuckle_fit import TurnbuckleFit
from pricing.geometry.turnbuckle_setting import Settled
from pricing.geometry.unread import Both, Unread, unread
from pricing.measurement.identification import Named
from pricing.measurement.old_wire import measured_wire
from pricing.measurement.reduction import Reduced, mean_of, reduce_readings
from pricing.values import Length

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.terms import Terms
    from pricing.measurement.assembly import Assembly
    from pricing.rows import Wire

TOO_SHORT = code("no-wire-left", "stop", "The fittings are longer than the assembly: no wire is left between them.")
OVERLAP = code(
    "fittings-overlap", "stop", "Thimble eyes, sleeves or barrels would lie on each other: the free wire between them is too short."
)


class Built(NamedTuple):
    """The result of building one assembly. Lengths that cannot be determined are None; `findings` say why, with pointers relative to it.

    `unread` is everything about it that its readings do not change.
    """

    assembly: Assembly
    findings: tuple[Finding, ...]
    unread: Unread
    wire: Wire | None = None
    upper: Side | None = None
    lower: Side | None = None
    settled: Settled | None = None
    reduced: Reduced | None = None
    target_terms: tuple[Term, ...] = ()
    cut_terms: tuple[Term, ...] = ()
    target: Decimal | None = None
    cut: Decimal | None = None
    free_wire: Decimal | None = None
    stops: tuple[PlacedStop, ...] = ()

    @property
    def named(self) -> tuple[Named, ...]:
        """Sizes and threads that were identified."""
        return self.unread.named

    @property
    def turnbuckle(self) -> TurnbuckleFit | None:
        """The turnbuckle, at whichever end it is."""
        return None if self.unread.both is None else self.unread.both.turnbuckle


def build(assembly: Assembly, catalogue: Catalogue, terms: Terms) -> Built:
    """Build one assembly as far as its numbers allow. Never raises for an assembly that could be read."""
    of = unread(assembly, catalogue, terms)
    if of.identified:
        said = of.parts
        assembly = replace(assembly, wire=said.wire, old_wire=said.old_wire, upper=said.upper, lower=said.lower, turnbuckle=said.turnbuckle)
    if of.wire is None or of.both is None:
        return Built(assembly, of.before, of, of.wire)
    reduced = _reduced(assembly, of.wire, of.both, catalogue, terms)
    findings = (*of.before, *reduced.findings, *of.after)
    if of.stopped or any(each.severity == "stop" for each in reduced.findings):
        return Built(assembly, findings, of, of.wire, of.both.upper, of.both.lower, of.both.settled, reduced)
    return _lengths(assembly, of, of.wire, of.both, reduced, findings, catalogue, terms)


def _reduced(assembly: Assembly, wire: Wire, both: Both, catalogue: Catalogue, terms: Terms) -> Reduced:
    """The corrected readings.

    Only the wire between the fittings stretches and expands; it is shorter than the reading by what is not wire.
    """
    measured = assembly.measurement
    wires, said = measured_wire(assembly, wire, catalogue)
    free = mean_of(measured.readings) + (both.to_target - both.upper_member - both.lower_member)
    reduced = reduce_readings(measured, wires, free, assembly.everyday_tension, terms)
    return reduced._replace(findings=(*reduced.findings, *said)) if said else reduced


def _lengths(
    assembly: Assembly, of: Unread, wire: Wire, both: Both, reduced: Reduced, findings: tuple[Finding, ...], catalogue: Catalogue, terms: Terms
) -> Built:  # fmt: skip
    target = total(reduced.terms) + both.to_target
    cut = target + both.to_cut
    free = cut - both.taken
    placed: tuple[PlacedStop, ...] = ()
    if free <= 0:
        findings = (*findings, finding(TOO_SHORT, "measurement/readings/0", over=Length(-free)))
    elif free < both.covered:
        findings = (*findings, finding(OVERLAP, "measurement/readings/0", over=Length(both.covered - free), free=Length(free)))
    elif assembly.stops:
        way = Wireway(
            free, both.upper_member, both.lower_member, both.upper.fitting.covered, both.lower.fitting.covered, both.upper.taken
        )  # fmt: skip
        clearance = terms.stop_clearance_diameters * wire.diameter
        placed, said = place_stops(assembly.stops, both.offsets, way, wire, catalogue, clearance)
        findings = (*findings, *said)
    bare = "none" in (assembly.upper.terminal, assembly.lower.terminal)
    known = not bare and not (both.turnbuckle is not None and (both.settled is None or both.settled.build is None))
    return Built(
        assembly, findings, of, wire, both.upper, both.lower, both.settled, reduced, (*reduced.terms, *both.outward), both.cut_terms,
        target if known else None, cut if free > 0 else None, free if free > 0 else None, placed,
    )  # fmt: skip
