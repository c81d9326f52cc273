"""Chooses everything at one end of a wire: terminal, turnbuckle, links, and the pins they need.

The same ends recur, so results are cached: a side is immutable and depends only on the catalogue, the wire and the request.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from pricing.derivation import Term, total
from pricing.findings import Finding, code, finding
from pricing.fittings import FAMILIES, Contribution, EndRequest, Fitting, Frame, Member, Misfit, Part
from pricing.fittings.ended import OF_THEMSELVES, ended, instead_of, no_longer_sold
from pricing.geometry.boat_end import land
from pricing.geometry.links import Inner, Joined, join_links, toggles_given_twice
from pricing.geometry.pins import choose_pins
from pricing.geometry.turnbuckle_fit import THREAD_UNKNOWN, TurnbuckleFit, TurnbuckleRequest, fit_turnbuckle
from pricing.joints import Joint
from pricing.joints.members import at_end
from pricing.rows import Link as LinkRow
from pricing.values import Listing, Text, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Article, Catalogue
    from pricing.measurement.assembly import End
    from pricing.rows import Wire

NO_THREAD_GIVEN = code("turnbuckle-thread-missing", "stop", "A turnbuckle hangs on an end without a thread, and its own was not given.")
KEPT_HAND = code(
    "hand-of-kept-turnbuckle",
    "ask",
    "A turnbuckle is kept and the hand of its thread toward the wire was not given; the catalogue's was assumed.",
)
UNUSED = code("field-not-used", "ask", "A field was given for an end whose terminal has no use for it: it was ignored.")
WIDTHS_UNKNOWN = code(
    "joint-not-checked",
    "note",
    "A thickness, width or hole that a joint needs is not known: whether the neighbours go together was not checked there.",
)
CACHE_SIZE = 4096
ASKED = ("pin", "thread", "hand", "dimensions", "backing_plate")


@dataclass(frozen=True, eq=False)
class Side:
    """One end with everything beyond the wire. Sums are computed once. `joints` run outward, the boat's last.

    Compared by identity, so that results derived from it can be cached by it.
    """

    end: End
    fitting: Fitting
    turnbuckle: TurnbuckleFit | None
    links: Joined
    joints: tuple[Joint, ...]
    parts: tuple[Part, ...]
    strength: tuple[Member, ...]
    findings: tuple[Finding, ...]

    @property
    def frame(self) -> Frame:
        """The frame of what will bear on the boat."""
        return self.links.frame

    @property
    def old_frame(self) -> Frame:
        """The frame of what bore on the boat, as far as known."""
        return self.read_to(turnbuckle=True, links=len(self.links.old))

    @cached_property
    def bears_otherwise(self) -> bool:
        """Whether a different kind of face, or a different pin, will bear on the boat than before."""
        new, old = self.links.face, self.links.old[-1].face if self.links.old else (self.turnbuckle or self.fitting).face
        return (new.kind, new.pin) != (old.kind, old.pin)

    def read_to(self, *, turnbuckle: bool, links: int) -> Frame:
        """The frame of the outermost member included in the reading: this many old links, with or without the turnbuckle."""
        if self.turnbuckle is not None and not turnbuckle:
            return self.fitting.frame
        if links:
            return self.links.old[links - 1].frame
        return self.turnbuckle.frame if self.turnbuckle is not None else self.fitting.frame

    @property
    def contributions(self) -> tuple[Contribution, ...]:
        """The uncertainty of the new terminal at this end; for kept parts see pricing.geometry.kept_parts."""
        return self.fitting.contributions

    @property
    def terms(self) -> tuple[Term, ...]:
        """The end's terms that depend on neither the turnbuckle setting nor the readings."""
        fixed = () if self.turnbuckle is None else self.turnbuckle.fixed
        return (*self.links.terms, *fixed, *self.fitting.members, *self.fitting.taken)

    @cached_property
    def taken(self) -> Decimal:
        """Wire that the fitting takes, in mm."""
        return total(self.fitting.taken)


