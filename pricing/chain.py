"""The chain of one assembly: bearing to bearing, less every member that is not wire, plus the wire that fittings take, is the cut length."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import Term, term, total
from pricing.findings import Finding, code, finding
from pricing.fittings import Misfit
from pricing.fittings.own import origin
from pricing.identify import Named, identify
from pricing.reduction import (
    Reduced,
    datum_term,
    pin_change,
    reduce_readings,
    substitution,
)
from pricing.setting import Settled, settle
from pricing.sides import Side, choose_side
from pricing.stops import PlacedStop, Wireway, place_stops
from pricing.turnbuckle import Exposed
from pricing.turnbuckle_fit import TurnbuckleFit, hung
from pricing.units import spoken
from pricing.wire import choose_wire

if TYPE_CHECKING:
    from pricing.assembly import Assembly, OldTurnbuckle
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Wire
    from pricing.terms import Terms

INCLUDED_MISSING = code("includes-turnbuckle-missing", "stop", "Whether the reading took in the turnbuckle was not said.")
LINKS_MISSING = code("includes-links-missing", "stop", "Whether the reading took in the toggles and shackles was not said.")
TURNBUCKLE_UNKNOWN = code("turnbuckle-not-described", "stop", "The reading took in a turnbuckle that was not described.")
LINKS_UNKNOWN = code("links-not-described", "ask", "The reading is said to take in toggles or shackles, but none was described.")
OLD_AS_NEW = code(
    "old-stud-as-catalogue",
    "note",
    "The reading stopped at the stud: old stud and turnbuckle were taken to have the catalogue's dimensions.",
)
OLD_TURNBUCKLE_UNKNOWN = code(
    "old-turnbuckle-as-new",
    "ask",
    "The reading stopped at the stud and the turnbuckle is new: the old one was taken to have the new one's dimensions.",
)
TOO_SHORT = code("no-wire-left", "stop", "The fittings are longer than the assembly: no wire is left between them.")
TENSION_MISSING = code(
    "tension-missing",
    "ask",
    "The new wire is not the old one, but the everyday tension was not said: its other stretch is not allowed for.",
)
WIRE_CHANGED = code("wire-changed", "ask", "The new wire is not of the old one's construction, material or size.")
OLD_WIRE_UNKNOWN = code("old-wire-unknown", "ask", "The old wire is not in the catalogue: the change of stretch is not allowed for.")


class Built(NamedTuple):
    """What came of one assembly. Lengths are None where they cannot be had; `findings` say why, with pointers relative to it."""

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

    @property
    def turnbuckle(self) -> TurnbuckleFit | None:
        """The turnbuckle, whichever end it is at."""
        for side in (self.upper, self.lower):
            if side is not None and side.turnbuckle is not None:
                return side.turnbuckle
        return None


@dataclass(slots=True)
class Workpiece:
    """Scratch of one build: what has been said so far."""

    assembly: Assembly
    catalogue: Catalogue
    terms: Terms
    findings: list[Finding] = field(default_factory=list)


def build(assembly: Assembly, catalogue: Catalogue, terms: Terms) -> Built:
    """Build one assembly as far as its numbers allow. Never raises for an assembly that could be read."""
    assembly, named, doubts = identify(assembly, catalogue)
    wire, said = choose_wire(assembly.wire, catalogue)
    if wire is None:
        return Built(assembly, (*doubts, *said), named=named)
    piece = Workpiece(assembly, catalogue, terms, [*doubts, *said])
    upper, lower = (_side(piece, name, wire) for name in ("upper", "lower"))
    _ask_what_was_included(piece)
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


def _ask_what_was_included(piece: Workpiece) -> None:
    assembly = piece.assembly
    if assembly.turnbuckle is not None and assembly.measurement.includes_turnbuckle is None:
        remedy = "Say `measurement.includes_turnbuckle`: true if it ran to the turnbuckle's outer bearing, false if it stopped at the stud."
        piece.findings.append(
            finding(INCLUDED_MISSING, "measurement", "It is not known whether the reading took in the turnbuckle.", remedy)
        )
    if assembly.turnbuckle is None and assembly.measurement.includes_turnbuckle:
        remedy = "Describe the turnbuckle with its setting, or say that the reading did not take one in."
        message = "The reading took in a turnbuckle, and none was described."
        piece.findings.append(finding(TURNBUCKLE_UNKNOWN, "measurement/includes_turnbuckle", message, remedy))
    if assembly.measurement.includes_links and not (assembly.upper.links or assembly.lower.links):
        message = "The reading is said to take in links, and none was described."
        piece.findings.append(
            finding(LINKS_UNKNOWN, "measurement/includes_links", message, "Describe each toggle and shackle, or say false.")
        )
    if (assembly.upper.links or assembly.lower.links) and assembly.measurement.includes_links is None:
        remedy = "Say `measurement.includes_links`: true if it ran to the outermost toggle's or shackle's bearing."
        piece.findings.append(finding(LINKS_MISSING, "measurement", "It is not known whether the reading took in the links.", remedy))


def _measure(piece: Workpiece, built: Built, wire: Wire, sides: dict[str, Side]) -> Built:
    """Readings to target; members and wire taken to cut."""
    measured = piece.assembly.measurement
    reduced = reduce_readings(measured, wire, piece.terms.reading_limit, piece.assembly.everyday_tension)
    piece.findings += reduced.findings
    target_terms = [*reduced.terms, *_substituted(piece, wire, reduced.mean)]
    settled = _settled(piece, built)
    offsets: dict[str, Decimal] = {}
    for name, side in sides.items():
        outward = [*_datum(piece, name, side), *_left_out(piece, name, side, settled)]
        outward += _new_pin(piece, name, side)
        offsets[name] = total(outward)
        target_terms += outward
    cut_terms = [each for name, side in sides.items() for each in _members(name, side, settled)]
    cut_terms += [each for side in sides.values() for each in side.fitting.taken]
    if any(each.severity == "stop" for each in piece.findings):
        return built._replace(findings=tuple(piece.findings), settled=settled, reduced=reduced)
    return _lengths(piece, built, wire, sides, settled, reduced, tuple(target_terms), tuple(cut_terms), offsets)


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
        message = f"The fittings are {spoken(-free)} longer than what was measured: no wire is left between them."
        piece.findings.append(finding(TOO_SHORT, "measurement/readings/0", message, "Measure again, and check what the reading took in."))
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


def _substituted(piece: Workpiece, wire: Wire, mean: Decimal) -> list[Term]:
    spec = piece.assembly.old_wire
    if spec is None or spec.diameter is None:
        return []
    old = piece.catalogue.wire(spec.construction, spec.material or wire.material, spec.diameter)
    if old is None:
        message = f"The old {spec.size} {spec.construction} wire is not in the catalogue."
        piece.findings.append(finding(OLD_WIRE_UNKNOWN, "old_wire", message, "Name the old wire's size as the catalogue has it."))
        return []
    if old.sku == wire.sku:
        return []
    piece.findings.append(_wire_changed(old, wire))
    tension = piece.assembly.everyday_tension
    if tension is None:
        message = f"{old.name} and {wire.name} stretch differently, and the everyday tension was not said."
        piece.findings.append(
            finding(TENSION_MISSING, "old_wire", message, "Say `everyday_tension`, or accept that the length is not corrected.")
        )
        return []
    return [substitution(old, wire, mean, tension)]


def _wire_changed(old: Wire, new: Wire) -> Finding:
    weaker = f", which is weaker ({_kn(new)} against {_kn(old)})" if new.break_kn < old.break_kn else ""
    message = f"{old.name} is replaced by {new.name}{weaker}."
    return finding(WIRE_CHANGED, "wire", message, "Replace like for like, or have the change designed by a qualified person.")


def _kn(wire: Wire) -> str:
    """Its minimum breaking load in words."""
    return f"{wire.break_kn:.1f} kN"


def _settled(piece: Workpiece, built: Built) -> Settled | None:
    asked, laid = piece.assembly.turnbuckle, built.turnbuckle
    if asked is None or laid is None:
        return None
    settled = settle(asked, laid.geometry, piece.terms.centred_share, included=piece.assembly.measurement.includes_turnbuckle is not False)
    piece.findings += settled.findings
    return settled


def _included(piece: Workpiece) -> tuple[bool, bool]:
    measured = piece.assembly.measurement
    return measured.includes_turnbuckle is not False, measured.includes_links is not False


def _datum(piece: Workpiece, name: str, side: Side) -> list[Term]:
    turnbuckle, links = _included(piece)
    frame = side.outermost(turnbuckle=turnbuckle, links=links)
    datum = piece.assembly.measurement.upper_datum if name == "upper" else piece.assembly.measurement.lower_datum
    found, said = datum_term(name, datum, side.end, frame)
    piece.findings += said
    return [found] if found else []


def _left_out(piece: Workpiece, name: str, side: Side, settled: Settled | None) -> list[Term]:
    """Members between the reading's end and the outermost bearing, which the target runs to: added, as they were on the old assembly."""
    turnbuckle, links = _included(piece)
    found: list[Term] = []
    laid = side.turnbuckle
    if laid is not None and not turnbuckle:
        if settled is None or settled.recorded is None:
            return []  # cut to the stud; what lies outward is never added nor taken off
        old = piece.assembly.turnbuckle.old if piece.assembly.turnbuckle else None
        if old is None:
            found += _old_turnbuckle(name, side, laid, settled.recorded)
            _say_old_assumed(piece, settled)
        else:
            found += _measured_turnbuckle(name, laid, settled.recorded, old)
    if side.links.terms and (not links or (laid is not None and not turnbuckle)):
        found += [_added(each) for each in side.links.terms]
    return found


