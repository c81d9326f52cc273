"""Everything about an assembly that its readings do not change, built once and remembered: its sides, its setting, the terms of every member.

Port and starboard, a boat that is quoted again and a fleet have the same parts with other readings. What is remembered is found again by
the parts as they were sent, digit by digit (8 mm and 8.0 mm are told apart, since a quote repeats them as sent), and by the tables.
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
from pricing.geometry.boat_end import unsaid
from pricing.geometry.kept_parts import tell_kept
from pricing.geometry.links import OldLink, old_terms
from pricing.geometry.old_turnbuckle import old_turnbuckle
from pricing.geometry.plausible_sizes import implausible
from pricing.geometry.sides import Side, choose_side
from pricing.geometry.turnbuckle_fit import TurnbuckleFit, hung
from pricing.geometry.turnbuckle_setting import Settled, settle
from pricing.measurement.assembly import Assembly, End, Measurement, Turnbuckle, WireSpec
from pricing.measurement.identification import Named, identify
from pricing.measurement.included import ask_what_was_included, read_at, replaced_unmeasured
from pricing.measurement.reduction import datum_term
from pricing.measurement.wire import choose_wire
from pricing.values import phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.terms import Terms
    from pricing.rows import Wire

OLD_LINK_UNKNOWN = code("old-link-unknown", "stop", "A link that is not in the reading is left away, and nobody knows how long it was.")
REMEMBERED = 1024
_PARTS = attrgetter(
    "wire", "old_wire", "upper", "lower", "turnbuckle",
    "measurement.includes_turnbuckle", "measurement.includes_links", "measurement.upper_datum", "measurement.lower_datum",
)  # fmt: skip
_WRITER = msgspec.json.Encoder(decimal_format="string")
_READER = msgspec.json.Decoder(
    tuple[WireSpec, WireSpec | None, End, End, Turnbuckle | None, bool | None, bool | None, str, str]
)  # fmt: skip


@dataclass(frozen=True)
class Both:
    """What was built of both ends of a wire. `outward` are the terms from the reading to the bearings, `members` those of each end that
    are not wire; `offsets` is how far the reading ended from each bearing. Lengths in mm; sums are computed once.
    """

    upper: Side
    lower: Side
    settled: Settled | None
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
        """Length between the upper bearing and the free wire."""
        return -total(self.upper_members)

    @cached_property
    def lower_member(self) -> Decimal:
        """Length between the lower bearing and the free wire."""
        return -total(self.lower_members)

    @cached_property
    def to_target(self) -> Decimal:
        """What is added to the corrected reading for the target."""
        return total(self.outward)

    @cached_property
    def to_cut(self) -> Decimal:
        """What is added to the target for the cut length."""
        return total(self.cut_terms)

    @cached_property
    def taken(self) -> Decimal:
        """Wire that both fittings take."""
        return self.upper.taken + self.lower.taken

    @cached_property
    def covered(self) -> Decimal:
        """Free wire that sleeves of both ends cover."""
        return self.upper.fitting.covered + self.lower.fitting.covered

    @cached_property
    def turnbuckle(self) -> TurnbuckleFit | None:
        """The turnbuckle, at whichever end it is."""
        return self.upper.turnbuckle if self.upper.turnbuckle is not None else self.lower.turnbuckle


@dataclass(frozen=True, eq=False)
class Unread:
    """An assembly without its readings, as far as it could be built. It is equal to itself alone, and so a key of what follows from it.

    `parts` have what was identified in the place of what was gauged (`identified` says whether anything was). `before` and `after` are
    the findings that come before and after those on the readings, with pointers relative to the assembly.
    """

    parts: Assembly
    identified: bool
    named: tuple[Named, ...]
    before: tuple[Finding, ...]
    wire: Wire | None = None
    both: Both | None = None
    after: tuple[Finding, ...] = ()

    @cached_property
    def weakest(self) -> Member | None:
        """The weakest member, the wire itself among them; None if not all are known."""
        if self.wire is None or self.both is None:
            return None
        wire = Member(phrase("member.wire"), self.wire.break_kn, catalogue_row(self.wire.sku))
        return min((wire, *self.both.upper.strength, *self.both.lower.strength), key=lambda member: member.break_kn)

    @cached_property
    def stopped(self) -> bool:
        """Whether nothing can be cut, however it was read."""
        return any(each.severity == "stop" for each in (*self.before, *self.after))


def unread(assembly: Assembly, catalogue: Catalogue, terms: Terms) -> Unread:
    """What its readings do not change. Never raises for an assembly that could be read."""
    return _remembered(_WRITER.encode(_PARTS(assembly)), catalogue, terms.centred_share, terms.kept_within)


@lru_cache(maxsize=REMEMBERED)
def _remembered(parts: bytes, catalogue: Catalogue, centred_share: Decimal, kept_within: Decimal) -> Unread:
    """`parts` are read back from what they are found by, so that nothing else can be made use of."""
    wire, old_wire, upper, lower, turnbuckle, includes_turnbuckle, includes_links, upper_datum, lower_datum = _READER.decode(parts)
    measured = Measurement((), includes_turnbuckle, includes_links, upper_datum=upper_datum, lower_datum=lower_datum)
    blank = Assembly("", "", wire, upper, lower, measured, turnbuckle=turnbuckle, old_wire=old_wire)
    return _built(blank, catalogue, centred_share, kept_within)


class _Piece:
    """Working state of one build, with the findings so far."""

    __slots__ = ("assembly", "catalogue", "findings")

    def __init__(self, assembly: Assembly, catalogue: Catalogue, findings: tuple[Finding, ...]) -> None:
        self.assembly, self.catalogue, self.findings = assembly, catalogue, list(findings)


def _built(sent: Assembly, catalogue: Catalogue, centred_share: Decimal, kept_within: Decimal) -> Unread:
    assembly, named, contradicted = identify(sent, catalogue.whole)
    identified = assembly is not sent
    wire, said = choose_wire(assembly.wire, catalogue)
    piece = _Piece(assembly, catalogue, (*contradicted, *said))
    if wire is None:
        return Unread(assembly, identified, named, tuple(piece.findings))
    upper, lower = (_side(piece, name, wire) for name in ("upper", "lower"))
    before = (*piece.findings, *ask_what_was_included(assembly))
    if upper is None or lower is None:
        return Unread(assembly, identified, named, before, wire)
    piece.findings = []
    both = _both(piece, upper, lower, centred_share, kept_within)
    return Unread(assembly, identified, named, before, wire, both, tuple(piece.findings))


def _side(piece: _Piece, name: str, wire: Wire) -> Side | None:
    assembly = piece.assembly
    turnbuckle = assembly.turnbuckle
    there = hung(turnbuckle) if turnbuckle is not None and turnbuckle.at == name else None
    side = choose_side(name, assembly.upper if name == "upper" else assembly.lower, there, wire.sku, piece.catalogue)
    piece.findings += side.findings
    return None if isinstance(side, Misfit) else side


def _both(piece: _Piece, upper: Side, lower: Side, centred_share: Decimal, kept_within: Decimal) -> Both:
    sides = {"upper": upper, "lower": lower}
    settled = _settled(piece, upper.turnbuckle or lower.turnbuckle, centred_share)
    all_outward: list[Term] = []
    offsets: dict[str, Decimal] = {}
    for name, side in sides.items():
        outward = [*_datum(piece, name, side), *_left_out(piece, name, side, settled)]
        outward += _new_bearing(piece, name, side)
        offsets[name] = total(outward)
        all_outward += outward
    piece.findings += unsaid(
        (name, side.links.face, side.bears_otherwise)
        for name, side in sides.items()
        if side.end.boat_fitting is None and side.end.joins is None
    )
    kept = tell_kept(piece.assembly, sides, settled, piece.catalogue.whole, kept_within)
    piece.findings += kept.findings
    piece.findings += implausible(piece.assembly, sides, settled, piece.catalogue.whole)
    members = {name: tuple(_members(name, side, settled)) for name, side in sides.items()}
    return Both(upper, lower, settled, tuple(all_outward), offsets, members["upper"], members["lower"], kept.contributions)


def _settled(piece: _Piece, laid: TurnbuckleFit | None, centred_share: Decimal) -> Settled | None:
    asked = piece.assembly.turnbuckle
    if asked is None or laid is None:
        return None
    settled = settle(asked, laid.geometry, centred_share, included=piece.assembly.measurement.includes_turnbuckle is not False)
    piece.findings += settled.findings
    return settled


def _datum(piece: _Piece, name: str, side: Side) -> list[Term]:
    """The term for the datum. Datum and pin are those of the outermost member included in the reading; an `old_pin` is the boat's."""
    read = read_at(piece.assembly, name)
    frame = side.read_to(turnbuckle=read.turnbuckle, links=read.links)
    datum = piece.assembly.measurement.upper_datum if name == "upper" else piece.assembly.measurement.lower_datum
    end = side.end if side.end.old_pin is None or frame is side.old_frame else replace(side.end, old_pin=None)
    found, said = datum_term(name, datum, end, frame)
    piece.findings += said
    return [found] if found else []