@lru_cache(maxsize=CACHE_SIZE)
def choose_side(name: str, end: End, turnbuckle_request: TurnbuckleRequest | None, wire: str, catalogue: Catalogue) -> Side | Misfit:
    """Choose the parts of one end. `turnbuckle_request` is its turnbuckle, if any, `wire` the wire's SKU. Never raises for an end that could be parsed."""
    row = catalogue.wires[wire]
    side = _choose(name, end, turnbuckle_request, row, catalogue)
    if isinstance(side, Side) or catalogue.with_discontinued is catalogue:
        return side
    before = _choose(name, end, turnbuckle_request, row, catalogue.with_discontinued)
    gone = () if isinstance(before, Misfit) else tuple(_ended(name, end, before, row, catalogue))
    return Misfit(gone) if gone else side


def _ended(name: str, end: End, before: Side, wire: Wire, catalogue: Catalogue) -> Iterator[Finding]:
    """A finding for each part that could be chosen if it were still sold; none where the engine substitutes another by itself."""
    for part, row in ended(before.parts, catalogue):
        instead = instead_of(row, catalogue, wire)
        if not (instead and isinstance(row, OF_THEMSELVES)):
            yield no_longer_sold(_at(name, end, part, row, before), row, instead)


def _at(name: str, end: End, part: Part, row: Article, side: Side) -> str:
    """The pointer in the request at which a part was requested."""
    if isinstance(row, LinkRow):
        places = [place for place, link in enumerate(end.links) if link.change != "left_away"]
        place = [each.sku for each in side.links.new].index(part.sku)
        return f"{name}/links/{places[place]}" + ("/sku" if end.links[places[place]].sku else "")
    if part.at == "turnbuckle" or part.family is None:
        return part.at
    return f"{name}/sku" if end.sku == part.sku else f"{name}/terminal"


def _choose(name: str, end: End, turnbuckle_request: TurnbuckleRequest | None, wire: Wire, catalogue: Catalogue) -> Side | Misfit:
    own = _canonical(end.thread, f"{name}/thread", catalogue)
    turnbuckle_thread = _canonical(turnbuckle_request.thread if turnbuckle_request else None, "turnbuckle/thread", catalogue)
    unknown = tuple(each for each in (own, turnbuckle_thread) if isinstance(each, Finding))
    if unknown or isinstance(own, Finding) or isinstance(turnbuckle_thread, Finding):
        return Misfit(unknown)
    requested_end = end if own == end.thread else replace(end, thread=own)
    requested = EndRequest(
        name,
        requested_end,
        wire,
        turnbuckle_thread,
        _stud_hand(turnbuckle_request, turnbuckle_thread or own, catalogue),
        turnbuckle_request is not None,
    )
    fitting = FAMILIES[end.terminal].fit(requested, catalogue)
    if isinstance(fitting, Misfit):
        return fitting
    turnbuckle = _fit_turnbuckle(turnbuckle_request, fitting, turnbuckle_thread or own or fitting.thread, catalogue)
    if isinstance(turnbuckle, Misfit):
        return Misfit((*fitting.findings, *turnbuckle.findings))
    return _with_links(name, end, fitting, turnbuckle, turnbuckle_request, catalogue)


def _unused(name: str, end: End, outer: Frame) -> tuple[Finding, ...]:
    """Fields that do not apply: a pin on a stud, a thread on a fork, an old pin where there is none, and the like.

    `outer` is the outermost frame without links.
    """
    family = FAMILIES[end.terminal]
    applies = (*family.asks, "dimensions") if family.own else family.asks
    wrong = [field for field in ASKED if getattr(end, field) is not None and field not in applies]
    if end.old_pin is not None and outer.kind not in ("hole", "crown") and not end.links:
        wrong.append("old_pin")
    return tuple(_no_use(name, end.terminal, field) for field in wrong)


def _beside_a_stud(turnbuckle_request: TurnbuckleRequest | None, turnbuckle: TurnbuckleFit | None) -> tuple[Finding, ...]:
    """An inner end fitting or pin given for a turnbuckle that takes the wire's own stud."""
    if turnbuckle_request is None or turnbuckle is None or not turnbuckle.stud:
        return ()
    inward, outward = ("upper_end", "lower_end") if turnbuckle_request.at == "lower" else ("lower_end", "upper_end")
    fields = (
        ("inner_pin",) if getattr(turnbuckle_request, outward) is None else (inward, "inner_pin")
    )  # an only end was taken as the outer one
    given = [field for field in fields if getattr(turnbuckle_request, field) is not None]
    return tuple(finding(UNUSED, f"turnbuckle/{field}", "beside_stud", detail=phrase(f"detail.{field}")) for field in given)


