"""One assembly as it appears in the quote: what was built and assessed, with lengths as printed and words in the quote's voice."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from pricing.derivation import thousandth
from pricing.document import Text
from pricing.geometry.hardware import CACHE_SIZE, Hardware
from pricing.geometry.layout import EndLayout, LaidMember, layout
from pricing.model import (
    Contributor,
    End,
    Ends,
    Exposed,
    Length,
    Member,
    Millimetres,
    PlacedStop,
    Proposal,
    QuotedAssembly,
    QuotedTerm,
    QuotedTurnbuckle,
    QuotedWire,
    SharedPrice,
    Strength,
    Uncertainty,
)
from pricing.units import tenth

if TYPE_CHECKING:
    from pricing.checks.assessment import Advice, Assessment
    from pricing.costing.bill import Counted
    from pricing.findings import Finding
    from pricing.geometry import stops, turnbuckle
    from pricing.geometry.chain import Built
    from pricing.geometry.sides import Side
    from pricing.measurement.uncertainty import Budget
    from pricing.values import Value
    from pricing.wording import Voice

_HUNDREDTH = Decimal("0.01")


def readiness(findings: tuple[Finding, ...]) -> Literal["ready_to_cut", "confirm", "hold"]:
    """The readiness of an assembly with these findings: a stop holds it, an ask needs confirmation."""
    severities = {each.severity for each in findings}
    return "hold" if "stop" in severities else "confirm" if "ask" in severities else "ready_to_cut"


def quoted_assembly(
    assessment: Assessment, counted: Counted | None, findings: tuple[Finding, ...], price: SharedPrice | None, text: Text, voice: Voice
) -> QuotedAssembly:
    """One assembly of the quote; one on hold has no figures to build by. `findings` must have absolute pointers."""
    built, assembly = assessment.built, assessment.built.assembly
    ready = readiness(findings)
    held = ready == "hold"
    shown = None if held else built.cut
    return QuotedAssembly(
        tag=assembly.tag,
        role=assembly.role,
        side=assembly.side,
        mast=assembly.mast,
        number=assembly.number,
        quantity=assembly.quantity,
        readiness=ready,
        wire=_wire(assessment),
        identified=tuple([each.quoted(voice) for each in built.identifications]),
        measured_length=_length(built.reduced.mean, text) if built.reduced else None,
        target_length=_length(built.target, text) if built.target is not None and not held else None,
        cut_length=None if shown is None else _cut_length(shown, text),
        uncertainty=_uncertainty(assessment.budget, voice) if assessment.budget is not None and not held else None,
        tolerance=_mm(assessment.tolerance),
        free_wire=None if shown is None or built.free_wire is None else _length(built.free_wire, text),
        ends=None if shown is None else _ends(built.hardware),
        turnbuckle=_turnbuckle(assessment, text) if built.turnbuckle is not None and not held else None,
        stops=() if held else tuple([_stop(stop, text) for stop in built.stops]),
        derivation=() if held else _derivation(built, voice),
        strength=None if held else _strength(built.hardware, voice),
        parts=counted.articles.quoted_parts if counted and not held else (),
        work=counted.articles.quoted_work if counted and not held else (),
        price=price,
        note=assembly.note,
        findings=tuple([each.quoted(voice) for each in findings]),
    )


def _length(mm: Decimal, text: Text) -> Length:
    """A length to 0.001 mm and as text, each rounded once from the length itself (MTO LS-100 rev 16 §3: never twice)."""
    return Length(thousandth(mm), text(mm))


def _cut_length(mm: Decimal, text: Text) -> Length:
    """A cut length to 0.1 mm; the text is also rounded from the sum, not from the tenths."""
    return Length(tenth(mm), text(mm))


def _mm(mm: Decimal) -> Millimetres:
    return Millimetres(thousandth(mm))


@lru_cache(maxsize=CACHE_SIZE)
def _ends(hardware: Hardware) -> Ends | None:
    return None if hardware.ends is None else Ends(**{name: _end(each) for name, each in layout(hardware.ends).items()})


def _derivation(built: Built, voice: Voice) -> tuple[QuotedTerm, ...]:
    if built.reduced is None:
        return ()
    return (*[each.quoted(voice) for each in built.reduced.terms], *_of_members(built.hardware, voice))


@lru_cache(maxsize=CACHE_SIZE)
def _of_members(hardware: Hardware, voice: Voice) -> tuple[QuotedTerm, ...]:
    """The derivation lines that do not depend on the readings."""
    if hardware.ends is None:
        return ()
    known = {**_of_side(hardware.ends.upper, voice), **_of_side(hardware.ends.lower, voice)}
    return tuple([known.get(id(each)) or each.quoted(voice) for each in (*hardware.ends.outward, *hardware.ends.cut_terms)])


@lru_cache(maxsize=CACHE_SIZE)
def _of_side(side: Side, voice: Voice) -> dict[int, QuotedTerm]:
    """The derivation lines of one end, keyed by the id of their term: the side owns its terms, so the ids stay valid while it is cached."""
    return {id(each): each.quoted(voice) for each in side.terms}


def _end(end: EndLayout) -> End:
    bare = None if end.bare is None else _mm(end.bare)
    return End(tuple([_member(each) for each in end.members]), _mm(end.taken), _mm(end.read_from), bare)


def _member(member: LaidMember) -> Member:
    return Member(
        member.part,
        member.kind,
        member.place,
        _mm(member.start),
        _mm(member.length),
        member.sku,
        member.name,
        member.kept,
        dict(member.sizes),
    )


def _wire(assessment: Assessment) -> QuotedWire | None:
    wire = assessment.built.wire
    if wire is None:
        return None
    return QuotedWire(wire.sku, wire.name, wire.construction, wire.material, wire.size, _kn(wire.break_kn))


def _kn(force: Decimal) -> Decimal:
    return force.quantize(_HUNDREDTH, ROUND_HALF_UP)


def _uncertainty(budget: Budget, voice: Voice) -> Uncertainty:
    largest = budget.largest()
    return Uncertainty(
        mm=_fixed(budget.expanded, 3),
        largest=_named(largest.name, voice),
        to_shrink=_named(largest.remedy, voice),
        k=_fixed(budget.k, 2),
        degrees_of_freedom=budget.degrees,
        budget=tuple(
            [
                Contributor(_named(each.name, voice), _fixed(each.u, 3), _fixed(percent, 1), each.dof)
                for each, percent in zip(budget.contributions, budget.percent(), strict=True)
            ]
        ),
    )


@lru_cache(maxsize=4096)
def _named(name: Value, voice: Voice) -> str:
    """A contribution's name or remedy in words; cached, since these phrases contain no numbers."""
    return voice.value(name)


