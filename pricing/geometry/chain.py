"""The chain of one assembly: cut length = bearing to bearing, less every member that is not wire, plus the wire that the fittings take."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import Term, term, total
from pricing.findings import Finding, code, finding
from pricing.fittings import Contribution, Misfit
from pricing.fittings.own import origin
from pricing.geometry.bearing import bearing_change
from pricing.geometry.boat_end import unsaid
from pricing.geometry.kept_parts import tell_kept
from pricing.geometry.links import OldLink, old_terms
from pricing.geometry.old_turnbuckle import old_turnbuckle
from pricing.geometry.plausible_sizes import implausible
from pricing.geometry.sides import Side, choose_side
from pricing.geometry.stops import PlacedStop, Wireway, place_stops
from pricing.geometry.turnbuckle_fit import TurnbuckleFit, hung
from pricing.geometry.turnbuckle_setting import Settled, settle
from pricing.measurement.identification import Named, identify
from pricing.measurement.included import ask_what_was_included, read_at, replaced_unmeasured
from pricing.measurement.old_wire import measured_wire
from pricing.measurement.reduction import Reduced, datum_term, mean_of, reduce_readings
from pricing.measurement.wire import choose_wire
from pricing.values import Length, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.terms import Terms
    from pricing.measurement.assembly import Assembly
    from pricing.rows import Wire

OLD_LINK_UNKNOWN = code("old-link-unknown", "stop", "A link that is not in the reading is left away, and nobody knows how long it was.")
TOO_SHORT = code("no-wire-left", "stop", "The fittings are longer than the assembly: no wire is left between them.")
OVERLAP = code(
    "fittings-overlap", "stop", "Thimble eyes, sleeves or barrels would lie on each other: the free wire between them is too short."
)


class Built(NamedTuple):
    """The result of building one assembly. Lengths that cannot be determined are None; `findings` say why, with pointers relative to it."""

    assembly: Assembly
    findings: tuple[Finding, ...]
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
    named: tuple[Named, ...] = ()
    contributions: tuple[Contribution, ...] = ()

    @property
    def turnbuckle(self) -> TurnbuckleFit | None:
        """The turnbuckle, at whichever end it is."""
        for side in (self.upper, self.lower):
            if side is not None and side.turnbuckle is not None:
                return side.turnbuckle
        return None


@dataclass(slots=True)
class Workpiece:
    """Working state of one build, with the findings so far."""

    assembly: Assembly
    catalogue: Catalogue
    terms: Terms
    findings: list[Finding] = field(default_factory=list)


def build(assembly: Assembly, catalogue: Catalogue, terms: Terms) -> Built:
    """Build one assembly as far as its numbers allow. Never raises for an assembly that could be read."""
    assembly, named, contributions = identify(assembly, catalogue)
    wire, said = choose_wire(assembly.wire, catalogue)
    if wire is None:
        return Built(assembly, (*contributions, *said), named=named)
    piece = Workpiece(assembly, catalogue, terms, [*contributions, *said])
    upper, lower = (_side(piece, name, wire) for name in ("upper", "lower"))
    piece.findings += ask_what_was_included(piece.assembly)
    if upper is None or lower is None:
        return Built(assembly, tuple(piece.findings), wire, named=named)
    return _measure(piece, Built(assembly, (), wire, upper, lower, named=named), wire, {"upper": upper, "lower": lower})


def _side(piece: Workpiece, name: str, wire: Wire) -> Side | None:
    assembly = piece.assembly
    turnbuckle = assembly.turnbuckle
    there = hung(turnbuckle) if turnbuckle is not None and turnbuckle.at == name else None
    side = choose_side(name, assembly.upper if name == "upper" else assembly.lower, there, wire.sku, piece.catalogue)
    piece.findings += side.findings
    return None if isinstance(side, Misfit) else side


def _measure(piece: Workpiece, built: Built, wire: Wire, sides: dict[str, Side]) -> Built:
    """From readings to target length, then from members and wire taken to cut length."""
    first = len(piece.findings)
    settled = _settled(piece, built)
    all_outward: list[Term] = []
    offsets: dict[str, Decimal] = {}
    for name, side in sides.items():
        outward = [*_datum(piece, name, side), *_left_out(piece, name, side, settled)]
        outward += _new_bearing(piece, name, side)
        offsets[name] = total(outward)
        all_outward += outward
    piece.findings += unsaid(
        (name, side.links.face, side.bears_otherwise)
        for name, side in sides.items()
        if side.end.boat_fitting is None and side.end.joins is None
    )
    members = [each for name, side in sides.items() for each in _members(name, side, settled)]
    reduced = _reduced(piece, wire, total(all_outward) + total(members))
    piece.findings[first:first] = reduced.findings
    target_terms = [*reduced.terms, *all_outward]
    cut_terms = [*members, *(each for side in sides.values() for each in side.fitting.taken)]
    kept = tell_kept(piece.assembly, sides, settled, piece.catalogue, piece.terms)
    piece.findings += kept.findings
    piece.findings += implausible(piece.assembly, sides, settled, piece.catalogue)
    built = built._replace(contributions=kept.contributions)
    if any(each.severity == "stop" for each in piece.findings):
        return built._replace(findings=tuple(piece.findings), settled=settled, reduced=reduced)
    return _lengths(piece, built, wire, sides, settled, reduced, tuple(target_terms), tuple(cut_terms), offsets)


def _reduced(piece: Workpiece, wire: Wire, not_wire: Decimal) -> Reduced:
    """The corrected readings.

    Only the wire between the fittings stretches and expands; it is shorter than the reading by `not_wire` (negative).
    """
    measured = piece.assembly.measurement
    wires, said = measured_wire(piece.assembly, wire, piece.catalogue)
    free = mean_of(measured.readings) + not_wire
    reduced = reduce_readings(measured, wires, free, piece.assembly.everyday_tension, piece.terms)
    return reduced._replace(findings=(*reduced.findings, *said))


def _lengths(
    piece: Workpiece, built: Built, wire: Wire, sides: dict[str, Side], settled: Settled | None, reduced: Reduced,
    target_terms: tuple[Term, ...], cut_terms: tuple[Term, ...], offsets: dict[str, Decimal],
) -> Built:  # fmt: skip
    assembly = piece.assembly
    target = total(target_terms)
    upper, lower = sides["upper"], sides["lower"]
    cut = target + total(cut_terms)
    free = cut - upper.taken - lower.taken
    placed: tuple[PlacedStop, ...] = ()
    if free <= 0:
        piece.findings.append(finding(TOO_SHORT, "measurement/readings/0", over=Length(-free)))
    elif free < upper.fitting.covered + lower.fitting.covered:
        piece.findings.append(_overlap(free, upper, lower))
    elif assembly.stops:
        way = Wireway(
            free, -total(_members("upper", upper, settled)), -total(_members("lower", lower, settled)),
            upper.fitting.covered, lower.fitting.covered, upper.taken,
        )  # fmt: skip
        clearance = piece.terms.stop_clearance_diameters * wire.diameter
        placed, said = place_stops(assembly.stops, offsets, way, wire, piece.catalogue, clearance)
        piece.findings += said
    bare = "none" in (assembly.upper.terminal, assembly.lower.terminal)
    known = not bare and not (built.turnbuckle is not None and (settled is None or settled.build is None))
    return built._replace(
        findings=tuple(piece.findings), settled=settled, reduced=reduced, target_terms=target_terms, cut_terms=cut_terms,
        target=target if known else None, cut=cut if free > 0 else None, free_wire=free if free > 0 else None, stops=placed,
    )  # fmt: skip


def _overlap(free: Decimal, upper: Side, lower: Side) -> Finding:
    """The finding for sleeves on the free wire: there must be room for those of both ends."""
    over = upper.fitting.covered + lower.fitting.covered - free
    return finding(OVERLAP, "measurement/readings/0", over=Length(over), free=Length(free))


def _settled(piece: Workpiece, built: Built) -> Settled | None:
    asked, laid = piece.assembly.turnbuckle, built.turnbuckle
    if asked is None or laid is None:
        return None
    settled = settle(asked, laid.geometry, piece.terms.centred_share, included=piece.assembly.measurement.includes_turnbuckle is not False)
    piece.findings += settled.findings
    return settled


def _datum(piece: Workpiece, name: str, side: Side) -> list[Term]:
    """The term for the datum. Datum and pin are those of the outermost member included in the reading; an `old_pin` is the boat's."""
    read = read_at(piece.assembly, name)
    frame = side.read_to(turnbuckle=read.turnbuckle, links=read.links)
    datum = piece.assembly.measurement.upper_datum if name == "upper" else piece.assembly.measurement.lower_datum
    end = side.end if side.end.old_pin is None or frame is side.old_frame else replace(side.end, old_pin=None)
    found, said = datum_term(name, datum, end, frame)
    piece.findings += said
    return [found] if found else []


