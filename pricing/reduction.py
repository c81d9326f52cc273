"""From readings to the length between the outermost bearings: mean, place measured to, temperature, pull, sag, members left out.

Corrections after surveying practice for tapes (temperature α·L·ΔT, pull (P − P0)·L/(A·E), sag w²·L³/(24·P²)); reference temperature
20 degC (OIML R 35-1, ISO 1). Lengths in mm, forces in N, areas in mm², moduli in kN/mm².
"""

from __future__ import annotations

from decimal import Decimal
from statistics import median
from typing import TYPE_CHECKING, NamedTuple

from pricing.constants import GRAVITY, LARGEST_SAG, REFERENCE_DEGC, STEEL_MODULUS, TAPE_EXPANSION
from pricing.derivation import Term, term, thousandth
from pricing.findings import Finding, code, finding
from pricing.units import nominal, spoken, tenth

if TYPE_CHECKING:
    from pricing.assembly import End, Measurement
    from pricing.catalogue.rows import Wire
    from pricing.fittings.base import Frame

BLUNDER = code(
    "reading-blunder", "ask", "One reading differs from the others by more than the shop's limit; it was averaged in, but may be a blunder."
)
TEMPERATURE_ASSUMED = code("temperature-assumed", "note", "No temperature was said; 20 degC was assumed for tape and wire.")
TAPE_ASSUMED = code("tape-assumed", "note", "The tape's material was not said; steel was assumed.")
SUPPORT_ASSUMED = code("support-assumed", "note", "How the wire lay while it was measured was not said; flat and straight was assumed.")
ABOARD = code(
    "measured-aboard",
    "ask",
    "The wire was measured aboard, stretched by the rig: its tension is not known, and its bearings could not be seen.",
)
CORRECTION_UNUSED = code(
    "correction-unused", "ask", "A correction was sent that does not go with how the wire was measured; it was not used."
)
TEMPERATURE_TWICE = code(
    "temperature-twice",
    "ask",
    "One temperature for wire and tape was sent together with another for one of them; the other was used for it.",
)
TAPE_FAR_OFF = code("tape-far-off", "ask", "A compared tape is said to be off by more than half a percent.")
FARTHEST_OFF = Decimal("0.005")
PULL_MISSING = code("pull-missing", "ask", "A hung wire was measured without saying the pull on it: its sag cannot be taken out.")
SAG_TOO_LARGE = code("sag-too-large", "stop", "A hung wire's sag hides more than half a percent of its length.")
TAPE_PULL_PARTIAL = code(
    "tape-pull-incomplete", "ask", "A pull on the tape was said without the tape's section and standard pull, so no correction was made."
)
DATUM_UNKNOWN = code(
    "datum-dimension-missing", "stop", "A reading was taken to a place whose distance from the bearing the catalogue does not know."
)
DATUM_AS_CATALOGUE = code(
    "datum-as-catalogue", "ask", "A reading was taken to the old fitting's hole centre or tip; the catalogue's dimension was used for it."
)
PIN_CHANGED = code("pin-changed", "ask", "The new pin is not the old one's size; what becomes of the boat's hole decides the length.")


class Reduced(NamedTuple):
    """Terms so far, their findings, the mean and spread of the readings (mm)."""

    terms: tuple[Term, ...]
    findings: tuple[Finding, ...]
    mean: Decimal
    spread: Decimal


def reduce_readings(measured: Measurement, wire: Wire, limit: Decimal, tension: Decimal | None = None) -> Reduced:
    """Mean of the readings with the corrections that concern tape and wire; `limit` is the shop's for a blunder, `tension` the everyday one (N)."""
    readings = measured.readings
    mean = sum(readings, Decimal(0)) / len(readings)
    spread = max(readings) - min(readings)
    terms, findings = [_mean_term(readings, mean, spread)], list(_blunders(readings, limit))
    for correct in (_compared, _temperature, _tape_pull, _hung, _unused):
        more, said = correct(measured, mean, wire)
        terms += more
        findings += said
    if measured.support == "aboard":
        more, said = _aboard(mean, wire, tension)
        terms += more
        findings += said
    return Reduced(tuple(terms), tuple(findings), mean, spread)


