"""Sizes given both as nominal and as measured: if they contradict each other, a finding asks about both, and the nominal size is used.

A caliper may be off by 0.05 mm on a strand (common practice, no source); pins and threads have the same tolerances as in identification.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.measurement.caliper import CALIPER_TELLS, COVER_WITHIN, OVER, PIN_UNDER, thread_words, threads_for, to_hundredths
from pricing.measurement.wire import USUAL_MATERIAL
from pricing.values import Size, Text, Value, sizes, texts

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import Assembly, End, Turnbuckle, WireSpec

WIRE_TWO_SIZES = code("wire-size-contradicts", "ask", "A wire's nominal size and its caliper's reading cannot be of one wire.")
PIN_TWO_SIZES = code("pin-size-contradicts", "ask", "A pin's nominal size and its caliper's reading cannot be of one pin.")
THREAD_TWO = code("thread-contradicts", "ask", "A thread's name and its measured diameter and count cannot be of one thread.")
PIN_AMBIGUOUS = code(
    "pin-ambiguous", "ask", "A pin's size was written so that two nominal sizes are about equally near; the nearest was taken."
)
WRITTEN_ROUNDED = Decimal("0.01")  # mm: 5/16 in is 7.9375 mm and often written 7.94 mm
NEAR = Decimal("0.1")  # mm within which a written size is taken as a nominal one
EITHER = Decimal(
    "0.05"
)  # mm: a written size is ambiguous if its distances from two nominal sizes differ by less than this: common practice, no source


def contradictions(assembly: Assembly, catalogue: Catalogue) -> Iterable[Finding]:
    """Every contradictory size of an assembly, and every pin that could be two sizes; pointers relative to the assembly."""
    yield from _wire("wire", assembly.wire, catalogue)
    if assembly.old_wire is not None:
        yield from _wire("old_wire", assembly.old_wire, catalogue)
    for name, part in (("upper", assembly.upper), ("lower", assembly.lower), ("turnbuckle", assembly.turnbuckle)):
        if part is not None:
            yield from _part(name, part, catalogue)
    for at, pin in _pins(assembly):
        yield from _between(at, pin, catalogue)


def _wire(name: str, spec: WireSpec, catalogue: Catalogue) -> Iterable[Finding]:
    if spec.measured is None or spec.diameter is None:
        return
    row = catalogue.wire(spec.construction, spec.material or USUAL_MATERIAL, spec.diameter)
    minus, plus = (row.minus, row.plus) if row else (Decimal(0), Decimal(0))
    least, most = spec.diameter - minus - CALIPER_TELLS, spec.diameter + plus + CALIPER_TELLS
    cover = row.coating if row else None
    if cover is not None and (spec.coated or spec.measured > most):
        if abs(spec.measured - cover) > COVER_WITHIN:
            yield finding(
                WIRE_TWO_SIZES, f"{name}/measured", "cover", size=Text(spec.size), cover=Size(cover), measured=to_hundredths(spec.measured)
            )
        return
    if spec.coated and spec.measured > least:  # the reading is of the cover, which is thicker than the wire
        return
    if not least <= spec.measured <= most:
        wording = "covered" if spec.coated else "bare"
        yield finding(WIRE_TWO_SIZES, f"{name}/measured", wording, size=Text(spec.size), measured=to_hundredths(spec.measured))


def _part(name: str, part: End | Turnbuckle, catalogue: Catalogue) -> Iterable[Finding]:
    pin, measured = part.pin, part.measured_pin
    if pin is not None and measured is not None and not pin - PIN_UNDER <= measured <= pin + OVER:
        yield finding(PIN_TWO_SIZES, f"{name}/measured_pin", size=Size(pin), measured=to_hundredths(measured))
    reading = part.measured_thread
    if part.thread is None or reading is None:
        return
    row, fitting = catalogue.thread(part.thread), threads_for(reading, catalogue.tables.threads)
    if row is not None and row not in fitting:
        values: dict[str, Value] = {"thread": Text(row.designation), "measured": thread_words(reading)}
        if fitting:
            values["fitting"] = texts([each.designation for each in fitting], "or")
        yield finding(THREAD_TWO, f"{name}/measured_thread", "another" if fitting else "none", **values)


def _pins(assembly: Assembly) -> Iterable[tuple[str, Decimal | None]]:
    for name, end in (("upper", assembly.upper), ("lower", assembly.lower)):
        yield f"{name}/pin", end.pin
        yield f"{name}/old_pin", end.old_pin
        for place, link in enumerate(end.links):
            yield f"{name}/links/{place}/pin", link.pin
    if assembly.turnbuckle is not None:
        yield "turnbuckle/pin", assembly.turnbuckle.pin
        yield "turnbuckle/inner_pin", assembly.turnbuckle.inner_pin


def _between(at: str, pin: Decimal | None, catalogue: Catalogue) -> Iterable[Finding]:
    if pin is None:
        return
    near = sorted((abs(size - pin), size) for size in _diameters(catalogue) if abs(size - pin) < NEAR)
    if len(near) > 1 and near[0][0] >= WRITTEN_ROUNDED and near[1][0] - near[0][0] < EITHER:
        yield finding(PIN_AMBIGUOUS, at, written=to_hundredths(pin), fitting=sizes([near[0][1], near[1][1]], "or"))


@lru_cache(maxsize=16)
def _diameters(catalogue: Catalogue) -> frozenset[Decimal]:
    """The nominal sizes of pins."""
    return frozenset([row.diameter for row in catalogue.tables.pins])
