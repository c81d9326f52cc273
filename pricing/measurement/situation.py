"""How a length was read: collects the inputs of all corrections, with a finding for each one assumed, missing or contradictory."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.constants import GRAVITY, LARGEST_SAG, REFERENCE_DEGC, TAPE_EXPANSION, TAPE_MODULUS
from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.measurement.corrections import Situation, tape_sag, wire_sag
from pricing.units import tenth
from pricing.values import Force, Length, Percent, Temperature, Text, Value, phrase

if TYPE_CHECKING:
    from pricing.costing.terms import Terms
    from pricing.measurement.assembly import Measurement
    from pricing.measurement.old_wire import Wires
    from pricing.rows import Wire

TEMPERATURE_ASSUMED = code(
    "temperature-assumed", "note", "No temperature was given; 20 degC was assumed for tape and wire.", assumption=True
)
TEMPERATURE_ALONE = code(
    "temperature-of-one-alone", "note", "The temperature of only one of tape and wire was given; 20 degC was assumed for the other."
)
TEMPERATURE_TWICE = code(
    "temperature-twice",
    "ask",
    "One temperature for wire and tape was sent together with another for one of them; the other was used for it.",
)
TAPE_ASSUMED = code("tape-assumed", "note", "The tape's material was not given; steel was assumed.", assumption=True)
TAPE_FAR_OFF = code("tape-far-off", "ask", "By its comparison, a tape is off by half a percent or more.")
TAPE_PULL_PARTIAL = code(
    "tape-pull-incomplete", "ask", "A pull on the tape was given without the tape's section and standard pull, so no correction was made."
)
TAPE_STRAIGHT = code(
    "tape-taken-straight",
    "ask",
    "A wire hung level, and it was not stated whether the tape lay on it or sagged beside it: a straight one was assumed.",
)
TAPE_PULL_ASSUMED = code("tape-pull-assumed", "note", "A tape hung beside the wire, and its pull was not given: the wire's was assumed.")
SUPPORT_ASSUMED = code(
    "support-assumed", "note", "It was not stated how the wire lay while it was measured; flat and straight was assumed.", assumption=True
)
HUNG_LEVEL = code(
    "hung-level-assumed", "note", "The wire hung, and it was not stated how: level between its two ends was assumed.", assumption=True
)
HUNG_FREE = code(
    "hung-free-assumed", "note", "A wire hung plumb, and no pull on it was given: nothing but its own weight was assumed.", assumption=True
)
PULL_MISSING = code("pull-missing", "ask", "A hung wire was measured and the pull on it was not given: its sag cannot be corrected.")
SAG_TOO_LARGE = code(
    "sag-too-large", "stop", "A hung wire's sag, or that of the tape beside it, hides more than half a percent of the length."
)
ABOARD = code(
    "measured-aboard",
    "ask",
    "The wire was measured aboard, stretched by the rig: its tension is not known, and its bearings could not be seen.",
)
ABOARD_TENSION = code(
    "aboard-tension-missing", "ask", "The wire was measured aboard, and its tension at that time is not known: no stretch was taken off."
)
TENSION_TWICE = code("tension-twice", "ask", "The rig stood as it is sailed, and two tensions were given.")
TENSION_MISSING = code(
    "tension-missing",
    "ask",
    "The new wire is not the old one, but the everyday tension was not given: the difference in stretch is not corrected.",
)
CORRECTION_UNUSED = code(
    "correction-unused", "ask", "A correction was sent that does not go with how the wire was measured; it was not used."
)
FARTHEST_OFF = Decimal("0.005")
_GRAVITY = Decimal(str(GRAVITY))
ASSUMED = Temperature(REFERENCE_DEGC)

Findings = list[Finding]


def situation_of(
    measured: Measurement, wires: Wires, mean: Decimal, wire_length: Decimal, everyday: Decimal | None, terms: Terms
) -> tuple[Situation, tuple[Finding, ...]]:
    """The inputs of the corrections, with findings. `wire_length`: free wire within the reading (mm); `everyday`: sailing tension (N)."""
    findings: Findings = []
    how = _how(measured, findings)
    at = _temperatures(mean, measured, wires.old, findings)
    situation = Situation(
        length=mean,
        wire_length=wire_length,
        how=how,
        old_expansion=wires.old.expansion_per_k,
        old_weight=_weight(wires.old),
        old_ae=stiffness(wires.old),
        new_ae=stiffness(wires.new),
        changed=wires.changed,
        tape_on_wire=bool(measured.tape_on_wire),
        tape_expansion=at.expansion,
        tape_at=at.tape,
        tape_true_at=at.true,
        wire_at=at.wire,
    )
    situation = _tape_pull(situation, measured, findings)
    situation = _hung(situation, measured, terms, findings)
    situation = _tensions(situation, measured, wires, everyday, findings)
    _compared(measured, findings)
    findings += _unused(measured)
    return situation, tuple(findings)


def stiffness(wire: Wire) -> Decimal:
    """A·E in N."""
    return wire.metallic_mm2 * wire.modulus_gpa * 1000


def _weight(wire: Wire) -> Decimal:
    """Weight in N/m."""
    return wire.kg_per_100m / 100 * _GRAVITY


def _how(measured: Measurement, findings: Findings) -> str:
    if measured.support is None:
        findings.append(finding(SUPPORT_ASSUMED, "measurement"))
    if measured.support != "hung":
        return "aboard" if measured.support == "aboard" else "flat"
    if measured.hung_as is None:
        findings.append(finding(HUNG_LEVEL, "measurement/support"))
    return measured.hung_as or "level"


class _Temperatures(NamedTuple):
    """The tape's expansion (1/K); the temperatures of tape and wire while measuring, and the tape's reference temperature (degC)."""

    expansion: Decimal
    tape: Decimal
    wire: Decimal
    true: Decimal


def _temperatures(length: Decimal, measured: Measurement, old: Wire, findings: Findings) -> _Temperatures:
    tape = measured.tape_temperature if measured.tape_temperature is not None else measured.temperature
    wire = measured.wire_temperature if measured.wire_temperature is not None else measured.temperature
    alpha, _ = TAPE_EXPANSION[measured.tape_material or "steel"]
    if tape is None and wire is None:
        drift = thousandth(length * 10 * abs(old.expansion_per_k - alpha))
        findings.append(finding(TEMPERATURE_ASSUMED, "measurement", temperature=ASSUMED, drift=Length(drift)))
    elif tape is None or wire is None:
        one, other, share = ("wire", "tape", alpha) if tape is None else ("tape", "wire", old.expansion_per_k)
        values: dict[str, Value] = {"given": phrase(f"measuring.{one}"), "missing": phrase(f"measuring.{other}")}
        drift = length * 10 * share
        findings.append(finding(TEMPERATURE_ALONE, f"measurement/{one}_temperature", **values, temperature=ASSUMED, drift=Length(drift)))
    if measured.tape_material is None and tape is not None:
        findings.append(finding(TAPE_ASSUMED, "measurement"))
    compared = measured.tape_comparison.temperature if measured.tape_comparison else None
    tape, wire, true = (REFERENCE_DEGC if each is None else each for each in (tape, wire, compared))
    return _Temperatures(alpha, tape, wire, true)


def _tape_pull(situation: Situation, measured: Measurement, findings: Findings) -> Situation:
    compared = measured.tape_comparison.pull if measured.tape_comparison else None
    standard = measured.tape_standard_pull if compared is None else compared
    given = (measured.tape_pull, standard, measured.tape_area)
    if all(each is None for each in given):
        return situation
    pull, _, area = given
    if pull is None or standard is None or area is None:
        alone = measured.tape_area is None and measured.tape_standard_pull is None and measured.tape_weight is not None
        if not alone:  # a pull given with the tape's weight is used for its sag
            findings.append(finding(TAPE_PULL_PARTIAL, "measurement"))
        return situation
    modulus, _, _ = TAPE_MODULUS[measured.tape_material or "steel"]
    return situation._replace(tape_pull=pull, tape_true_pull=standard, tape_ae=area * modulus)


def _hung(situation: Situation, measured: Measurement, terms: Terms, findings: Findings) -> Situation:
    if situation.how == "plumb":
        if measured.pull is None:
            findings.append(finding(HUNG_FREE, "measurement/support"))
        return situation._replace(pull=measured.pull or Decimal(0))
    if situation.how != "level":
        return situation
    if measured.pull is None:
        findings.append(finding(PULL_MISSING, "measurement"))
        return situation
    situation = situation._replace(pull=measured.pull)
    if measured.tape_weight is not None and not situation.tape_on_wire:
        if measured.tape_pull is None:
            findings.append(finding(TAPE_PULL_ASSUMED, "measurement/tape_weight", pull=Force(measured.pull)))
        situation = situation._replace(tape_weight=measured.tape_weight, tape_sag_pull=measured.tape_pull or measured.pull)
    refused = _judge_sag(situation, measured, terms)
    findings += refused
    return situation._replace(pull=None, tape_weight=None) if any(each.code == SAG_TOO_LARGE for each in refused) else situation


def _judge_sag(situation: Situation, measured: Measurement, terms: Terms) -> Findings:
    """A stop for excessive sag of the wire or of a tape beside it; a question on how the tape lay if that matters."""
    hidden = float(wire_sag(situation))
    for what, at, mm in (("wire", "pull", hidden), ("tape", "tape_weight", -float(tape_sag(situation)))):
        if mm > LARGEST_SAG * float(situation.length):
            share = Percent(Decimal(f"{100 * mm / float(situation.length):.1f}"))
            return [finding(SAG_TOO_LARGE, f"measurement/{at}", what=phrase(f"measuring.{what}"), share=share)]
    if hidden > terms.doubt_limit and measured.tape_on_wire is None and measured.tape_weight is None:
        return [finding(TAPE_STRAIGHT, "measurement", sag=Length(thousandth(hidden)))]
    return []


def _tensions(situation: Situation, measured: Measurement, wires: Wires, everyday: Decimal | None, findings: Findings) -> Situation:
    """Sets `everyday_aboard` if the rig was set as sailed and no other tension was given.

    The tension during measurement is then the sailing tension.
    """
    sailed = measured.support == "aboard" and measured.rig_setting == "everyday"
    tension = measured.tension if measured.support == "aboard" else None
    if sailed and everyday is None:
        everyday = tension
    if sailed and tension is not None and everyday is not None and tension != everyday:
        findings.append(finding(TENSION_TWICE, "measurement/tension", tension=Force(tension), everyday=Force(everyday)))
    if measured.support == "aboard":
        _note_aboard(tension is not None or (sailed and everyday is not None), measured, findings)
    if wires.changed and everyday is None:
        findings.append(finding(TENSION_MISSING, "old_wire", old=Text(wires.old.name), new=Text(wires.new.name)))
    if tension is None and everyday is None:
        return situation
    same = sailed and everyday is not None and tension in (None, everyday)
    return situation._replace(tension=tension, everyday=everyday, everyday_aboard=same)


def _note_aboard(known: bool, measured: Measurement, findings: Findings) -> None:
    findings.append(finding(ABOARD, "measurement/support"))
    if not known:
        findings.append(finding(ABOARD_TENSION, "measurement/support", setting=phrase(f"rig_setting.{measured.rig_setting or 'unsaid'}")))


def _compared(measured: Measurement, findings: Findings) -> None:
    tape = measured.tape_comparison
    off = Decimal(0) if tape is None else tape.true / tape.marked - 1
    if abs(off) >= FARTHEST_OFF:
        wording = "long" if off > 0 else "short"
        findings.append(finding(TAPE_FAR_OFF, "measurement/tape_comparison", wording, off=Percent(tenth(100 * abs(off)))))


_GOES_WITH = (
    ("hung", ("pull", "pull_within", "hung_as", "tape_on_wire", "tape_weight")),
    ("aboard", ("tension", "tension_within")),
)


def _unused(measured: Measurement) -> list[Finding]:
    """Inputs that do not apply: a pull on a wire that did not hang, a half-width of nothing, a temperature given twice."""
    unused = []
    for support, names in _GOES_WITH:
        for name in names if measured.support != support else ():
            if getattr(measured, name) is not None:
                lay = phrase(f"support.{measured.support or 'unsaid'}")
                unused.append(finding(CORRECTION_UNUSED, f"measurement/{name}", support, given=phrase(f"given.{name}"), support=lay))
    if measured.hung_as == "plumb" and measured.tape_weight is not None:
        unused.append(finding(CORRECTION_UNUSED, "measurement/tape_weight", "plumb"))
    return [*unused, *_twice(measured)]


def _twice(measured: Measurement) -> list[Finding]:
    findings = []
    both = measured.temperature
    for what, apart in (("wire", measured.wire_temperature), ("tape", measured.tape_temperature)):
        if both is not None and apart is not None and apart != both:
            values: dict[str, Value] = {"both": Temperature(both), "apart": Temperature(apart), "what": phrase(f"measuring.{what}")}
            findings.append(finding(TEMPERATURE_TWICE, f"measurement/{what}_temperature", **values))
    return findings