def _mean_term(readings: tuple[Decimal, ...], mean: Decimal, spread: Decimal) -> Term:
    if len(readings) == 1:
        return term("reading", mean, "measured", "as read", reading=readings[0])
    listed = ", ".join(f"{reading.normalize():f} mm" for reading in readings)
    return term(
        f"mean of {len(readings)} readings",
        mean,
        "measured",
        "sum of the readings over their number",
        readings=listed,
        spread=thousandth(spread),
    )


def _blunders(readings: tuple[Decimal, ...], limit: Decimal) -> list[Finding]:
    middle = median(readings)
    found = []
    for place, reading in enumerate(readings):
        if abs(reading - middle) > limit:
            message = f"Reading {place + 1} ({spoken(reading)}) is {spoken(abs(reading - middle))} away from the median; the limit is {spoken(limit)}."
            found.append(
                finding(BLUNDER, f"measurement/readings/{place}", message, "Measure again, and leave out the reading that was wrong.")
            )
    return found


Corrected = tuple[list[Term], list[Finding]]


def _temperature(measured: Measurement, mean: Decimal, wire: Wire) -> Corrected:
    tape = measured.tape_temperature if measured.tape_temperature is not None else measured.temperature
    own = measured.wire_temperature if measured.wire_temperature is not None else measured.temperature
    found: list[Finding] = []
    if tape is None and own is None:
        drift = thousandth(mean * 10 * abs(wire.expansion_per_k - TAPE_EXPANSION["steel"][0]))
        message = f"20 degC was assumed; 10 degrees more or less on wire and steel tape change this length by {spoken(drift)}."
        return [], [finding(TEMPERATURE_ASSUMED, "measurement", message, "Say `measurement.temperature` if it was much warmer or colder.")]
    terms: list[Term] = []
    if tape is not None:
        material = measured.tape_material or "steel"
        if measured.tape_material is None:
            remedy = "Say `measurement.tape_material` if it was another."
            found.append(finding(TAPE_ASSUMED, "measurement", "The tape was taken to be of steel.", remedy))
        alpha, source = TAPE_EXPANSION[material]
        words = "expansion x length x (temperature − 20 degC): a warm tape reads short"
        terms.append(
            term(
                f"tape at {tenth(tape)} degC",
                alpha * mean * (tape - REFERENCE_DEGC),
                source,
                words,
                expansion=f"{alpha} /K",
                length=mean,
            )
        )
    if own is not None:
        words = "− expansion x length x (temperature − 20 degC): a warm wire is long"
        alpha = wire.expansion_per_k
        mm = -alpha * mean * (own - REFERENCE_DEGC)
        terms.append(term(f"wire at {tenth(own)} degC", mm, f"catalogue {wire.sku}", words, expansion=f"{alpha} /K", length=mean))
    return terms, found


def _compared(measured: Measurement, mean: Decimal, wire: Wire) -> Corrected:
    """A tape that is too long reads short: reading x (true / marked − 1)."""
    tape = measured.tape_comparison
    if tape is None:
        return [], []
    said: list[Finding] = []
    if abs(tape.true / tape.marked - 1) > FARTHEST_OFF:
        message = f"The tape is said to be off by {100 * (tape.true / tape.marked - 1):.1f} %."
        said.append(finding(TAPE_FAR_OFF, "measurement/tape_comparison", message, "Compare it again; such a tape measures nothing."))
    words = "reading x (true length / marked length − 1)"
    return [term("tape compared", mean * (tape.true / tape.marked - 1), "measured", words, true=tape.true, marked=tape.marked)], said


def _tape_pull(measured: Measurement, mean: Decimal, wire: Wire) -> Corrected:
    given = (measured.tape_pull, measured.tape_standard_pull, measured.tape_area)
    if all(each is None for each in given):
        return [], []
    pull, standard, area = given
    if pull is None or standard is None or area is None:
        remedy = "Say `tape_pull`, `tape_standard_pull` and `tape_area` together, or none of them."
        return [], [finding(TAPE_PULL_PARTIAL, "measurement", "The tape's pull was given in part; no correction was made for it.", remedy)]
    mm = (pull - standard) * mean / (area * STEEL_MODULUS)
    words = "(pull − standard pull) x length / (section x modulus)"
    source = "surveying practice; modulus of steel tape 200 kN/mm² (29e6 psi)"
    return [term("tape pull", mm, source, words, pull=f"{pull} N", standard_pull=f"{standard} N", section=f"{area} mm²")], []