def _left_out(piece: Workpiece, name: str, side: Side, settled: Settled | None) -> list[Term]:
    """Members between the end of the reading and the outermost bearing, where the target ends: added as they were on the old assembly."""
    read = read_at(piece.assembly, name)
    found: list[Term] = []
    laid = side.turnbuckle
    if laid is not None and not read.turnbuckle:
        if settled is None or settled.recorded is None:
            return []  # cut to the stud: what lies outside it is neither added nor subtracted
        asked = piece.assembly.turnbuckle
        found += old_turnbuckle(name, side, laid, settled.recorded, asked) if asked is not None else []
    if not side.end.links:
        return found
    piece.findings += replaced_unmeasured(piece.assembly, name)
    for link in side.links.old[read.links :]:
        found += old_terms(name, link) if link.length is not None else _no_length(piece, name, link)
    return found


def _no_length(piece: Workpiece, name: str, link: OldLink) -> list[Term]:
    part = phrase(f"old_link.{link.kind}")
    piece.findings.append(finding(OLD_LINK_UNKNOWN, f"{name}/links/{link.place}", link.kind, part=part, end=phrase(f"end.{name}")))
    return []


def _new_bearing(piece: Workpiece, name: str, side: Side) -> list[Term]:
    found, said = bearing_change(name, side.end, side.old_frame, side.frame)
    piece.findings += said
    return [found] if found else []


def _members(name: str, side: Side, settled: Settled | None) -> list[Term]:
    """Everything at this end that is not wire, from the load inward."""
    laid = side.turnbuckle
    if laid is None:
        return [*side.links.terms, *side.fitting.members]
    if settled is None or settled.build is None:
        length = side.fitting.thread_length
        whole = term("stud-thread", -length, origin(side.fitting.sku or ""), name, thread_length=length)
        return [whole, *side.fitting.members]
    source = phrase("source.recorded_setting" if settled.how == "as_recorded" else "source.middle_of_travel")
    exposed = [
        term("exposed-thread", -mm, source, which, exposed=mm)
        for which, mm in (("upper", settled.build.upper), ("lower", settled.build.lower))
    ]
    return [*side.links.terms, *laid.fixed, *exposed, *side.fitting.members]
