"""Identifies a wire, pin or thread from a caliper reading and a thread count; if several match, a finding asks which it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing import model
from pricing.findings import Finding, code, finding
from pricing.measurement.caliper import covers_for, pins_for, thread_words, threads_for, to_hundredths, wires_for
from pricing.measurement.contradictions import contradictions
from pricing.measurement.wire import USUAL_MATERIAL, unknown_material
from pricing.values import Size, Text, Value, sizes, texts

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import Assembly, End, ThreadReading, Turnbuckle, WireSpec
    from pricing.rows import Wire
    from pricing.wording import Voice

WIRE_IDENTIFIED = code("wire-identified", "ask", "A wire's size was named from a caliper's reading; one size fits it.")
WIRE_AMBIGUOUS = code("wire-ambiguous", "ask", "More than one wire size fits a caliper's reading; the nearest was taken.")
WIRE_BETWEEN = code("wire-between-sizes", "stop", "No wire size fits a caliper's reading within its tolerance.")
WIRE_COVERED = code(
    "wire-measured-over-cover", "ask", "A coated wire's size was named from its cover's diameter; the bare wire was not measured."
)
WIRE_COATED = code("wire-coated", "stop", "A caliper's reading was taken over a lifeline's cover, not on the wire.")
PIN_IDENTIFIED = code("pin-identified", "ask", "A pin's nominal size was named from a caliper's reading.")
PIN_BETWEEN = code("pin-between-sizes", "stop", "No nominal pin fits a caliper's reading.")
THREAD_IDENTIFIED = code("thread-identified", "ask", "A thread's designation was named from its diameter and a thread count.")
THREAD_BETWEEN = code("thread-between-sizes", "stop", "No thread of the catalogue fits the diameter and the thread count.")


@dataclass(frozen=True, slots=True)
class Identification:
    """A size or thread identified from a reading: `candidates` with the best first. `confidence`: certain (one), ambiguous (several), none."""

    what: str
    pointer: str
    measured: Value
    candidates: tuple[str, ...]

    @property
    def confidence(self) -> str:
        """The confidence in one word."""
        return ("none", "certain")[len(self.candidates)] if len(self.candidates) < 2 else "ambiguous"

    def quoted(self, voice: Voice) -> model.Identified:
        """The identification as it appears in the quote, worded by `voice`."""
        return model.Identified(self.what, self.pointer, voice.value(self.measured), self.candidates, self.confidence)


IdentifiedAssembly = tuple["Assembly", tuple[Identification, ...], tuple[Finding, ...]]


def identify(assembly: Assembly, catalogue: Catalogue) -> IdentifiedAssembly:
    """The assembly with identified sizes and threads filled in, the identifications, and the findings.

    An assembly without caliper readings is returned as the same object.
    """
    identifications: list[Identification] = []
    findings: list[Finding] = list(contradictions(assembly, catalogue))
    wire = _wire("wire", assembly.wire, catalogue, identifications, findings)
    old_wire = _wire("old_wire", assembly.old_wire, catalogue, identifications, findings) if assembly.old_wire else None
    upper = _end("upper", assembly.upper, catalogue, identifications, findings)
    lower = _end("lower", assembly.lower, catalogue, identifications, findings)
    turnbuckle = _turnbuckle(assembly.turnbuckle, catalogue, identifications, findings)
    if not identifications and not findings:
        return assembly, (), ()
    return (
        replace(assembly, wire=wire, old_wire=old_wire, upper=upper, lower=lower, turnbuckle=turnbuckle),
        tuple(identifications),
        tuple(findings),
    )


def _wire(name: str, spec: WireSpec, catalogue: Catalogue, identifications: list[Identification], findings: list[Finding]) -> WireSpec:
    if spec.measured is None or spec.diameter is not None or not spec.construction:  # an unknown construction has no sizes to choose from
        return spec
    at, reading = f"{name}/measured", spec.measured
    rows = catalogue.wire_sizes(spec.construction, spec.material or USUAL_MATERIAL)
    covered = covers_for(reading, rows)
    if covered:
        return _covered(at, spec, reading, covered, () if spec.coated else wires_for(reading, rows), identifications, findings)
    if spec.coated:
        findings.append(finding(WIRE_COATED, at, measured=to_hundredths(reading)))
        return spec
    if not rows:
        findings.append(unknown_material(name, spec, catalogue))
        return spec
    found, measured = wires_for(reading, rows), to_hundredths(reading)
    identifications.append(Identification("wire", at, measured, tuple(row.size for row in found)))
    if not found:
        near = sorted(rows, key=lambda row: abs(row.diameter - reading))[:2]
        findings.append(finding(WIRE_BETWEEN, at, measured=measured, near=sizes([row.diameter for row in near])))
        return spec
    taken = Size(found[0].diameter)
    if len(found) == 1:
        findings.append(finding(WIRE_IDENTIFIED, at, measured=measured, size=taken))
    else:
        fitting = sizes([row.diameter for row in found], "or")
        findings.append(finding(WIRE_AMBIGUOUS, at, measured=measured, fitting=fitting, size=taken))
    return replace(spec, diameter=found[0].diameter, size=found[0].size)


def _covered(
    at: str,
    spec: WireSpec,
    reading: Decimal,
    covered: tuple[Wire, ...],
    bare: tuple[Wire, ...],
    identifications: list[Identification],
    findings: list[Finding],
) -> WireSpec:
    """For a reading that may include the cover: the coated wire is assumed, with a question. `bare`: uncoated wires that match as well."""
    taken, measured = covered[0], to_hundredths(reading)
    identifications.append(Identification("wire", at, measured, tuple(row.size for row in (*covered, *bare))))
    under = sizes([row.diameter for row in covered], "or")
    if bare:
        fitting = sizes([row.diameter for row in bare], "or")
        findings.append(finding(WIRE_COVERED, at, "either", measured=measured, under=under, bare=fitting, size=Size(taken.diameter)))
    else:
        findings.append(finding(WIRE_COVERED, at, "cover", measured=measured, under=under, size=Size(taken.diameter)))
    return replace(spec, diameter=taken.diameter, size=taken.size)


def _end(name: str, end: End, catalogue: Catalogue, identifications: list[Identification], findings: list[Finding]) -> End:
    pin, thread = end.pin, end.thread
    if end.measured_pin is not None and pin is None:
        pin = _pin(f"{name}/measured_pin", end.measured_pin, catalogue, identifications, findings)
    if end.measured_thread is not None and thread is None:
        thread = _thread(f"{name}/measured_thread", end.measured_thread, catalogue, identifications, findings)
    return end if (pin, thread) == (end.pin, end.thread) else replace(end, pin=pin, thread=thread)


def _turnbuckle(
    turnbuckle: Turnbuckle | None, catalogue: Catalogue, identifications: list[Identification], findings: list[Finding]
) -> Turnbuckle | None:
    if turnbuckle is None:
        return None
    pin, thread = turnbuckle.pin, turnbuckle.thread
    if turnbuckle.measured_pin is not None and pin is None:
        pin = _pin("turnbuckle/measured_pin", turnbuckle.measured_pin, catalogue, identifications, findings)
    if turnbuckle.measured_thread is not None and thread is None:
        thread = _thread("turnbuckle/measured_thread", turnbuckle.measured_thread, catalogue, identifications, findings)
    return turnbuckle if (pin, thread) == (turnbuckle.pin, turnbuckle.thread) else replace(turnbuckle, pin=pin, thread=thread)


def _pin(at: str, reading: Decimal, catalogue: Catalogue, identifications: list[Identification], findings: list[Finding]) -> Decimal | None:
    pins = {row.diameter: row.name.split(",")[0] for row in catalogue.tables.pins}
    fitting, measured = pins_for(reading, pins), to_hundredths(reading)
    identifications.append(Identification("pin", at, measured, tuple(pins[size] for size in fitting)))
    if not fitting:
        findings.append(finding(PIN_BETWEEN, at, measured=measured))
        return None
    if len(fitting) == 1:
        findings.append(finding(PIN_IDENTIFIED, at, "one", measured=measured, size=Size(fitting[0])))
    else:
        findings.append(finding(PIN_IDENTIFIED, at, "several", measured=measured, fitting=sizes(fitting, "or"), size=Size(fitting[0])))
    return fitting[0]


def _thread(
    at: str, reading: ThreadReading, catalogue: Catalogue, identifications: list[Identification], findings: list[Finding]
) -> str | None:
    found = threads_for(reading, catalogue.tables.threads)
    words = thread_words(reading)
    identifications.append(Identification("thread", at, words, tuple(row.designation for row in found)))
    if not found:
        findings.append(finding(THREAD_BETWEEN, at, measured=words))
        return None
    thread = Text(found[0].designation)
    if len(found) == 1:
        findings.append(finding(THREAD_IDENTIFIED, at, "one", measured=words, thread=thread))
    else:
        fitting = texts([row.designation for row in found], "or")
        findings.append(finding(THREAD_IDENTIFIED, at, "several", measured=words, fitting=fitting, thread=thread))
    return thread.text