def _hung(measured: Measurement, mean: Decimal, wire: Wire) -> Corrected:
    if measured.support is None:
        return [], [finding(SUPPORT_ASSUMED, "measurement", "The wire was taken to lie flat and straight.", "Say `measurement.support`.")]
    if measured.support != "hung":
        return [], []
    pull = measured.pull
    if pull is None:
        remedy = "Lay the wire flat and measure again, or say the pull on it."
        return [], [finding(PULL_MISSING, "measurement", "The wire hung while it was measured, under an unknown pull.", remedy)]
    stretch = -pull * mean / (wire.metallic_mm2 * wire.modulus_gpa * 1000)
    terms = [
        term(
            "wire's stretch under the pull",
            stretch,
            f"catalogue {wire.sku}",
            "− pull x length / (metallic section x modulus)",
            pull=f"{pull} N",
        )
    ]
    if measured.tape_on_wire:
        return terms, []
    weight = float(wire.kg_per_100m) / 100 * GRAVITY  # N/m
    mm = sag(float(mean), weight, float(pull))
    if mm > LARGEST_SAG * float(mean):
        message = f"The wire's sag hides {100 * mm / float(mean):.1f} % of its length, which is too much to be taken out."
        return terms, [finding(SAG_TOO_LARGE, "measurement/pull", message, "Pull harder, or lay the wire flat, and measure again.")]
    words = "weight² x length³ / (24 x pull²): the chord is shorter than the hung wire"
    terms.append(term("sag of the hung wire", mm, "parabola, surveying practice", words, weight=f"{weight:.3f} N/m", pull=f"{pull} N"))
    if measured.tape_weight is not None:
        own = sag(float(mean), float(measured.tape_weight), float(measured.tape_pull or pull))
        terms.append(
            term(
                "sag of the tape beside it",
                -own,
                "parabola, surveying practice",
                "− weight² x length³ / (24 x pull²)",
                weight=f"{measured.tape_weight} N/m",
            )
        )
    return terms, []


def _aboard(mean: Decimal, wire: Wire, tension: Decimal | None) -> Corrected:
    """Under the rig's tension the wire is longer than on the bench, where it is cut."""
    message = "It was measured aboard, standing under the rig's tension."
    asked = finding(
        ABOARD, "measurement/support", message, "Take it off and measure it flat, or confirm tension and bearings before cutting."
    )
    if tension is None:
        return [], [asked]
    mm = -tension * mean / (wire.metallic_mm2 * wire.modulus_gpa * 1000)
    words = "− tension x length / (metallic section x modulus)"
    return [term("wire's stretch under the rig's tension", mm, f"catalogue {wire.sku}", words, tension=f"{tension} N", length=mean)], [
        asked
    ]


def _unused(measured: Measurement, mean: Decimal, wire: Wire) -> Corrected:
    """What was sent and has no place: a pull on a wire that did not hang, a temperature said twice."""
    found = []
    if measured.support != "hung":
        for name in ("pull", "tape_on_wire", "tape_weight"):
            if getattr(measured, name) is not None:
                message = f"`{name}` goes with a hung wire; this one was measured {measured.support or 'flat (assumed)'}."
                found.append(finding(CORRECTION_UNUSED, f"measurement/{name}", message, "Say `support`: hung if it hung, or leave it out."))
    if measured.temperature is not None:
        for name, apart in (("wire_temperature", measured.wire_temperature), ("tape_temperature", measured.tape_temperature)):
            if apart is not None and apart != measured.temperature:
                message = f"`temperature` is {tenth(measured.temperature)} degC and `{name}` {tenth(apart)} degC."
                found.append(finding(TEMPERATURE_TWICE, f"measurement/{name}", message, "Say `temperature` for both, or one for each."))
    return [], found


def sag(length_mm: float, newtons_per_metre: float, pull_newtons: float) -> float:
    """Arc less chord of a shallow hung wire, mm: w²·L³/(24·P²). Parabola; university slides "Taping Corrections"."""
    metres = length_mm / 1000
    return 1000 * newtons_per_metre**2 * metres**3 / (24 * pull_newtons**2)


