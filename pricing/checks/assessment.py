"""Assesses a built assembly: uncertainty against tolerance and travel, turnbuckle advice, and the strength of the weakest member."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from pricing.constants import LOCKNUT_MM
from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Member
from pricing.geometry.chain import Built
from pricing.geometry.hardware import CACHE_SIZE, BothEnds, Hardware
from pricing.geometry.turnbuckle import Exposed
from pricing.measurement.uncertainty import (
    Budget,
    budget,
    by_input,
    comparison_contribution,
    locknut_contribution,
    reading_contribution,
    setting_contributions,
    tape_contribution,
)
from pricing.values import Size, Text

if TYPE_CHECKING:
    from pricing.costing.terms import Terms
    from pricing.fittings.base import Contribution
    from pricing.measurement.assembly import Measurement, Setting, Turnbuckle

RESOLUTION_ASSUMED = code(
    "resolution-assumed", "note", "The tape's division was not given; the shop's usual one was assumed.", assumption=True
)
TAPE_CLASS_ASSUMED = code("tape-class-assumed", "note", "The tape's class was not given; class II was assumed.", assumption=True)
COMPARISON_ASSUMED = code(
    "comparison-within-assumed",
    "note",
    "The accuracy of the tape comparison was not given; that of a class I tape was assumed.",
    assumption=True,
)
TOOL_ASSUMED = code(
    "recorded-with-assumed", "note", "The tool used to read the exposed threads was not given; a tape was assumed.", assumption=True
)
USUAL_CLASS = "II"


@dataclass(frozen=True, slots=True)
class Proposal:
    """The setting at mid-travel, with the cut length that results in it."""

    setting: Exposed
    cut: Decimal


class Advice(NamedTuple):
    """Travel at the setting to build at, turns from the recorded setting (None if the geometry differs), and the travel that is needed."""

    take_up: Decimal
    let_out: Decimal
    turns: Decimal | None
    needed: Decimal
    equalised: Exposed
    proposal: Proposal | None


class Assessment(NamedTuple):
    """The assessment of a built assembly; lengths in mm. `budget`, `advice` and `weakest` are None if it has no cut length.

    `tolerance` applies to the finished length against its target, `doubt_limit` to the uncertainty of the length.
    """

    built: Built
    findings: tuple[Finding, ...]
    tolerance: Decimal
    doubt_limit: Decimal
    budget: Budget | None = None
    advice: Advice | None = None
    weakest: Member | None = None


def assess(built: Built, terms: Terms, *, paired: bool = False) -> Assessment:
    """Assess one assembly as far as it could be built; `paired`: its partner on the other side is in the same request."""
    tolerance, limit = _limits(built, terms, paired=paired)
    if built.cut is None:
        return Assessment(built, (), tolerance, limit)
    findings: list[Finding] = []
    length_budget = _budget(built, terms, findings)
    return Assessment(built, tuple(findings), tolerance, limit, length_budget, _advice(built, terms, length_budget), built.hardware.weakest)


def _limits(built: Built, terms: Terms, *, paired: bool) -> tuple[Decimal, Decimal]:
    """Tolerance and doubt limit, with or without a turnbuckle; for one of a pair, the pair's limits where they are tighter."""
    with_one = built.turnbuckle is not None
    tolerance, limit = (terms.tolerance_turnbuckle, terms.doubt_limit_turnbuckle) if with_one else (terms.tolerance, terms.doubt_limit)
    return (min(tolerance, terms.tolerance_pair), min(limit, terms.doubt_limit_pair)) if paired else (tolerance, limit)


def _budget(built: Built, terms: Terms, findings: list[Finding]) -> Budget:
    measured = built.assembly.measurement
    contributions = [reading_contribution(len(measured.readings), _resolution(measured, terms, findings), terms.repeatability)]
    if built.reduced is not None:
        contributions += [_tape(measured, built.reduced.mean, findings), *built.reduced.contributions]
    members = _member_uncertainty(built.hardware)
    findings += members.findings
    contributions += members.contributions
    return budget(contributions)


class _MemberUncertainty(NamedTuple):
    """Contributions that do not depend on the readings, and findings on what was assumed for them."""

    findings: tuple[Finding, ...]
    contributions: tuple[Contribution, ...]


