"""The hardware of an assembly: everything that does not depend on its readings, built once and cached.

That is both ends with their fittings, the turnbuckle setting, and the derivation terms of every member. Port and starboard, a boat quoted
again, and a fleet share the same hardware under different readings. The cache key is the parts as written in the request, digit by digit
(8 mm and 8.0 mm are different keys, since a quote repeats sizes as sent), together with the catalogue and the terms used.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property, lru_cache
from operator import attrgetter
from typing import TYPE_CHECKING

import msgspec

from pricing.derivation import Term, term, total
from pricing.findings import Finding, code, finding
from pricing.fittings import Contribution, Member, Misfit
from pricing.fittings.own import catalogue_row, origin
from pricing.geometry.bearing import bearing_change
from pricing.geometry.boat_end import boat_fittings_not_given
from pricing.geometry.kept_parts import judge_kept_parts
from pricing.geometry.links import OldLink, old_terms
from pricing.geometry.old_turnbuckle import old_turnbuckle
from pricing.geometry.plausible_sizes import implausible
from pricing.geometry.sides import Side, choose_side
from pricing.geometry.turnbuckle_fit import TurnbuckleFit, without_setting
from pricing.geometry.turnbuckle_setting import ChosenSetting, choose_setting
from pricing.measurement.assembly import Assembly, End, Measurement, Turnbuckle, WireSpec
from pricing.measurement.identification import Identification, identify
from pricing.measurement.included import questions_on_what_was_included, reading_extent, replaced_unmeasured
from pricing.measurement.reduction import datum_term
from pricing.measurement.wire import choose_wire
from pricing.values import phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.terms import Terms
    from pricing.rows import Wire

OLD_LINK_UNKNOWN = code("old-link-unknown", "stop", "A link outside the reading is left away, and its length is not known.")
CACHE_SIZE = 1024
_PARTS = attrgetter(
    "wire", "old_wire", "upper", "lower", "turnbuckle",
    "measurement.includes_turnbuckle", "measurement.includes_links", "measurement.upper_datum", "measurement.lower_datum",
)  # fmt: skip
_WRITER = msgspec.json.Encoder(decimal_format="string")
_READER = msgspec.json.Decoder(
    tuple[WireSpec, WireSpec | None, End, End, Turnbuckle | None, bool | None, bool | None, str, str]
)  # fmt: skip


@dataclass(frozen=True)
class BothEnds:
    """Both ends of a wire as built. Lengths in mm; sums are computed once.

    `outward` are the terms from the reading to the outermost bearings; `upper_members` and `lower_members` are the terms of each end that is
    not wire; `offsets` is the distance from each end of the reading to the bearing there.
    """

    upper: Side
    lower: Side
    chosen_setting: ChosenSetting | None
    outward: tuple[Term, ...]
    offsets: Mapping[str, Decimal]
    upper_members: tuple[Term, ...]
    lower_members: tuple[Term, ...]
    contributions: tuple[Contribution, ...]

    @cached_property
    def cut_terms(self) -> tuple[Term, ...]:
        """From target length to cut length: less every member, plus the wire that the fittings take."""
        return (*self.upper_members, *self.lower_members, *self.upper.fitting.taken, *self.lower.fitting.taken)

    @cached_property
    def upper_member(self) -> Decimal:
        """Length between the upper bearing and the free wire, mm."""
        return -total(self.upper_members)

    @cached_property
    def lower_member(self) -> Decimal:
        """Length between the lower bearing and the free wire, mm."""
        return -total(self.lower_members)

    @cached_property
    def to_target(self) -> Decimal:
        """From the corrected reading to the target length, mm (signed)."""
        return total(self.outward)

    @cached_property
    def to_cut(self) -> Decimal:
        """From the target length to the cut length, mm (signed)."""
        return total(self.cut_terms)

    @cached_property
    def taken(self) -> Decimal:
        """Wire taken by both fittings, mm."""
        return self.upper.taken + self.lower.taken

    @cached_property
    def covered(self) -> Decimal:
        """Free wire covered by the sleeves of both ends, mm."""
        return self.upper.fitting.covered + self.lower.fitting.covered

    @cached_property
    def turnbuckle(self) -> TurnbuckleFit | None:
        """The turnbuckle, at whichever end it is."""
        return self.upper.turnbuckle if self.upper.turnbuckle is not None else self.lower.turnbuckle


@dataclass(frozen=True, eq=False)
class Hardware:
    """The hardware as far as it could be built. Compared by identity, so that results derived from it can be cached by it.

    `assembly` is the request without readings, with identified sizes and threads filled in (`any_identified` says whether there are any).
    `ends` is None if either end could not be built. `before` and `after` are the findings listed before and after those on the readings,
    with pointers relative to the assembly.
    """

    assembly: Assembly
    any_identified: bool
    identifications: tuple[Identification, ...]
    before: tuple[Finding, ...]
    wire: Wire | None = None
    ends: BothEnds | None = None
    after: tuple[Finding, ...] = ()

    @cached_property
    def weakest(self) -> Member | None:
        """The weakest member, counting the wire itself; None if an end could not be built."""
        if self.wire is None or self.ends is None:
            return None
        wire = Member(phrase("member.wire"), self.wire.break_kn, catalogue_row(self.wire.sku))
        return min((wire, *self.ends.upper.strength, *self.ends.lower.strength), key=lambda member: member.break_kn)

    @cached_property
    def stopped(self) -> bool:
        """Whether a finding stops the assembly whatever the readings are."""
        return any(each.severity == "stop" for each in (*self.before, *self.after))


def build_hardware(assembly: Assembly, catalogue: Catalogue, terms: Terms) -> Hardware:
    """The assembly's hardware, from the cache if it was built before. Never raises for an assembly that could be parsed."""
    return _cached(_WRITER.encode(_PARTS(assembly)), catalogue, terms.centred_share, terms.kept_within)


