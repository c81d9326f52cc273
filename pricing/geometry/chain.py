"""The chain of one assembly: cut length = bearing to bearing, less every member that is not wire, plus the wire that the fittings take."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import Term, total
from pricing.findings import Finding, code, finding
from pricing.geometry.hardware import BothEnds, Hardware, build_hardware
from pricing.geometry.sides import Side
from pricing.geometry.stops import PlacedStop, Wireway, place_stops
from pricing.geometry.turnbuckle_fit import TurnbuckleFit
from pricing.geometry.turnbuckle_setting import ChosenSetting
from pricing.measurement.identification import Identification
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
    """One assembly as built. Lengths are in mm, and None if they cannot be determined: `findings` say why, with pointers relative to it.

    `target` is bearing to bearing, `cut` the wire to cut, `free_wire` the part of it outside the fittings. `hardware` is what does not
    depend on the readings.
    """

    assembly: Assembly
    findings: tuple[Finding, ...]
    hardware: Hardware
    wire: Wire | None = None
    upper: Side | None = None
    lower: Side | None = None
    chosen_setting: ChosenSetting | None = None
    reduced: Reduced | None = None
    target_terms: tuple[Term, ...] = ()
    cut_terms: tuple[Term, ...] = ()
    target: Decimal | None = None
    cut: Decimal | None = None
    free_wire: Decimal | None = None
    stops: tuple[PlacedStop, ...] = ()

    @property
    def identifications(self) -> tuple[Identification, ...]:
        """Sizes and threads that were identified."""
        return self.hardware.identifications

    @property
    def turnbuckle(self) -> TurnbuckleFit | None:
        """The turnbuckle, at whichever end it is."""
        return None if self.hardware.ends is None else self.hardware.ends.turnbuckle


def build(assembly: Assembly, catalogue: Catalogue, terms: Terms) -> Built:
    """Build one assembly as far as its numbers allow. Never raises for an assembly that could be parsed."""
    hardware = build_hardware(assembly, catalogue, terms)
    if hardware.any_identified:
        named = hardware.assembly
        assembly = replace(
            assembly, wire=named.wire, old_wire=named.old_wire, upper=named.upper, lower=named.lower, turnbuckle=named.turnbuckle
        )
    if hardware.wire is None or hardware.ends is None:
        return Built(assembly, hardware.before, hardware, hardware.wire)
    reduced = _reduced(assembly, hardware.wire, hardware.ends, catalogue, terms)
    findings = (*hardware.before, *reduced.findings, *hardware.after)
    if hardware.stopped or any(each.severity == "stop" for each in reduced.findings):
        return Built(
            assembly, findings, hardware, hardware.wire, hardware.ends.upper, hardware.ends.lower, hardware.ends.chosen_setting, reduced
        )
    return _lengths(assembly, hardware, hardware.wire, hardware.ends, reduced, findings, catalogue, terms)


def _reduced(assembly: Assembly, wire: Wire, ends: BothEnds, catalogue: Catalogue, terms: Terms) -> Reduced:
    """The corrected readings.

    Only the free wire between the fittings stretches and expands, so corrections use its length: the mean reading less the members in it.
    """
    measured = assembly.measurement
    wires, more = measured_wire(assembly, wire, catalogue)
    free = mean_of(measured.readings) + (ends.to_target - ends.upper_member - ends.lower_member)
    reduced = reduce_readings(measured, wires, free, assembly.everyday_tension, terms)
    return reduced._replace(findings=(*reduced.findings, *more)) if more else reduced


def _lengths(
    assembly: Assembly, hardware: Hardware, wire: Wire, ends: BothEnds, reduced: Reduced, findings: tuple[Finding, ...], catalogue: Catalogue, terms: Terms
) -> Built:  # fmt: skip
    target = total(reduced.terms) + ends.to_target
    cut = target + ends.to_cut
    free = cut - ends.taken
    placed: tuple[PlacedStop, ...] = ()
    if free <= 0:
        findings = (*findings, finding(TOO_SHORT, "measurement/readings/0", over=Length(-free)))
    elif free < ends.covered:
        findings = (*findings, finding(OVERLAP, "measurement/readings/0", over=Length(ends.covered - free), free=Length(free)))
    elif assembly.stops:
        way = Wireway(
            free, ends.upper_member, ends.lower_member, ends.upper.fitting.covered, ends.lower.fitting.covered, ends.upper.taken
        )  # fmt: skip
        clearance = terms.stop_clearance_diameters * wire.diameter
        placed, more = place_stops(assembly.stops, ends.offsets, way, wire, catalogue, clearance)
        findings = (*findings, *more)
    bare = "none" in (assembly.upper.terminal, assembly.lower.terminal)
    known = not bare and not (ends.turnbuckle is not None and (ends.chosen_setting is None or ends.chosen_setting.build is None))
    return Built(
        assembly, findings, hardware, wire, ends.upper, ends.lower, ends.chosen_setting, reduced, (*reduced.terms, *ends.outward), ends.cut_terms,
        target if known else None, cut if free > 0 else None, free if free > 0 else None, placed,
    )  # fmt: skip