@lru_cache(maxsize=CACHE_SIZE)
def _member_uncertainty(hardware: Hardware) -> _MemberUncertainty:
    if hardware.ends is None:
        return _MemberUncertainty((), ())
    findings: list[Finding] = []
    contributions: list[Contribution] = []
    requested, turnbuckle = hardware.assembly.turnbuckle, hardware.ends.turnbuckle
    if requested is not None and turnbuckle is not None and requested.setting is not None:
        if requested.setting.recorded_with is None:
            findings.append(finding(TOOL_ASSUMED, "turnbuckle/setting"))
        contributions += _setting(hardware, hardware.ends, requested, requested.setting)
    contributions += (*hardware.ends.upper.contributions, *hardware.ends.lower.contributions, *hardware.ends.contributions)
    return _MemberUncertainty(tuple(findings), by_input(contributions))


def _resolution(measured: Measurement, terms: Terms, findings: list[Finding]) -> Decimal:
    if measured.resolution is not None:
        return measured.resolution
    resolution = terms.inch_resolution if measured.inches else terms.metric_resolution
    findings.append(finding(RESOLUTION_ASSUMED, "measurement", division=Size(resolution)))
    return resolution


def _tape(measured: Measurement, mean: Decimal, findings: list[Finding]) -> Contribution:
    """The tape's uncertainty; for a compared tape, that of the comparison instead of the tape's class."""
    hook, compared = measured.tape_start == "hook", measured.tape_comparison
    if compared is not None:
        if compared.within is None:
            findings.append(finding(COMPARISON_ASSUMED, "measurement/tape_comparison"))
        return comparison_contribution(compared, mean, hook=hook)
    if measured.tape_class is None:
        findings.append(finding(TAPE_CLASS_ASSUMED, "measurement", tape_class=Text(USUAL_CLASS)))
    return tape_contribution(measured.tape_class or USUAL_CLASS, mean, hook=hook)


def _setting(hardware: Hardware, ends: BothEnds, requested: Turnbuckle, setting: Setting) -> tuple[Contribution, ...]:
    """The uncertainty of the recorded setting.

    An exposed thread counts in the target if the reading stopped at the stud, and in the deduction if the turnbuckle is built as recorded.
    If it counts in both it cancels out; if it counts in neither it was not used.
    """
    chosen_setting, turnbuckle = ends.chosen_setting, ends.turnbuckle
    if chosen_setting is None or chosen_setting.recorded is None or chosen_setting.build is None or turnbuckle is None:
        return ()
    in_target = hardware.assembly.measurement.includes_turnbuckle is False
    sensitivity = int(in_target) - int(chosen_setting.how == "as_recorded")
    contributions = setting_contributions(setting, turnbuckle.geometry.pitch, sensitivity)
    if setting.read_from != "locknut" or not sensitivity or not turnbuckle.geometry.locknut:
        return contributions
    own = requested.dimensions
    measured = own.within if own is not None and own.locknut is not None else None
    return (*contributions, locknut_contribution(float(measured) if measured is not None else LOCKNUT_MM, sensitivity))


def _advice(built: Built, terms: Terms, length_budget: Budget) -> Advice | None:
    chosen_setting, fixed = built.chosen_setting, _travel(built.hardware, terms.centred_share)
    if chosen_setting is None or chosen_setting.build is None or fixed is None or built.cut is None:
        return None
    build = chosen_setting.build
    bedding = (built.target or built.cut) * terms.bedding_in_percent / 100
    needed = thousandth(bedding + thousandth(length_budget.expanded))
    proposal = None
    if chosen_setting.how == "as_recorded" and (fixed.take_up < needed or fixed.let_out < thousandth(length_budget.expanded)):
        proposal = Proposal(fixed.middle, built.cut + thousandth(build.upper) + thousandth(build.lower) - fixed.middle.sum())
    return Advice(fixed.take_up, fixed.let_out, fixed.turns, needed, fixed.equalised, proposal)


class _Travel(NamedTuple):
    """The travel at the setting to build at, mm; it does not depend on the readings."""

    take_up: Decimal
    let_out: Decimal
    turns: Decimal | None
    equalised: Exposed
    middle: Exposed


@lru_cache(maxsize=CACHE_SIZE)
def _travel(hardware: Hardware, centred_share: Decimal) -> _Travel | None:
    turnbuckle, chosen_setting = (None, None) if hardware.ends is None else (hardware.ends.turnbuckle, hardware.ends.chosen_setting)
    if turnbuckle is None or chosen_setting is None or chosen_setting.build is None:
        return None
    geometry, build, recorded = turnbuckle.geometry, chosen_setting.build, chosen_setting.recorded
    middle = geometry.centred(centred_share)
    turns = geometry.turns(recorded, build) if recorded is not None and chosen_setting.same_geometry else None
    return _Travel(
        geometry.take_up(build), geometry.let_out(build), turns, geometry.equalised(build),
        Exposed(thousandth(middle.upper), thousandth(middle.lower)),
    )  # fmt: skip