def _say_old_assumed(piece: Workpiece, settled: Settled) -> None:
    if settled.same_geometry:
        message = "The old stud and turnbuckle were taken to have the dimensions that the derivation shows."
        piece.findings.append(
            finding(OLD_AS_NEW, "measurement", message, "Compare the old stud's thread length and the body's length with them.")
        )
        return
    message = "The old turnbuckle was taken to have the new one's dimensions."
    piece.findings.append(
        finding(OLD_TURNBUCKLE_UNKNOWN, "turnbuckle", message, "Say `like_for_like` if so; else measure again with the turnbuckle in.")
    )


def _old_turnbuckle(name: str, side: Side, laid: TurnbuckleFit, recorded: Exposed) -> list[Term]:
    """− (T − g) of the stud that was measured whole, + body + the outer screw as it was set."""
    inner, outer = (recorded.upper, recorded.lower) if laid.at == "lower" else (recorded.lower, recorded.upper)
    found = []
    if laid.stud:
        length = side.fitting.thread_length
        words = "− (thread length − exposed thread): that much of the stud was inside the body"
        found.append(
            term(
                f"{name} stud inside the old turnbuckle",
                inner - length,
                f"{origin(side.fitting.sku or '')}; measured setting",
                words,
                thread_length=length,
                exposed=inner,
            )
        )
    else:
        found.append(term(f"{name} inner exposed thread, old", inner, "measured setting", "exposed thread", exposed=inner))
    found += [_added(each) for each in laid.fixed]
    found.append(term(f"{name} outer exposed thread, old", outer, "measured setting", "exposed thread", exposed=outer))
    return found


