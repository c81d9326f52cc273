"""Checks on the customer's own entries: notes, decimal feet, one setting or measurement for many wires, parts sent in but not kept."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from pricing.checks.assessment import Assessment
from pricing.checks.base import Placed, Shop, first_to_cut
from pricing.findings import Finding, code, finding
from pricing.geometry.hardware import CACHE_SIZE, Hardware
from pricing.joints.members import at_end
from pricing.measurement.roles import ROLES
from pricing.units import imperial, in_decimal_feet
from pricing.values import Count, Length, Listing, Phrase, Text, phrase

if TYPE_CHECKING:
    from pricing.measurement.assembly import Assembly, End, Link, Turnbuckle

MANY = 8  # of one role per boat: common practice, no source
QUANTITY = code("quantity-unusual", "ask", "More wires of one measure are ordered than a boat usually has of that role.")
NOTE = code(
    "customers-note", "ask", "The customer wrote a note on an assembly or on the request: somebody must read it before cutting.", "shop"
)
DECIMAL_FEET = code(
    "decimal-feet", "ask", "A reading was written in feet with a decimal fraction, which a rule in feet and inches does not show."
)
ONE_SETTING = code("one-setting-for-several", "ask", "Several assemblies are made to one turnbuckle's setting; no two are set alike.")
BARE_LONG = code("bare-end-long", "ask", "More wire is to be left at a bare end than the shop expects.")
SENT_NOT_KEPT = code("sent-in-not-kept", "ask", "A part is to be sent in, but is not kept: a new one was quoted.")
COATED_SIZE = code("coated-wire-size", "ask", "A coated wire's size was taken as the bare wire's, and bare wire is quoted.")


def notes(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """An assembly's note, reported once."""
    note = assessment.built.assembly.note
    if note is not None:
        yield _read("note", note)


def request_note(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """The request's note, reported at the first assembly with a cut length, so that one settlement answers it."""
    if shop.request.note is not None:
        yield first_to_cut(assessments, range(len(assessments))), _read("/note", shop.request.note)


def _read(at: str, note: str) -> Finding:
    """A finding with the customer's note on one line."""
    return finding(NOTE, at, note=Text(" ".join(note.split())))


def decimal_feet(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """Repeated back in feet and inches: `31.4 ft` may have meant 31 ft 4 in."""
    measured = assessment.built.assembly.measurement
    read = [(mm, text) for mm, text in zip(measured.readings, measured.written, strict=False) if in_decimal_feet(text)]
    if read:
        repeated = [phrase("reading.taken", written=Text(text), taken=Text(imperial(mm))) for mm, text in read]
        yield finding(DECIMAL_FEET, "measurement/readings", readings=Listing(tuple(repeated)))


def one_setting(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """Several wires made to one turnbuckle setting, such as four lowers."""
    assembly = assessment.built.assembly
    if assembly.quantity > 1 and assembly.turnbuckle is not None and assembly.turnbuckle.setting is not None:
        yield finding(ONE_SETTING, "turnbuckle/setting", count=Count(assembly.quantity))


def quantities(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """Nine identical wires are more often a slip than an order. Where a rig has the role only once, `role-repeats` already asks."""
    assembly = assessment.built.assembly
    if assembly.quantity > MANY and (not ROLES[assembly.role].once or assembly.number is not None):
        yield finding(QUANTITY, "quantity", count=Count(assembly.quantity), most=Count(MANY))


def bare_ends(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """An unusually long bare end, such as three metres that would only be cut off again."""
    for name, end in _ends(assessment.built.assembly):
        if end.leave is not None and end.leave > shop.terms.bare_end_most:
            most = Length(shop.terms.bare_end_most)
            yield finding(BARE_LONG, f"{name}/leave", length=Length(end.leave), end=phrase(f"end.{name}"), most=most)


def _ends(assembly: Assembly) -> tuple[tuple[str, End], ...]:
    return ("upper", assembly.upper), ("lower", assembly.lower)


def sent_in(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """A part sent in to the shop but not to be reused."""
    return _sent_not_kept(assessment.built.hardware)


@lru_cache(maxsize=CACHE_SIZE)
def _sent_not_kept(hardware: Hardware) -> tuple[Finding, ...]:
    return tuple(
        [
            finding(SENT_NOT_KEPT, f"{at}/sent_in", part=what)
            for at, what, part in _keepable(hardware.assembly)
            if part.sent_in and not part.reuse
        ]
    )


def _keepable(assembly: Assembly) -> Iterable[tuple[str, Phrase, End | Link | Turnbuckle]]:
    """Pointer, name and part, for each part a customer can keep."""
    for name, end in _ends(assembly):
        yield name, at_end(phrase(f"terminal.{end.terminal}"), name), end
        for place, link in enumerate(end.links):
            yield f"{name}/links/{place}", at_end(phrase(f"link.{link.kind}"), name), link
    if assembly.turnbuckle is not None:
        yield "turnbuckle", phrase("member.turnbuckle"), assembly.turnbuckle


def coated(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """Wire sizes are of the bare wire; a question if a coated wire was requested and the catalogue's wire has no cover."""
    spec, wire = assessment.built.assembly.wire, assessment.built.wire
    if spec.coated and spec.size and (wire is None or wire.coating is None):
        yield finding(COATED_SIZE, "wire/coated", size=Text(spec.size))