def datum_term(name: str, datum: str, end: End, frame: Frame) -> tuple[Term | None, tuple[Finding, ...]]:
    """What is added because the reading was taken to `datum` and not to the bearing (longer: positive)."""
    if datum == "bearing":
        return None, ()
    pin = end.old_pin or frame.pin
    mm, words = _offset(datum, frame, pin)
    at = f"measurement/{name}_datum"
    if mm is None:
        message = f"How far the {datum.replace('_', ' ')} lies from the bearing is not known for this fitting."
        return None, (finding(DATUM_UNKNOWN, at, message, "Measure to the bearing, or to the pin's centre."),)
    said: tuple[Finding, ...] = ()
    if datum in ("hole_centre", "outer_tip", "stud_tip") and frame.kind in ("hole", "stud"):
        message = f"The old {name} fitting's {words.split(': ')[0]} was taken from the catalogue ({spoken(abs(mm))})."
        said = (finding(DATUM_AS_CATALOGUE, at, message, "Measure that distance on the old fitting, or measure to the bearing."),)
    return term(f"{name} end read to {datum.replace('_', ' ')}", mm, "measured datum; " + frame.source, words, pin=pin), said


def _offset(datum: str, frame: Frame, pin: Decimal | None) -> tuple[Decimal | None, str]:
    if frame.kind == "shackle":
        sign = {"pin_centre": Decimal("-0.5"), "pin_outside": Decimal(-1)}.get(datum)
        return (None, "") if sign is None or pin is None else (sign * pin, "the bearing is the pin's face toward the wire")
    if frame.kind == "ball":
        ring, ball = frame.ring_to_centre or Decimal(0), frame.ball or Decimal(0)
        beyond = {"ball_centre": ring, "outer_tip": ring + ball / 2}.get(datum)
        return (None, "") if beyond is None else (-beyond, "− √((ball/2)² − (slot/2)²), and half the ball more from its tip")
    if frame.kind == "stud":
        return (
            (None, "")
            if datum != "stud_tip"
            else (-(frame.plain_tip or Decimal(0)), "plain tip: a plain tip beyond the last thread is not counted")
        )
    ways: dict[str, tuple[Decimal | None, str]] = {
        "pin_centre": (pin and pin / 2, "half a pin: the bearing is the hole's wall farthest from the wire"),
        "pin_inside": (pin, "one pin: the bearing is the hole's wall farthest from the wire"),
        "hole_centre": (frame.hole and frame.hole / 2, "half the hole: the bearing is the hole's wall farthest from the wire"),
        "outer_tip": (frame.tip and -frame.tip, "tip to bearing: − what lies beyond the bearing"),
    }
    return ways.get(datum, (None, ""))


def pin_change(name: str, end: End, frame: Frame) -> tuple[Term | None, tuple[Finding, ...]]:
    """New pin not the old one's size. On a hole: + (new − old) where the boat's hole stays, half of it where it is drilled again.

    A shackle bears by its pin's face toward the wire, which lies on the boat's hole itself: 0 where the hole stays, − half where it is drilled
    again. Statics of which surface lies on which; common practice.
    """
    old, new = end.old_pin, frame.pin
    if old is None or new is None or old == new:
        return None, ()
    redrilled = end.boat_hole == "redrilled"
    if frame.kind == "shackle":
        share = Decimal("-0.5") if redrilled else Decimal(0)
        words = (
            "− half of (new pin − old pin): the hole is drilled again"
            if redrilled
            else "0: the shackle's pin bears on the boat's hole, which stays"
        )
    else:
        share = Decimal("0.5") if redrilled else Decimal(1)
        words = "half of (new pin − old pin): the hole is drilled again" if redrilled else "new pin − old pin: the boat's hole stays"
    assumed = "drilled again on its old centre" if redrilled else "left as it is"
    message = f"The {name} pin changes from {nominal(old)} to {nominal(new)}; the boat's hole was taken to be {assumed}."
    said = finding(PIN_CHANGED, f"{name}/old_pin", message, "Say `boat_hole`, and have the change of pin agreed by a qualified rigger.")
    return term(f"{name} pin changed", share * (new - old), "measured old pin", words, new=new, old=old), (said,)


def substitution(old: Wire, new: Wire, mean: Decimal, tension: Decimal) -> Term:
    """Another wire stretches differently at the everyday tension F: F·L·(1/(A·E)old − 1/(A·E)new). A·E in N."""
    old_ae, new_ae = (wire.metallic_mm2 * wire.modulus_gpa * 1000 for wire in (old, new))
    mm = tension * mean * (1 / old_ae - 1 / new_ae)
    words = "tension x length x (1/(A·E) of the old wire − 1/(A·E) of the new)"
    return term("another wire's stretch", mm, f"catalogue {old.sku} and {new.sku}", words, tension=f"{tension} N", length=mean)
