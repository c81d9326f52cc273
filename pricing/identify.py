"""Naming a wire, a pin or a thread from what a caliper and a thread count say; where two names fit, both are asked about.

A wire is accepted from nominal − minus to nominal + plus (its own tolerance; published for inch sizes: plus only, FAA AC 43.13-1B table 7-3).
A pin is a little under its nominal size and never over, a thread's outer diameter likewise (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.units import spoken

if TYPE_CHECKING:
    from pricing.assembly import Assembly, End, ThreadReading, Turnbuckle, WireSpec
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Thread, Wire

WIRE_IDENTIFIED = code("wire-identified", "ask", "A wire's size was named from a caliper's reading; one size fits it.")
WIRE_AMBIGUOUS = code("wire-ambiguous", "ask", "More than one wire size fits a caliper's reading; the nearest was taken.")
WIRE_BETWEEN = code("wire-between-sizes", "stop", "No wire size fits a caliper's reading within its tolerance.")
WIRE_COATED = code("wire-coated", "stop", "A caliper's reading was taken over a lifeline's cover, not on the wire.")
PIN_IDENTIFIED = code("pin-identified", "ask", "A pin's nominal size was named from a caliper's reading.")
PIN_BETWEEN = code("pin-between-sizes", "stop", "No nominal pin fits a caliper's reading.")
THREAD_IDENTIFIED = code("thread-identified", "ask", "A thread's designation was named from its diameter and a thread count.")
THREAD_BETWEEN = code("thread-between-sizes", "stop", "No thread of the catalogue fits the diameter and the thread count.")

PIN_UNDER = Decimal("0.20")  # mm a pin may measure under its nominal size, wear included
THREAD_UNDER = Decimal("0.40")  # mm an outer diameter may measure under nominal
OVER = Decimal("0.05")  # mm over nominal: the caliper's own error
CALIPER_TELLS = Decimal("0.05")  # mm that a caliper can tell on a strand: common practice, no source
PITCH_WITHIN = Decimal("0.04")  # share by which a counted pitch may miss


@dataclass(frozen=True, slots=True)
class Named:
    """What was identified: candidates best first. `confidence`: certain (one fits), ambiguous (more do), none."""

    what: str
    pointer: str
    measured: str
    candidates: tuple[str, ...]

    @property
    def confidence(self) -> str:
        """In one word."""
        return ("none", "certain")[len(self.candidates)] if len(self.candidates) < 2 else "ambiguous"

    def document(self) -> dict[str, object]:
        """As it stands in the quote."""
        return {
            "what": self.what,
            "pointer": self.pointer,
            "measured": self.measured,
            "candidates": list(self.candidates),
            "confidence": self.confidence,
        }


Identified = tuple["Assembly", tuple[Named, ...], tuple[Finding, ...]]


def wires_for(measured: Decimal, rows: Iterable[Wire]) -> tuple[Wire, ...]:
    """Wires whose tolerance admits a reading in mm, the nearest nominal size first.

    Sizes that lie closer together than a caliper can tell come together; a reading that no tolerance admits may be a caliper's error short.
    """
    rows = tuple(rows)
    fitting = [row for row in rows if row.diameter - row.minus <= measured <= row.diameter + row.plus]
    if not fitting:
        fitting = [row for row in rows if 0 < row.diameter - measured <= CALIPER_TELLS]
    found = [row for row in rows if any(abs(row.diameter - each.diameter) < CALIPER_TELLS for each in fitting)]
    return tuple(sorted(found, key=lambda row: abs(measured - row.diameter)))


def pins_for(measured: Decimal, sizes: Iterable[Decimal]) -> tuple[Decimal, ...]:
    """Nominal pins that a reading in mm admits, the nearest first."""
    return tuple(sorted((size for size in sizes if size - PIN_UNDER <= measured <= size + OVER), key=lambda size: abs(size - measured)))


def threads_for(reading: ThreadReading, rows: Iterable[Thread]) -> tuple[Thread, ...]:
    """Threads that an outer diameter and a count admit, the nearest pitch first."""
    pitch = reading.over / reading.threads
    near = (
        row
        for row in rows
        if row.diameter - THREAD_UNDER <= reading.diameter <= row.diameter + OVER and abs(pitch - row.pitch) <= PITCH_WITHIN * row.pitch
    )
    return tuple(sorted(near, key=lambda row: (abs(pitch - row.pitch), abs(reading.diameter - row.diameter))))


def identify(assembly: Assembly, catalogue: Catalogue) -> Identified:
    """The assembly with names in the place of readings, what was named, and what must be asked. An assembly without readings is returned as it is."""
    named: list[Named] = []
    said: list[Finding] = []
    wire = _wire("wire", assembly.wire, catalogue, named, said)
    old_wire = _wire("old_wire", assembly.old_wire, catalogue, named, said) if assembly.old_wire else None
    upper = _end("upper", assembly.upper, catalogue, named, said)
    lower = _end("lower", assembly.lower, catalogue, named, said)
    turnbuckle = _turnbuckle(assembly.turnbuckle, catalogue, named, said)
    if not named and not said:
        return assembly, (), ()
    return replace(assembly, wire=wire, old_wire=old_wire, upper=upper, lower=lower, turnbuckle=turnbuckle), tuple(named), tuple(said)


def _wire(name: str, spec: WireSpec, catalogue: Catalogue, named: list[Named], said: list[Finding]) -> WireSpec:
    if spec.measured is None or spec.diameter is not None:
        return spec
    at, reading = f"{name}/measured", spec.measured
    if spec.coated:
        message = f"{spoken(reading)} was measured over the cover."
        said.append(finding(WIRE_COATED, at, message, "Strip a hand's width of the cover and measure the bare wire across its strands."))
        return spec
    rows = catalogue.wires_of(spec.construction, spec.material or "316")
    found = wires_for(reading, rows)
    named.append(Named("wire", at, _written(reading), tuple(row.size for row in found)))
    if not found:
        near = sorted(rows, key=lambda row: abs(row.diameter - reading))[:2]
        sizes = " and ".join(row.size for row in near) or "none"
        message = f"{_written(reading)} fits no size within its tolerance; the nearest are {sizes}."
        said.append(
            finding(WIRE_BETWEEN, at, message, "Measure again in three places across the strands, on straight wire without paint or wear.")
        )
        return spec
    sizes = " or ".join(row.size for row in found)
    if len(found) == 1:
        message = f"{_written(reading)} fits {sizes} alone."
        said.append(finding(WIRE_IDENTIFIED, at, message, "Confirm the size before cutting."))
    else:
        message = f"{_written(reading)} fits {sizes}; {found[0].size} was taken."
        said.append(finding(WIRE_AMBIGUOUS, at, message, "Say whether the boat is built in inch or metric sizes, and name the size."))
    return replace(spec, diameter=found[0].diameter, size=found[0].size)


def _end(name: str, end: End, catalogue: Catalogue, named: list[Named], said: list[Finding]) -> End:
    pin, thread = end.pin, end.thread
    if end.measured_pin is not None and pin is None:
        pin = _pin(f"{name}/measured_pin", end.measured_pin, catalogue, named, said)
    if end.measured_thread is not None and thread is None:
        thread = _thread(f"{name}/measured_thread", end.measured_thread, catalogue, named, said)
    return end if (pin, thread) == (end.pin, end.thread) else replace(end, pin=pin, thread=thread)


def _turnbuckle(asked: Turnbuckle | None, catalogue: Catalogue, named: list[Named], said: list[Finding]) -> Turnbuckle | None:
    if asked is None:
        return None
    pin, thread = asked.pin, asked.thread
    if asked.measured_pin is not None and pin is None:
        pin = _pin("turnbuckle/measured_pin", asked.measured_pin, catalogue, named, said)
    if asked.measured_thread is not None and thread is None:
        thread = _thread("turnbuckle/measured_thread", asked.measured_thread, catalogue, named, said)
    return asked if (pin, thread) == (asked.pin, asked.thread) else replace(asked, pin=pin, thread=thread)


def _pin(at: str, reading: Decimal, catalogue: Catalogue, named: list[Named], said: list[Finding]) -> Decimal | None:
    sizes = {row.diameter: row.name.split(",")[0] for row in catalogue.tables.pins}
    found = pins_for(reading, sizes)
    named.append(Named("pin", at, _written(reading), tuple(sizes[size] for size in found)))
    if not found:
        message = f"{_written(reading)} fits no nominal pin."
        said.append(finding(PIN_BETWEEN, at, message, "Measure the unworn part of the pin, or the hole, and say `pin`."))
        return None
    others = " or ".join(sizes[size] for size in found)
    said.append(
        finding(
            PIN_IDENTIFIED, at, f"{_written(reading)} fits {others}; the first was taken.", "Confirm the pin's nominal size before cutting."
        )
    )
    return found[0]


def _thread(at: str, reading: ThreadReading, catalogue: Catalogue, named: list[Named], said: list[Finding]) -> str | None:
    found = threads_for(reading, catalogue.tables.threads)
    words = f"{_written(reading.diameter)} over the thread, {reading.threads} threads in {_written(reading.over)}"
    named.append(Named("thread", at, words, tuple(row.designation for row in found)))
    if not found:
        remedy = "Count the threads over a longer length, and measure the outer diameter where it is not worn."
        said.append(finding(THREAD_BETWEEN, at, f"{words}: no thread of the catalogue.", remedy))
        return None
    others = " or ".join(row.designation for row in found)
    said.append(
        finding(
            THREAD_IDENTIFIED, at, f"{words}: {others}; the first was taken.", "Try a nut of that thread on it before the part is ordered."
        )
    )
    return found[0].designation


def _written(mm: Decimal) -> str:
    return f"{mm.quantize(Decimal('0.01'))} mm"
