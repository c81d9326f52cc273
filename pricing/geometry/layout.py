"""Where every member of an assembly lies: from the outermost bearing of each end inward to the mouth, where the free wire begins."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import ZERO, Term, total

if TYPE_CHECKING:
    from pricing.geometry.hardware import BothEnds
    from pricing.geometry.sides import Side
    from pricing.geometry.turnbuckle import Exposed
    from pricing.geometry.turnbuckle_fit import TurnbuckleFit

ENDS = ("upper", "lower")
Sizes = Mapping[str, Decimal]
OUTWARD = frozenset({"read-to", "stud-inside", "inner-exposed", "outer-exposed"})


class LaidMember(NamedTuple):
    """A member of the chain, mm. `start` is where its own outer bearing lies, `length` how far it reaches inward from there.

    `part` is terminal, link, screw, thread or body; `kind` its family, link, end fitting, or body. `sizes` are dimensions needed to draw
    its kind: for a link, its whole length and the overlap of its inner joint; for a thread, none; for a body, how much of the wire's stud
    is inside; for a terminal, the depth of its bore and a bare stud's thread; for a thimble eye, its crown, groove and sleeves. `place`
    distinguishes a turnbuckle's outer screw and thread from its inner ones.
    """

    part: str
    kind: str
    start: Decimal
    length: Decimal
    sku: str | None = None
    name: str | None = None
    kept: bool = False
    place: str | None = None
    sizes: tuple[tuple[str, Decimal], ...] = ()


class EndLayout(NamedTuple):
    """One end, mm: its members from the load inward, the wire they take, and how far inward of the bearing the reading ended.

    `bare` is the wire left beyond the old bearing of an end without a fitting.
    """

    members: tuple[LaidMember, ...]
    taken: Decimal
    read_from: Decimal
    bare: Decimal | None = None


def layout(ends: BothEnds) -> dict[str, EndLayout]:
    """Both ends of an assembly that has a cut length."""
    return {name: _end(name, side, ends) for name, side in (("upper", ends.upper), ("lower", ends.lower))}


def _end(name: str, side: Side, ends: BothEnds) -> EndLayout:
    read_from = total(each for each in ends.outward if each.at == name and (each.old or each.code in OUTWARD))
    if side.end.terminal == "none":
        return EndLayout((), side.taken, read_from, side.taken)
    members = list(_links(side))
    turnbuckle, chosen_setting = side.turnbuckle, ends.chosen_setting
    build = chosen_setting.build if turnbuckle is not None and chosen_setting is not None else None
    if turnbuckle is not None and build is not None:
        members += _turnbuckle(name, turnbuckle, build, side, _after(members))
    overlap = ZERO if turnbuckle is None or build is None else _of(turnbuckle.fixed, "pin-to-turnbuckle")
    members.append(_terminal(side, _after(members) - overlap, in_turnbuckle=build is not None))
    return EndLayout(tuple(members), side.taken, read_from)


def _after(members: list[LaidMember]) -> Decimal:
    return members[-1].start + members[-1].length if members else ZERO


def _of(terms: tuple[Term, ...], *codes: str) -> Decimal:
    return total(each for each in terms if each.code in codes)


def _links(side: Side) -> list[LaidMember]:
    """Links, outermost first. Each extends to its inner joint, where the next one's bearing lies."""
    members: list[LaidMember] = []
    for link in reversed(side.links.new):
        sizes = (("whole", link.length), ("pin", link.overlap))
        members.append(
            LaidMember("link", link.kind, _after(members), link.length - link.overlap, link.sku, link.name, link.kept, sizes=sizes)
        )
    return members


def _turnbuckle(name: str, turnbuckle: TurnbuckleFit, build: Exposed, side: Side, start: Decimal) -> list[LaidMember]:
    """Outer screw, its exposed thread at the setting to build at, body, inner thread, and an inner screw where the wire has no stud."""
    outer, inner = (build.lower, build.upper) if name == "lower" else (build.upper, build.lower)
    *within, outer_screw = turnbuckle.screws
    inside = max(ZERO, side.fitting.thread_length - inner) if turnbuckle.stud else ZERO
    members = [
        LaidMember("screw", outer_screw.end, start, outer_screw.runout, outer_screw.sku, outer_screw.name, turnbuckle.kept, "outer"),
        LaidMember("thread", "exposed", ZERO, outer, place="outer"),
        LaidMember(
            "body",
            turnbuckle.body.body,
            ZERO,
            turnbuckle.body.length,
            turnbuckle.body.sku,
            turnbuckle.body.name,
            turnbuckle.kept,
            sizes=(("inside", inside),),
        ),
        LaidMember("thread", "exposed", ZERO, inner, place="inner"),
        *(LaidMember("screw", each.end, ZERO, each.runout, each.sku, each.name, turnbuckle.kept, "inner") for each in within),
    ]
    for place, each in enumerate(members[1:], 1):
        members[place] = each._replace(start=_after(members[:place]))
    return members


def _terminal(side: Side, start: Decimal, *, in_turnbuckle: bool) -> LaidMember:
    fitting = side.fitting
    thread = fitting.thread_length if side.turnbuckle is not None and not in_turnbuckle else ZERO
    length = thread - total(fitting.members)
    sizes: tuple[tuple[str, Decimal], ...] = fitting.sizes
    if fitting.thread is not None:
        sizes = (*sizes, ("thread", thread), ("neck", Decimal(int(in_turnbuckle))))
    member = LaidMember("terminal", fitting.family, start, length, sizes=sizes)
    part = fitting.parts[0] if fitting.parts else None
    return member if part is None else member._replace(sku=part.sku, name=part.name, kept=part.kept)
