"""From readings to the length between the outermost bearings: mean, corrections, datum, pin changes.

Lengths in mm, forces in N, areas in mm², moduli in kN/mm². Reference temperature 20 degC (OIML R 35-1, ISO 1).
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.constants import REFERENCE_DEGC, TAPE_EXPANSION, TAPE_MODULUS
from pricing.derivation import MEASURED, Term, term, thousandth
from pricing.findings import Finding, code, finding
from pricing.fittings.own import catalogue_row
from pricing.measurement.correction_contributions import correction_contributions
from pricing.measurement.corrections import (
    Situation,
    aboard_stretch,
    hung_stretch,
    other_stretch,
    tape_sag,
    tape_stretch,
    tape_temperature,
    wire_sag,
    wire_temperature,
)
from pricing.measurement.readings import blunders, mean_term
from pricing.measurement.situation import situation_of
from pricing.values import Dimension, Length, Quantity, Size, Temperature, Text, Value, phrase

if TYPE_CHECKING:
    from pricing.costing.terms import Terms
    from pricing.fittings.base import Contribution, Frame
    from pricing.measurement.assembly import End, Measurement
    from pricing.measurement.old_wire import Wires

DATUM_UNKNOWN = code(
    "datum-dimension-missing", "stop", "A reading was taken to a point whose distance from the bearing is not in the catalogue."
)
DATUM_AS_CATALOGUE = code(
    "datum-as-catalogue",
    "ask",
    "A reading was taken to the old fitting's ball, hole centre or tip; the catalogue's dimension was used for it.",
)
PIN_CHANGED = code("pin-changed", "ask", "The new pin is not of the old one's size; the length depends on what happens to the boat's hole.")
AS_CATALOGUE = ("hole_centre", "outer_tip", "stud_tip", "ball_centre")


class Reduced(NamedTuple):
    """The corrected readings: terms and findings, mean and spread of the readings (mm), and the uncertainty contributed by the corrections."""

    terms: tuple[Term, ...]
    findings: tuple[Finding, ...]
    mean: Decimal
    spread: Decimal
    contributions: tuple[Contribution, ...] = ()
    wires: Wires | None = None


def mean_of(readings: tuple[Decimal, ...]) -> Decimal:
    """The mean of the readings."""
    return sum(readings, Decimal(0)) / len(readings)


def reduce_readings(measured: Measurement, wires: Wires, wire_length: Decimal, everyday: Decimal | None, terms: Terms) -> Reduced:
    """The mean of the readings, with every correction for tape and wire.

    `wire_length` is the free wire between the fittings within the reading, mm; `everyday` the wire's sailing tension, N.
    """
    readings = measured.readings
    mean, spread = mean_of(readings), max(readings) - min(readings)
    situation, assumptions = situation_of(measured, wires, mean, max(wire_length, Decimal(0)), everyday, terms)
    lines = [mean_term(readings, mean, spread), *_compared(measured, mean), *_lines(situation, measured, wires)]
    findings = (*blunders(readings, terms.repeatability), *assumptions)
    return Reduced(tuple(lines), findings, mean, spread, correction_contributions(situation, measured, terms), wires)


def _compared(measured: Measurement, mean: Decimal) -> list[Term]:
    """The correction from a tape comparison: a tape that is too long reads short by reading x (true / marked − 1)."""
    tape = measured.tape_comparison
    if tape is None:
        return []
    return [term("tape-compared", mean * (tape.true / tape.marked - 1), MEASURED, true=tape.true, marked=tape.marked)]


def _lines(situation: Situation, measured: Measurement, wires: Wires) -> list[Term]:
    return [
        *_temperatures(situation, measured, wires),
        *_tape_pull(situation, measured),
        *_hung(situation, wires),
        *_tensions(situation, wires),
    ]


def _temperatures(situation: Situation, measured: Measurement, wires: Wires) -> list[Term]:
    lines: list[Term] = []
    both = measured.temperature is not None
    if situation.tape_at is not None and (both or measured.tape_temperature is not None or situation.tape_at != situation.tape_true_at):
        alpha, source = TAPE_EXPANSION[measured.tape_material or "steel"]
        values: dict[str, Value] = {"expansion": Quantity(alpha, "/K"), "length": Dimension(situation.length)}
        values |= {"temperature": Temperature(situation.tape_at), "reference": Temperature(situation.tape_true_at)}
        lines.append(term("tape-temperature", tape_temperature(situation), source, **values))
    if situation.wire_at is not None and (both or measured.wire_temperature is not None):
        values = {"expansion": Quantity(wires.old.expansion_per_k, "/K"), "wire": Dimension(thousandth(situation.wire_length))}
        values |= {"temperature": Temperature(situation.wire_at), "reference": Temperature(REFERENCE_DEGC)}
        lines.append(term("wire-temperature", wire_temperature(situation), catalogue_row(wires.old.sku), **values))
    return lines


def _tape_pull(situation: Situation, measured: Measurement) -> list[Term]:
    if situation.tape_ae is None or situation.tape_pull is None or situation.tape_true_pull is None or measured.tape_area is None:
        return []
    _, source, _ = TAPE_MODULUS[measured.tape_material or "steel"]
    values = {
        "pull": _newtons(situation.tape_pull),
        "standard_pull": _newtons(situation.tape_true_pull),
        "section": Quantity(measured.tape_area, "mm²"),
    }
    return [term("tape-pull", tape_stretch(situation), phrase("source.surveying_and", other=source), **values)]


def _hung(situation: Situation, wires: Wires) -> list[Term]:
    if situation.pull is None:
        return []
    source, wire = catalogue_row(wires.old.sku), Dimension(thousandth(situation.wire_length))
    weight, stiffness, pull = _per_metre(situation.old_weight), _kn(situation.old_ae), _newtons(situation.pull)
    if situation.how == "plumb":
        return [
            term("wire-stretch", hung_stretch(situation), source, None, "plumb", pull=pull, weight=weight, wire=wire, stiffness=stiffness)
        ]
    lines = [term("wire-stretch", hung_stretch(situation), source, None, "pull", pull=pull, wire=wire, stiffness=stiffness)]
    if not situation.tape_on_wire:
        parabola = phrase("source.parabola_and", other=source)
        lines.append(term("wire-sag", wire_sag(situation), parabola, weight=weight, pull=pull, length=situation.length))
    if situation.tape_weight is not None and situation.tape_sag_pull is not None:
        beside = {"weight": _per_metre(situation.tape_weight, None), "pull": _newtons(situation.tape_sag_pull)}
        lines.append(term("tape-sag", tape_sag(situation), phrase("source.parabola"), **beside))
    return lines


def _tensions(situation: Situation, wires: Wires) -> list[Term]:
    """Stretch of the old wire aboard, and of a different new one in use.

    If both tensions are the same, the old wire's stiffness cancels: one line.
    """
    if situation.how != "aboard" and not situation.changed:
        return []
    wire = Dimension(thousandth(situation.wire_length))
    if situation.how == "aboard" and situation.changed and situation.everyday_aboard and situation.everyday is not None:
        values: dict[str, Value] = {"tension": _newtons(situation.everyday), "wire": wire, "stiffness": _kn(situation.new_ae)}
        return [term("new-wire-stretch", aboard_stretch(situation) + other_stretch(situation), catalogue_row(wires.new.sku), **values)]
    lines: list[Term] = []
    tension = situation.everyday if situation.everyday_aboard else situation.tension
    if situation.how == "aboard" and tension is not None:
        values = {"tension": _newtons(tension), "wire": wire, "stiffness": _kn(situation.old_ae)}
        lines.append(term("wire-stretch", aboard_stretch(situation), catalogue_row(wires.old.sku), None, "rig", **values))
    if situation.changed and situation.everyday is not None:
        values = {
            "tension": _newtons(situation.everyday),
            "wire": wire,
            "stiffness_old": _kn(situation.old_ae),
            "stiffness_new": _kn(situation.new_ae),
        }
        source = phrase("source.two_rows", one=Text(wires.old.sku), two=Text(wires.new.sku))
        lines.append(term("other-wire-stretch", other_stretch(situation), source, **values))
    return lines


def _newtons(newtons: Decimal) -> Quantity:
    return Quantity(newtons, "N")


def _per_metre(weight: Decimal, digits: Decimal | None = Decimal("0.001")) -> Quantity:
    return Quantity(weight if digits is None else weight.quantize(digits), "N/m")


def _kn(newtons: Decimal) -> Quantity:
    return Quantity(Decimal(f"{newtons / 1000:.1f}"), "kN")


def datum_term(name: str, datum: str, end: End, frame: Frame) -> tuple[Term | None, tuple[Finding, ...]]:
    """The term for a reading taken to `datum` instead of the bearing (positive: longer)."""
    if datum == "bearing":
        return None, ()
    pin = end.old_pin or frame.pin
    mm, wording = _offset(datum, frame, pin)
    at = f"measurement/{name}_datum"
    values: dict[str, Value] = {"end": phrase(f"end.{name}"), "datum": phrase(f"datum.{datum}")}
    if mm is None:
        return None, (finding(DATUM_UNKNOWN, at, **values),)
    findings: tuple[Finding, ...] = ()
    if datum in AS_CATALOGUE and frame.kind in ("hole", "stud", "ball"):
        findings = (finding(DATUM_AS_CATALOGUE, at, **values, length=Length(abs(mm))),)
    source, taken = phrase("source.measured_datum", other=frame.source), {} if pin is None else {"pin": Dimension(pin)}
    return term("read-to", mm, source, name, wording, place=phrase(f"datum.{datum}"), **taken), findings


def _offset(datum: str, frame: Frame, pin: Decimal | None) -> tuple[Decimal | None, str]:
    if frame.kind == "bow":
        return None, ""
    if frame.kind == "shackle":
        sign = {"pin_centre": Decimal("-0.5"), "pin_outside": Decimal(-1)}.get(datum)
        return (None, "") if sign is None or pin is None else (sign * pin, "shackle")
    if frame.kind == "ball":
        ring, ball = frame.ring_to_centre or Decimal(0), frame.ball or Decimal(0)
        beyond = {"ball_centre": ring, "outer_tip": ring + ball / 2}.get(datum)
        return (None, "") if beyond is None else (-beyond, "ball")
    if frame.kind == "stud":
        return (None, "") if datum != "stud_tip" else (-(frame.plain_tip or Decimal(0)), "plain_tip")
    ways: dict[str, tuple[Decimal | None, str]] = {
        "pin_centre": (pin and pin / 2, "pin_centre"),
        "pin_inside": (pin, "pin_inside"),
        "hole_centre": (frame.hole and frame.hole / 2, "hole_centre"),
        "outer_tip": (frame.tip and -frame.tip, "tip"),
    }
    return ways.get(datum, (None, ""))


def pin_change(name: str, end: End, frame: Frame) -> tuple[Term | None, tuple[Finding, ...]]:
    """The term for a new pin of a different size. On a hole: + (new − old) if the boat's hole stays, half of it if it is redrilled.

    A shackle bears with the face of its pin toward the wire, which lies on the boat's hole itself: 0 if the hole stays, − half if it is
    redrilled. Statics of which surface bears on which; common practice.
    """
    old, new = end.old_pin, frame.pin
    if old is None or new is None or old == new:
        return None, ()
    redrilled = end.boat_hole == "redrilled"
    if frame.kind == "shackle":
        share = Decimal("-0.5") if redrilled else Decimal(0)
        wording = "shackle_redrilled" if redrilled else "shackle"
    else:
        share = Decimal("0.5") if redrilled else Decimal(1)
        wording = "redrilled" if redrilled else ""
    return term("pin-changed", share * (new - old), phrase("source.measured_old_pin"), name, wording, new=new, old=old), (
        _pin_changed(name, end, old, new),
    )


def _pin_changed(name: str, end: End, old: Decimal, new: Decimal) -> Finding:
    """A finding that confirms what the request says about the boat's hole, or asks for it."""
    return finding(PIN_CHANGED, f"{name}/old_pin", end.boat_hole or "unsaid", end=phrase(f"end.{name}"), old=Size(old), new=Size(new))