@lru_cache(maxsize=CACHE_SIZE)
def _cached(parts: bytes, catalogue: Catalogue, centred_share: Decimal, kept_within: Decimal) -> Hardware:
    """The assembly is decoded from its own cache key, so that nothing outside the key can influence the result."""
    wire, old_wire, upper, lower, turnbuckle, includes_turnbuckle, includes_links, upper_datum, lower_datum = _READER.decode(parts)
    measured = Measurement((), includes_turnbuckle, includes_links, upper_datum=upper_datum, lower_datum=lower_datum)
    blank = Assembly("", "", wire, upper, lower, measured, turnbuckle=turnbuckle, old_wire=old_wire)
    return _built(blank, catalogue, centred_share, kept_within)


class _Build:
    """Working state of one build, with the findings so far."""

    __slots__ = ("assembly", "catalogue", "findings")

    def __init__(self, assembly: Assembly, catalogue: Catalogue, findings: tuple[Finding, ...]) -> None:
        self.assembly, self.catalogue, self.findings = assembly, catalogue, list(findings)


def _built(sent: Assembly, catalogue: Catalogue, centred_share: Decimal, kept_within: Decimal) -> Hardware:
    assembly, identifications, contradicted = identify(sent, catalogue.with_discontinued)
    any_identified = assembly is not sent
    wire, findings = choose_wire(assembly.wire, catalogue)
    build = _Build(assembly, catalogue, (*contradicted, *findings))
    if wire is None:
        return Hardware(assembly, any_identified, identifications, tuple(build.findings))
    upper, lower = (_side(build, name, wire) for name in ("upper", "lower"))
    before = (*build.findings, *questions_on_what_was_included(assembly))
    if upper is None or lower is None:
        return Hardware(assembly, any_identified, identifications, before, wire)
    build.findings = []
    ends = _both_ends(build, upper, lower, centred_share, kept_within)
    return Hardware(assembly, any_identified, identifications, before, wire, ends, tuple(build.findings))


def _side(build: _Build, name: str, wire: Wire) -> Side | None:
    assembly = build.assembly
    turnbuckle = assembly.turnbuckle
    turnbuckle_request = without_setting(turnbuckle) if turnbuckle is not None and turnbuckle.at == name else None
    side = choose_side(name, assembly.upper if name == "upper" else assembly.lower, turnbuckle_request, wire.sku, build.catalogue)
    build.findings += side.findings
    return None if isinstance(side, Misfit) else side


