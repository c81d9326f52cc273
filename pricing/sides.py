"""Choosing everything on one end of a wire: terminal, turnbuckle, links, and the pins that they need."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.fittings import FAMILIES, Asked, Fitting, Frame, Member, Misfit, Part
from pricing.links import Inner, Joined, join_links
from pricing.pins import choose_pins
from pricing.turnbuckle_fit import THREAD_UNKNOWN, TurnbuckleFit, fit_turnbuckle

if TYPE_CHECKING:
    from pricing.assembly import Assembly, End, WireSpec
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Wire
    from pricing.terms import Terms

NO_WIRE = code("no-such-wire", "stop", "The catalogue has no wire of that construction, material and size.")
MATERIAL_ASSUMED = code("material-assumed", "note", "The wire's material was not said; 316 was assumed.")
TOGETHER_ONLY = code("turnbuckle-without-place", "stop", "A turnbuckle cannot hang on that end.")
SIZE_AS_NOMINAL = code("size-taken-as-nominal", "note", "A wire's size was written rounded and taken as the catalogue's nominal size.")
WRITTEN_ROUNDED = Decimal("0.01")  # 3/16 in is 4.7625 mm and often written 4.76 mm


@dataclass(frozen=True, slots=True)
class Side:
    """One end with everything outward of the wire."""

    end: End
    fitting: Fitting
    turnbuckle: TurnbuckleFit | None
    links: Joined
    parts: tuple[Part, ...]
    strength: tuple[Member, ...]

    def outermost(self, *, turnbuckle: bool, links: bool) -> Frame:
        """The frame of the outermost member, with or without turnbuckle and links."""
        if links and self.links.frame is not None and (turnbuckle or self.turnbuckle is None):
            return self.links.frame
        if self.turnbuckle is not None and turnbuckle:
            return self.turnbuckle.frame
        return self.fitting.frame


@dataclass(slots=True)
class Workpiece:
    """Scratch of one build: what has been found so far."""

    assembly: Assembly
    catalogue: Catalogue
    terms: Terms
    findings: list[Finding] = field(default_factory=list)


def choose_wire(piece: Workpiece, spec: WireSpec, at: str) -> Wire | None:
    material = spec.material
    if material is None:
        piece.findings.append(finding(MATERIAL_ASSUMED, at, "The wire was taken to be of 316.", "Say `wire.material` if it is another."))
        material = "316"
    wire = piece.catalogue.wire(spec.construction, material, spec.diameter)
    if wire is None:
        near = sorted(piece.catalogue.wires_of(spec.construction, material), key=lambda row: abs(row.diameter - spec.diameter))[:2]
        if near and abs(near[0].diameter - spec.diameter) < WRITTEN_ROUNDED:
            message = f"{spec.size} was taken as the nominal size {near[0].size}."
            piece.findings.append(finding(SIZE_AS_NOMINAL, f"{at}/diameter", message, "Write the nominal size of the wire."))
            return near[0]
        sizes = " and ".join(row.size for row in near) or "none of that construction and material"
        message = f"There is no {spec.size} {spec.construction} wire of {material}; the nearest are {sizes}."
        piece.findings.append(finding(NO_WIRE, f"{at}/diameter", message, "Measure the bare wire with a caliper across its strands and name a size from the catalogue."))
    return wire


def choose_side(piece: Workpiece, name: str, end: End, wire: Wire) -> Side | None:
    asked_turnbuckle = piece.assembly.turnbuckle if piece.assembly.turnbuckle and piece.assembly.turnbuckle.at == name else None
    threads = _threads(piece, name, end, asked_turnbuckle.thread if asked_turnbuckle else None)
    if threads is None:
        return None
    own_thread, turnbuckle_thread = threads
    hand = None
    if asked_turnbuckle:
        body = piece.catalogue.body(asked_turnbuckle.body, turnbuckle_thread or own_thread or "")
        hand = asked_turnbuckle.hand or (body.stud_hand if body else None)
    asked = Asked(name, end if own_thread == end.thread else replace(end, thread=own_thread), wire, turnbuckle_thread, hand, asked_turnbuckle is not None)
    fitting = FAMILIES[end.terminal].fit(asked, piece.catalogue)
    if isinstance(fitting, Misfit):
        piece.findings += fitting.findings
        return None
    piece.findings += fitting.findings
    turnbuckle: TurnbuckleFit | None = None
    if asked_turnbuckle:
        laid = _hang_turnbuckle(piece, fitting, turnbuckle_thread or own_thread or fitting.thread)
        if laid is None:
            return None
        turnbuckle = laid
    return _with_links(piece, name, end, fitting, turnbuckle)


def _threads(piece: Workpiece, name: str, end: End, turnbuckle: str | None) -> tuple[str | None, str | None] | None:
    """Canonical designations of the stud's and the turnbuckle's thread, or None where one is unknown."""
    found: list[str | None] = []
    for at, text in ((f"{name}/thread", end.thread), ("turnbuckle/thread", turnbuckle)):
        row = piece.catalogue.thread(text) if text is not None else None
        if text is not None and row is None:
            piece.findings.append(finding(THREAD_UNKNOWN, at, f"The thread '{text}' is not known.", "Measure its diameter and pitch; write for example 3/8-24 UNF or M8."))
            return None
        found.append(row.designation if row else None)
    return found[0], found[1]


def _hang_turnbuckle(piece: Workpiece, fitting: Fitting, thread: str | None) -> TurnbuckleFit | None:
    asked = piece.assembly.turnbuckle
    if asked is None or thread is None:
        message = "The turnbuckle's thread was not said, and the wire's terminal has none."
        piece.findings.append(finding(TOGETHER_ONLY, "turnbuckle", message, "Say `turnbuckle.thread`."))
        return None
    laid = fit_turnbuckle(asked, fitting, thread, piece.catalogue)
    piece.findings += laid.findings
    return None if isinstance(laid, Misfit) else laid


def _with_links(piece: Workpiece, name: str, end: End, fitting: Fitting, turnbuckle: TurnbuckleFit | None) -> Side | None:
    frame, jaw = (turnbuckle.frame, turnbuckle.jaw) if turnbuckle else (fitting.frame, fitting.jaw)
    links = join_links(name, end.links, Inner(frame.pin, frame.hole, jaw is not None), piece.catalogue)
    if isinstance(links, Misfit):
        piece.findings += links.findings
        return None
    piece.findings += links.findings
    own = ((fitting.frame.pin, fitting.jaw, end.reuse),) if fitting.frame.pin is not None and fitting.jaw is not None else ()
    pins, sheared, said = choose_pins((*own, *(turnbuckle.pins if turnbuckle else ()), *links.pins), name, piece.catalogue)
    piece.findings += said
    parts = (*fitting.parts, *(turnbuckle.parts if turnbuckle else ()), *links.parts, *pins)
    strength = (*fitting.strength, *(turnbuckle.strength if turnbuckle else ()), *links.strength, *sheared)
    return Side(end, fitting, turnbuckle, links, parts, strength)