def _left_out(piece: _Piece, name: str, side: Side, settled: Settled | None) -> list[Term]:
    """Members between the end of the reading and the outermost bearing, where the target ends: added as they were on the old assembly."""
    read = read_at(piece.assembly, name)
    found: list[Term] = []
    laid = side.turnbuckle
    if laid is not None and not read.turnbuckle:
        if settled is None or settled.recorded is None:
            return []  # cut to the stud: what lies outside it is neither added nor subtracted
        asked = piece.assembly.turnbuckle
        found += old_turnbuckle(name, side, laid, settled.recorded, asked) if asked is not None else []
    if not side.end.links:
        return found
    piece.findings += replaced_unmeasured(piece.assembly, name)
    for link in side.links.old[read.links :]:
        found += old_terms(name, link) if link.length is not None else _no_length(piece, name, link)
    return found


def _no_length(piece: _Piece, name: str, link: OldLink) -> list[Term]:
    part = phrase(f"old_link.{link.kind}")
    piece.findings.append(finding(OLD_LINK_UNKNOWN, f"{name}/links/{link.place}", link.kind, part=part, end=phrase(f"end.{name}")))
    return []


def _new_bearing(piece: _Piece, name: str, side: Side) -> list[Term]:
    found, said = bearing_change(name, side.end, side.old_frame, side.frame)
    piece.findings += said
    return [found] if found else []


def _members(name: str, side: Side, settled: Settled | None) -> list[Term]:
    """Everything at this end that is not wire, from the load inward."""
    laid = side.turnbuckle
    if laid is None:
        return [*side.links.terms, *side.fitting.members]
    if settled is None or settled.build is None:
        length = side.fitting.thread_length
        whole = term("stud-thread", -length, origin(side.fitting.sku or ""), name, thread_length=length)
        return [whole, *side.fitting.members]
    source = phrase("source.recorded_setting" if settled.how == "as_recorded" else "source.middle_of_travel")
    exposed = [
        term("exposed-thread", -mm, source, which, exposed=mm)
        for which, mm in (("upper", settled.build.upper), ("lower", settled.build.lower))
    ]
    return [*side.links.terms, *laid.fixed, *exposed, *side.fitting.members]