def _both_ends(build: _Build, upper: Side, lower: Side, centred_share: Decimal, kept_within: Decimal) -> BothEnds:
    sides = {"upper": upper, "lower": lower}
    chosen_setting = _chosen_setting(build, upper.turnbuckle or lower.turnbuckle, centred_share)
    all_outward: list[Term] = []
    offsets: dict[str, Decimal] = {}
    for name, side in sides.items():
        outward = [*_datum(build, name, side), *_outside_reading(build, name, side, chosen_setting)]
        outward += _new_bearing(build, name, side)
        offsets[name] = total(outward)
        all_outward += outward
    build.findings += boat_fittings_not_given(
        (name, side.links.face, side.bears_otherwise)
        for name, side in sides.items()
        if side.end.boat_fitting is None and side.end.joins is None
    )
    kept = judge_kept_parts(build.assembly, sides, chosen_setting, build.catalogue.with_discontinued, kept_within)
    build.findings += kept.findings
    build.findings += implausible(build.assembly, sides, chosen_setting, build.catalogue.with_discontinued)
    members = {name: tuple(_members(name, side, chosen_setting)) for name, side in sides.items()}
    return BothEnds(upper, lower, chosen_setting, tuple(all_outward), offsets, members["upper"], members["lower"], kept.contributions)


def _chosen_setting(build: _Build, turnbuckle: TurnbuckleFit | None, centred_share: Decimal) -> ChosenSetting | None:
    requested = build.assembly.turnbuckle
    if requested is None or turnbuckle is None:
        return None
    chosen_setting = choose_setting(
        requested, turnbuckle.geometry, centred_share, included=build.assembly.measurement.includes_turnbuckle is not False
    )
    build.findings += chosen_setting.findings
    return chosen_setting


def _datum(build: _Build, name: str, side: Side) -> list[Term]:
    """The datum's term, if any. It belongs to the outermost member in the reading; `old_pin` applies only where that member bears on the boat."""
    extent = reading_extent(build.assembly, name)
    frame = side.read_to(turnbuckle=extent.turnbuckle, links=extent.links)
    datum = build.assembly.measurement.upper_datum if name == "upper" else build.assembly.measurement.lower_datum
    end = side.end if side.end.old_pin is None or frame is side.old_frame else replace(side.end, old_pin=None)
    datum_line, findings = datum_term(name, datum, end, frame)
    build.findings += findings
    return [datum_line] if datum_line else []


def _outside_reading(build: _Build, name: str, side: Side, chosen_setting: ChosenSetting | None) -> list[Term]:
    """Terms for the old members beyond the end of the reading, up to the outermost bearing, where the target length ends."""
    extent = reading_extent(build.assembly, name)
    terms: list[Term] = []
    turnbuckle = side.turnbuckle
    if turnbuckle is not None and not extent.turnbuckle:
        if chosen_setting is None or chosen_setting.recorded is None:
            return []  # cut to the stud: what lies outside it is neither added nor subtracted
        requested = build.assembly.turnbuckle
        terms += old_turnbuckle(name, side, turnbuckle, chosen_setting.recorded, requested) if requested is not None else []
    if not side.end.links:
        return terms
    build.findings += replaced_unmeasured(build.assembly, name)
    for link in side.links.old[extent.links :]:
        terms += old_terms(name, link) if link.length is not None else _no_length(build, name, link)
    return terms


def _no_length(build: _Build, name: str, link: OldLink) -> list[Term]:
    part = phrase(f"old_link.{link.kind}")
    build.findings.append(finding(OLD_LINK_UNKNOWN, f"{name}/links/{link.place}", link.kind, part=part, end=phrase(f"end.{name}")))
    return []


def _new_bearing(build: _Build, name: str, side: Side) -> list[Term]:
    bearing_line, findings = bearing_change(name, side.end, side.old_frame, side.frame)
    build.findings += findings
    return [bearing_line] if bearing_line else []


def _members(name: str, side: Side, chosen_setting: ChosenSetting | None) -> list[Term]:
    """Everything at this end that is not wire, from the load inward."""
    turnbuckle = side.turnbuckle
    if turnbuckle is None:
        return [*side.links.terms, *side.fitting.members]
    if chosen_setting is None or chosen_setting.build is None:
        length = side.fitting.thread_length
        thread = term("stud-thread", -length, origin(side.fitting.sku or ""), name, thread_length=length)
        return [thread, *side.fitting.members]
    source = phrase("source.recorded_setting" if chosen_setting.how == "as_recorded" else "source.middle_of_travel")
    exposed = [
        term("exposed-thread", -mm, source, which, exposed=mm)
        for which, mm in (("upper", chosen_setting.build.upper), ("lower", chosen_setting.build.lower))
    ]
    return [*side.links.terms, *turnbuckle.fixed, *exposed, *side.fitting.members]
