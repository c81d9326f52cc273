"""Plausibility of the forces and temperatures given, and whether the wire can bear them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.checks.assessment import Assessment
from pricing.checks.base import Shop
from pricing.checks.rig_names import kind_of
from pricing.findings import Finding, code, finding
from pricing.values import Force, Percent, Temperature, Value

if TYPE_CHECKING:
    from pricing.rows import Wire

BEYOND_BREAK = code("tension-beyond-break", "stop", "A tension was given at which the wire would have parted.")
HIGH_TENSION = code("tension-high", "ask", "A tension was given that is a larger share of the breaking load than rigs are sailed at.")
HARD_PULL = code("pull-beyond-hand", "ask", "A pull was given that is more than a person pulls by hand.")
ODD_TEMPERATURE = code(
    "temperature-implausible",
    "ask",
    "A temperature was given at which nobody measures, or temperatures of tape and wire that are far apart.",
)
TEMPERATURES = ("temperature", "wire_temperature", "tape_temperature")
FARTHEST_APART = 20  # K between tape and wire: common practice, no source
PULLS = ("pull", "tape_pull")


def tensions(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """Check the everyday tension against the new wire, and the tension during measurement against the old one."""
    assembly = assessment.built.assembly
    yield from _tension("everyday_tension", assembly.everyday_tension, assessment.built.wire, shop)
    yield from _tension("measurement/tension", assembly.measurement.tension, _old(assessment), shop)


def _old(assessment: Assessment) -> Wire | None:
    """The measured wire, if known."""
    reduced = assessment.built.reduced
    return reduced.wires.old if reduced is not None and reduced.wires is not None else assessment.built.wire


def _tension(at: str, newtons: Decimal | None, wire: Wire | None, shop: Shop) -> Iterator[Finding]:
    if newtons is None or wire is None:
        return
    breaks = wire.break_kn * 1000
    values: dict[str, Value] = {"tension": Force(newtons), "wire": kind_of(wire), "breaks": Force(breaks)}
    if newtons >= breaks:
        yield finding(BEYOND_BREAK, at, "tension", **values)
    elif newtons * 100 > breaks * shop.terms.tension_percent:
        share = (100 * newtons / breaks).quantize(Decimal(1))
        yield finding(HIGH_TENSION, at, **values, share=Percent(share), most=Percent(shop.terms.tension_percent.normalize()))


def pulls(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """A pull on a hung wire or on a tape is done by hand; at the breaking load no wire would be left to measure."""
    measured, old = assessment.built.assembly.measurement, _old(assessment)
    for name in PULLS:
        newtons = getattr(measured, name)
        if name == "pull" and newtons is not None and old is not None and newtons >= old.break_kn * 1000:
            values: dict[str, Value] = {"pull": Force(newtons), "wire": kind_of(old), "breaks": Force(1000 * old.break_kn)}
            yield finding(BEYOND_BREAK, "measurement/pull", "pull", **values)
        elif newtons is not None and newtons > shop.terms.hand_pull:
            yield finding(HARD_PULL, f"measurement/{name}", pull=Force(newtons), most=Force(shop.terms.hand_pull))


def temperatures(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """Check each temperature given, including those of the wire or the tape alone."""
    measured, terms = assessment.built.assembly.measurement, shop.terms
    for name in TEMPERATURES:
        degrees = getattr(measured, name)
        if degrees is not None and not terms.coldest <= degrees <= terms.warmest:
            least, most = Temperature(terms.coldest), Temperature(terms.warmest)
            yield finding(ODD_TEMPERATURE, f"measurement/{name}", "outside", temperature=Temperature(degrees), least=least, most=most)
    yield from _apart(measured.wire_temperature, measured.tape_temperature, measured.temperature)


def _apart(wire: Decimal | None, tape: Decimal | None, both: Decimal | None) -> Iterator[Finding]:
    """Tape and wire are in the same place; one without its own temperature takes the common one."""
    wire, tape = both if wire is None else wire, both if tape is None else tape
    if wire is not None and tape is not None and abs(wire - tape) > FARTHEST_APART:
        yield finding(ODD_TEMPERATURE, "measurement", "apart", wire=Temperature(wire), tape=Temperature(tape))