def _measured_turnbuckle(name: str, laid: TurnbuckleFit, recorded: Exposed, old: OldTurnbuckle) -> list[Term]:
    """The same from the old stud's, body's and screw's own measurements."""
    inner, outer = (recorded.upper, recorded.lower) if laid.at == "lower" else (recorded.lower, recorded.upper)
    source, length = "measured on the old turnbuckle", old.stud_thread_length
    words = "− (thread length − exposed thread): that much of the stud was inside the body"
    return [
        term(f"{name} stud inside the old turnbuckle", inner - length, source, words, thread_length=length, exposed=inner),
        term("old turnbuckle body, not in the reading", old.body, source, "body, face to face", length=old.body),
        term(
            "old turnbuckle run-out to bearing, not in the reading",
            old.runout,
            source,
            "thread's run-out to the bearing",
            runout=old.runout,
        ),
        term(f"{name} outer exposed thread, old", outer, "measured setting", "exposed thread", exposed=outer),
    ]


def _added(each: Term) -> Term:
    return Term(f"{each.step}, not in the reading", -each.mm, each.source, each.formula, each.inputs)


def _new_pin(piece: Workpiece, name: str, side: Side) -> list[Term]:
    frame = side.outermost(turnbuckle=True, links=True)
    found, said = pin_change(name, side.end, frame)
    piece.findings += said
    return [found] if found else []


def _members(name: str, side: Side, settled: Settled | None) -> list[Term]:
    """Everything at this end that is not wire, from the load inward."""
    laid = side.turnbuckle
    if laid is None:
        return [*side.links.terms, *side.fitting.members]
    if settled is None or settled.build is None:
        length = side.fitting.thread_length
        whole = term(f"{name} stud's whole thread", -length, origin(side.fitting.sku or ""), "run-out to last thread", thread_length=length)
        return [whole, *side.fitting.members]
    source = "recorded setting" if settled.how == "as_recorded" else "middle of the travel, shop's share"
    exposed = [
        term(f"{which} exposed thread, built", -mm, source, "exposed thread at the setting to build at", exposed=mm)
        for which, mm in (("upper", settled.build.upper), ("lower", settled.build.lower))
    ]
    return [*side.links.terms, *laid.fixed, *exposed, *side.fitting.members]