def _no_use(name: str, terminal: str, field: str) -> Finding:
    part = at_end(phrase(f"terminal.{terminal}"), name)
    if field in ("pin", "old_pin"):
        return finding(UNUSED, f"{name}/{field}", "no_pin", part=part)
    return finding(UNUSED, f"{name}/{field}", "no_use", part=part, detail=phrase(f"detail.{field}"))


def _kept_hand(name: str, end: End, fitting: Fitting, turnbuckle_request: TurnbuckleRequest | None) -> tuple[Finding, ...]:
    """A kept body can be either way up, so its hand toward the wire must be checked; a new one is ordered to suit."""
    if (
        turnbuckle_request is None
        or not turnbuckle_request.reuse
        or turnbuckle_request.hand is not None
        or end.hand is not None
        or fitting.hand is None
    ):
        return ()
    return (finding(KEPT_HAND, f"{name}/terminal", hand=phrase(f"hand.{fitting.hand}")),)


def _canonical(text: str | None, at: str, catalogue: Catalogue) -> str | Finding | None:
    if text is None:
        return None
    row = catalogue.thread(text)
    if row is not None:
        return row.designation
    return finding(THREAD_UNKNOWN, at, thread=Text(text))


def _stud_hand(turnbuckle_request: TurnbuckleRequest | None, thread: str | None, catalogue: Catalogue) -> str | None:
    if turnbuckle_request is None:
        return None
    body = catalogue.of_part(kept=turnbuckle_request.reuse).body(turnbuckle_request.body, thread or "")
    return turnbuckle_request.hand or (body.stud_hand if body else None)


def _fit_turnbuckle(
    turnbuckle_request: TurnbuckleRequest | None, fitting: Fitting, thread: str | None, catalogue: Catalogue
) -> TurnbuckleFit | Misfit | None:
    if turnbuckle_request is None:
        return None
    if thread is None:
        return Misfit((finding(NO_THREAD_GIVEN, "turnbuckle"),))
    return fit_turnbuckle(turnbuckle_request, fitting, thread, catalogue)


def _with_links(
    name: str,
    end: End,
    fitting: Fitting,
    turnbuckle: TurnbuckleFit | None,
    turnbuckle_request: TurnbuckleRequest | None,
    catalogue: Catalogue,
) -> Side | Misfit:
    inner = turnbuckle or fitting
    findings = (
        *_unused(name, end, inner.frame),
        *_beside_a_stud(turnbuckle_request, turnbuckle),
        *_kept_hand(name, end, fitting, turnbuckle_request),
        *fitting.findings,
        *(turnbuckle.findings if turnbuckle else ()),
    )
    links = join_links(name, end.links, Joined(inner.face, inner.frame), catalogue)
    if isinstance(links, Misfit):
        return Misfit((*findings, *links.findings))
    landed = land(name, end, links.face)
    if isinstance(landed, Misfit):
        return Misfit((*findings, *links.findings, *landed.findings))
    hung_on = Inner("turnbuckle", turnbuckle.outer_end, turnbuckle.kept) if turnbuckle else Inner("terminal", end.terminal, end.reuse)
    twice = toggles_given_twice(name, end.links, hung_on)
    joints = (*(turnbuckle.joints if turnbuckle else ()), *links.joints, landed.joint)
    pins, sheared, pin_findings = choose_pins(joints, name, catalogue)
    findings = (*findings, *links.findings, *landed.findings, *twice, *_not_measured(name, joints), *pin_findings)
    if any(each.severity == "stop" for each in pin_findings):
        return Misfit(findings)
    parts = (*fitting.parts, *(turnbuckle.parts if turnbuckle else ()), *links.parts, *pins)
    strength = (*fitting.strength, *(turnbuckle.strength if turnbuckle else ()), *links.strength, *sheared)
    return Side(end, fitting, turnbuckle, links, joints, parts, strength, findings)


def _not_measured(name: str, joints: tuple[Joint, ...]) -> tuple[Finding, ...]:
    unknown = dict.fromkeys(each for joint in joints for each in joint.unknown)
    if not unknown:
        return ()
    return (finding(WIDTHS_UNKNOWN, name, sizes=Listing(tuple(unknown))),)