def _fixed(value: float, digits: int) -> Decimal:
    return Decimal(f"{value:.{digits}f}")


def _exposed(at: turnbuckle.Exposed, text: Text) -> Exposed:
    return Exposed(_length(at.upper, text), _length(at.lower, text))


def _turnbuckle(assessment: Assessment, text: Text) -> QuotedTurnbuckle:
    chosen_setting, advice = assessment.built.chosen_setting, assessment.advice
    requested = assessment.built.assembly.turnbuckle
    body = None if requested is None else requested.body
    if chosen_setting is None or chosen_setting.build is None or advice is None:
        return QuotedTurnbuckle(body=body, built="to_the_stud")
    return QuotedTurnbuckle(
        body=body,
        built=chosen_setting.how,
        build_setting=_exposed(chosen_setting.build, text),
        recorded=_exposed(chosen_setting.recorded, text) if chosen_setting.recorded is not None else None,
        take_up=_length(advice.take_up, text),
        let_out=_length(advice.let_out, text),
        travel_needed=_length(advice.needed, text),
        turns_from_recorded=None if advice.turns is None else Decimal(f"{advice.turns:z.2f}"),
        equalised=_exposed(advice.equalised, text),
        proposal=_proposal(advice, text),
    )


def _proposal(advice: Advice, text: Text) -> Proposal | None:
    proposal = advice.proposal
    return None if proposal is None else Proposal(_exposed(proposal.setting, text), _cut_length(proposal.cut, text))


def _stop(stop: stops.PlacedStop, text: Text) -> PlacedStop:
    return PlacedStop(
        stop=stop.place + 1,
        sku=stop.ball.sku,
        ball=Millimetres(stop.ball.ball),
        centre_from_upper_bearing=_length(stop.from_upper_bearing, text),
        centre_from_upper_cut_end=_length(stop.from_upper_cut_end, text),
    )


@lru_cache(maxsize=CACHE_SIZE)
def _strength(hardware: Hardware, voice: Voice) -> Strength | None:
    weakest, wire = hardware.weakest, hardware.wire
    if weakest is None or wire is None:
        return None
    share = Decimal(f"{weakest.break_kn / wire.break_kn:.2f}")
    return Strength(voice.phrase(weakest.name), _kn(weakest.break_kn), share, voice.value(weakest.source))
