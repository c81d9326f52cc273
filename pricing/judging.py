"""What a built assembly is worth: uncertainty against tolerance and travel, turnbuckle advice, strength of the weakest member."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.chain import Built
from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Member
from pricing.turnbuckle import Exposed
from pricing.uncertainty import (
    Budget,
    budget,
    reading_doubt,
    setting_doubts,
    tape_doubt,
)

if TYPE_CHECKING:
    from pricing.terms import Terms

RESOLUTION_ASSUMED = code("resolution-assumed", "note", "The tape's division was not said; the shop's usual one was assumed.")
TAPE_CLASS_ASSUMED = code("tape-class-assumed", "note", "The tape's class was not said; class II was assumed.")
TOOL_ASSUMED = code("recorded-with-assumed", "note", "The tool that read the exposed threads was not said; a tape was assumed.")


@dataclass(frozen=True, slots=True)
class Proposal:
    """The setting in the middle of the travel, with the cut length that brings it about."""

    setting: Exposed
    cut: Decimal


class Advice(NamedTuple):
    """Travel at the setting to build at, turns from the recorded one (None where the geometry is another), what the travel must cover."""

    take_up: Decimal
    let_out: Decimal
    turns: Decimal | None
    needed: Decimal
    equalised: Exposed
    proposal: Proposal | None


class Judged(NamedTuple):
    """A built assembly with its judgement; lengths in mm. Fields are None where the assembly is on hold."""

    built: Built
    findings: tuple[Finding, ...]
    tolerance: Decimal
    budget: Budget | None = None
    advice: Advice | None = None
    members: tuple[Member, ...] = ()
    weakest: Member | None = None


def judge(built: Built, terms: Terms) -> Judged:
    """Judge one assembly as far as it could be built."""
    laid = built.turnbuckle
    tolerance = laid.geometry.pitch if laid is not None else terms.tolerance
    if built.cut is None or built.wire is None or built.upper is None or built.lower is None:
        return Judged(built, (), tolerance)
    found: list[Finding] = []
    counted = _budget(built, terms, found)
    members = (Member("wire", built.wire.break_kn, f"catalogue {built.wire.sku}"), *built.upper.strength, *built.lower.strength)
    weakest = min(members, key=lambda member: member.break_kn)
    return Judged(built, tuple(found), tolerance, counted, _advice(built, terms, counted), members, weakest)


def _budget(built: Built, terms: Terms, found: list[Finding]) -> Budget:
    measured = built.assembly.measurement
    resolution = measured.resolution
    if resolution is None:
        resolution = terms.inch_resolution if measured.inches else terms.metric_resolution
        message = (
            f"The tape was taken to be divided in {'1/16 in' if resolution == Decimal('1.5875') else f'{resolution.normalize():f} mm'}."
        )
        found.append(finding(RESOLUTION_ASSUMED, "measurement", message, "Say `measurement.resolution`."))
    mean = built.reduced.mean if built.reduced else Decimal(0)
    doubts = [reading_doubt(measured.readings, resolution)]
    if measured.tape_class is None:
        found.append(finding(TAPE_CLASS_ASSUMED, "measurement", "The tape was taken to be of class II.", "Say `measurement.tape_class`."))
    doubts.append(tape_doubt(measured.tape_class or "II", mean))
    asked, laid = built.assembly.turnbuckle, built.turnbuckle
    if asked is not None and laid is not None and asked.setting is not None:
        if asked.setting.recorded_with is None:
            remedy = "Say `recorded_with`: caliper, pen_mark or tape_mark."
            found.append(finding(TOOL_ASSUMED, "turnbuckle/setting", "The exposed threads were taken to be read with a tape.", remedy))
        doubts += setting_doubts(asked.setting, laid.geometry.pitch)
    for side in (built.upper, built.lower):
        doubts += side.doubts if side else ()
    return budget(doubts)


def _advice(built: Built, terms: Terms, counted: Budget) -> Advice | None:
    laid, settled = built.turnbuckle, built.settled
    if laid is None or settled is None or settled.build is None or built.cut is None:
        return None
    geometry, build, recorded = laid.geometry, settled.build, settled.recorded
    bedding = (built.target or built.cut) * terms.bedding_in_percent / 100
    needed = thousandth(bedding + thousandth(counted.expanded))
    take_up, let_out = geometry.take_up(build), geometry.let_out(build)
    middle = geometry.centred(terms.centred_share)
    middle = Exposed(thousandth(middle.upper), thousandth(middle.lower))
    proposal = None
    if settled.how == "as_recorded" and (take_up < needed or let_out < thousandth(counted.expanded)):
        proposal = Proposal(middle, built.cut + thousandth(build.upper) + thousandth(build.lower) - middle.sum())
    turns = geometry.turns(recorded, build) if recorded is not None and settled.same_geometry else None
    return Advice(take_up, let_out, turns, needed, geometry.equalised(build), proposal)
