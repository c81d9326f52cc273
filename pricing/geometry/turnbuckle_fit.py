"""Chooses a turnbuckle's body and screws, and checks the wire's stud against them: thread and hand must both match."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from operator import attrgetter
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import Term, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Fitting, Frame, Member, Misfit, Part
from pricing.fittings.choose import PIN_ASSUMED, SKU_MISFIT, by_pin, not_exact
from pricing.fittings.own import OWN, OWN_STRENGTH, not_kept, origin, strength_origin, strength_taken
from pricing.geometry.kept_turnbuckle import own_body, own_screw
from pricing.geometry.locking import Threaded, locked_by
from pricing.geometry.turnbuckle import ScrewGeometry, TurnbuckleGeometry
from pricing.joints import Face, Joint, Unfit, join
from pricing.joints.findings import PIN_MISFIT, misfit
from pricing.joints.members import at_end, of_screw, on_turnbuckle
from pricing.values import Size, Text, Value, phrase, sizes

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import OwnTurnbuckle, Turnbuckle
    from pricing.rows import Body, Screw

THREAD_UNKNOWN = code("thread-unknown", "stop", "A thread's designation is not one that the catalogue knows.")
THREAD_MISMATCH = code("thread-mismatch", "stop", "The stud's thread is not the turnbuckle's.")
WRONG_HAND = code("wrong-hand", "stop", "The stud's thread is of the opposite hand to the turnbuckle body's thread that must take it.")
NO_TURNBUCKLE = code("no-turnbuckle", "stop", "The catalogue has no turnbuckle body of that kind and thread.")
NO_SCREW = code("no-screw", "stop", "The catalogue has no turnbuckle screw with that thread, hand and end fitting.")
END_MISSING = code(
    "turnbuckle-end-missing", "stop", "It was not stated what the turnbuckle carries at its outer end, or toward a wire without a stud."
)
NO_PLACE = code("turnbuckle-has-no-joint", "stop", "A turnbuckle was put on an end that has neither a thread nor a pin hole.")
END_BY_OTHER_NAME = code("turnbuckle-end-assumed", "note", "The turnbuckle's outer end was given under the other end's name.")


class TurnbuckleRequest(NamedTuple):
    """A turnbuckle as requested, without its setting: see pricing.measurement.assembly.Turnbuckle."""

    body: str
    thread: str | None
    hand: str | None
    upper_end: str | None
    lower_end: str | None
    pin: Decimal | None
    inner_pin: Decimal | None
    reuse: bool
    at: str
    sku: str | None
    dimensions: OwnTurnbuckle | None


def without_setting(requested: Turnbuckle) -> TurnbuckleRequest:
    """The request's fields that determine which turnbuckle fits: all but its setting."""
    return TurnbuckleRequest(*_FIELDS(requested))


_FIELDS = attrgetter(*TurnbuckleRequest._fields)


@dataclass(frozen=True, slots=True)
class TurnbuckleFit:
    """A turnbuckle as fitted. `fixed` are its terms apart from the setting, all negative except a joint's pin.

    `stud`: one of its screws is the wire's own stud. `screws` are the turnbuckle's own; where the wire has no stud, the inner one comes
    first.
    """

    at: str
    fixed: tuple[Term, ...]
    geometry: TurnbuckleGeometry
    stud: bool
    frame: Frame
    face: Face
    outer_end: str
    joints: tuple[Joint, ...]
    parts: tuple[Part, ...]
    strength: tuple[Member, ...]
    findings: tuple[Finding, ...]
    body: Body
    screws: tuple[Screw, ...]
    kept: bool


def fit_turnbuckle(requested: TurnbuckleRequest, wire_end: Fitting, thread: str, catalogue: Catalogue) -> TurnbuckleFit | Misfit:
    """Fit a turnbuckle to its end of the wire. `thread` is the normalised designation shared by body and screws."""
    if requested.dimensions is not None and not requested.reuse:
        return not_kept("turnbuckle")
    shelf = catalogue.of_part(kept=requested.reuse)
    body = shelf.body(requested.body, thread)
    if requested.dimensions is not None:
        measured = own_body(requested.body, thread, requested.dimensions, body, requested.hand)
        if isinstance(measured, Misfit):
            return measured
        body = measured
    if body is None:
        return Misfit((finding(NO_TURNBUCKLE, "turnbuckle", turnbuckle=phrase(f"turnbuckle.{requested.body}"), thread=Text(thread)),))
    if requested.sku is not None and requested.sku not in (body.sku, body.sku.removeprefix(f"{OWN}-")):
        return Misfit((finding(SKU_MISFIT, "turnbuckle/sku", "turnbuckle", sku=Text(requested.sku)),))
    hand = requested.hand or body.stud_hand
    wrong = _stud_misfit(requested, wire_end, thread, hand)
    if wrong:
        return Misfit(wrong)
    if wire_end.thread is None and wire_end.face.kind not in ("jaw", "tongue", "crown"):
        return Misfit((finding(NO_PLACE, "turnbuckle", end=phrase(f"end.{wire_end.end}")),))
    outer_end, inner_end, named = _ends(requested, stud=wire_end.thread is not None)
    outer = _screw("outer", outer_end, requested.pin, thread, "left" if hand == "right" else "right", requested, shelf)
    inner = None if wire_end.thread is not None else _screw("inner", inner_end, requested.inner_pin, thread, hand, requested, shelf)
    misfits = tuple(each for side in (outer, inner) if isinstance(side, Misfit) for each in side.findings)
    if misfits or isinstance(outer, Misfit) or isinstance(inner, Misfit):
        return Misfit(misfits)
    joint = _joint(requested, wire_end, inner)
    if isinstance(joint, Misfit):
        return joint
    return _laid_out(requested, body, outer, inner, wire_end, joint, named, catalogue)


def _stud_misfit(requested: TurnbuckleRequest, wire_end: Fitting, thread: str, hand: str) -> tuple[Finding, ...]:
    findings: list[Finding] = []
    if wire_end.thread is not None and wire_end.thread != thread:
        findings.append(finding(THREAD_MISMATCH, f"{wire_end.end}/thread", stud=Text(wire_end.thread), turnbuckle=Text(thread)))
    if wire_end.hand is not None and wire_end.hand != hand:
        hands = {"stud": phrase(f"hand.{wire_end.hand}"), "body": phrase(f"hand.{hand}")}
        findings.append(finding(WRONG_HAND, f"{wire_end.end}/hand", **hands))
    return tuple(findings)


def _ends(requested: TurnbuckleRequest, *, stud: bool) -> tuple[str | None, str | None, tuple[Finding, ...]]:
    """Outer and inner end fittings. With a stud on the wire there is only one to name, and it may be given under either name."""
    outer, inner = (requested.lower_end, requested.upper_end) if requested.at == "lower" else (requested.upper_end, requested.lower_end)
    if outer is None and inner is not None and stud:
        return inner, None, (finding(END_BY_OTHER_NAME, "turnbuckle", end=phrase(f"end.{requested.at}")),)
    return outer, inner, ()


def _screw(
    side: str, end: str | None, pin: Decimal | None, thread: str, hand: str, requested: TurnbuckleRequest, catalogue: Catalogue
) -> Screw | Misfit:
    at = "lower" if (requested.at == "lower") == (side == "outer") else "upper"
    if end is None:
        return Misfit((finding(END_MISSING, "turnbuckle", side, end=phrase(f"end.{at}")),))
    rows = [row for row in catalogue.screws(thread, end) if row.hand == hand]
    if requested.dimensions is not None and side == "outer":
        row = by_pin(rows, pin) if pin is not None else next(iter(rows), None)
        return own_screw(end, thread, hand, pin, requested.dimensions, row)
    if not rows:
        values: dict[str, Value] = {"thread": Text(thread), "hand": phrase(f"hand.{hand}"), "end": phrase(f"screw_end.{end}")}
        return Misfit((finding(NO_SCREW, f"turnbuckle/{at}_end", **values),))
    known = [row for row in catalogue.with_discontinued.screws(thread, end) if row.hand == hand]
    fitting = rows[0] if pin is None else by_pin(rows, pin, known)
    if fitting is None:
        takes = sizes((row.pin for row in rows), "or")
        values = {"pin": Size(pin or Decimal(0)), "thread": Text(thread), "part": on_turnbuckle(end), "takes": takes}
        return Misfit((finding(PIN_MISFIT, "turnbuckle/pin", "screw", **values),))
    return fitting


def _joint(requested: TurnbuckleRequest, wire_end: Fitting, inner: Screw | None) -> tuple[Joint, ...] | Misfit:
    """The joint between a terminal without a thread and the turnbuckle's own inner screw."""
    if inner is None:
        return ()
    joint = join(wire_end.face, of_screw(inner, kept=requested.reuse))
    return Misfit((misfit(joint, "turnbuckle"),)) if isinstance(joint, Unfit) else (joint,)


def _overlap(end: str, joint: Joint, inner: Screw) -> Term:
    return term("pin-to-turnbuckle", joint.overlap, origin(inner.sku), end, pin=joint.overlap)


def _laid_out(
    requested: TurnbuckleRequest, body: Body, outer: Screw, inner: Screw | None, wire_end: Fitting,
    joint: tuple[Joint, ...], named: tuple[Finding, ...], catalogue: Catalogue,
) -> TurnbuckleFit:  # fmt: skip
    thread = catalogue.thread(body.thread)
    least = max(body.safe_engagement, thread.diameter if thread else Decimal(0))
    threaded = _threaded(requested, outer, inner, wire_end)
    lockable = [each.least_inside(body.boss) for each in threaded]
    wire_screw = ScrewGeometry(wire_end.thread_length, wire_end.plain_tip, least, lockable[0])
    screws = (wire_screw if inner is None else _geometry(inner, least, lockable[0]), _geometry(outer, least, lockable[1]))
    upper, lower = screws if requested.at == "lower" else screws[::-1]
    geometry = TurnbuckleGeometry(body.length, upper, lower, body.locknut, thread.pitch if thread else Decimal(1))
    own = (outer,) if inner is None else (inner, outer)
    runouts = tuple(_runout(screw, requested.at) for screw in own)
    locks, unlocked = locked_by(body, threaded, requested.reuse, catalogue)
    return TurnbuckleFit(
        at=requested.at,
        fixed=(*(_overlap(wire_end.end, each, inner) for each in joint if inner), _body_term(body, requested.at), *runouts),
        geometry=geometry,
        stud=inner is None,
        frame=Frame("hole", pin=outer.pin, hole=outer.hole, tip=outer.tip, source=origin(outer.sku)),
        face=of_screw(outer, kept=requested.reuse),
        outer_end=outer.end,
        joints=joint,
        parts=(*(Part(row.sku, row.name, 1, "turnbuckle", requested.reuse, row.mass_kg) for row in (body, *own)), *locks),
        strength=tuple(Member(phrase(f"member.{name}"), row.break_kn, strength_origin(row.sku)) for name, row in _named(body, own)),
        findings=(*named, *_assumed(requested, body, outer, catalogue), *unlocked),
        body=body,
        screws=own,
        kept=requested.reuse,
    )


def _named(body: Body, own: tuple[Screw, ...]) -> list[tuple[str, Body | Screw]]:
    return [("turnbuckle_body", body), *((f"turnbuckle_screw_{screw.end}", screw) for screw in own)]


def _threaded(requested: TurnbuckleRequest, outer: Screw, inner: Screw | None, wire_end: Fitting) -> tuple[Threaded, Threaded]:
    """The screws or stud in the body, the wire's side first. A kept turnbuckle keeps its own screws, but not the wire's stud."""
    far = Threaded(phrase(f"member.turnbuckle_screw_{outer.end}"), outer.hand, outer.cotter_hole, outer.cotter_at, requested.reuse)
    if inner is not None:
        near = phrase(f"member.turnbuckle_inner_screw_{inner.end}")
        return Threaded(near, inner.hand, inner.cotter_hole, inner.cotter_at, requested.reuse), far
    kept = (wire_end.sku or "").startswith(OWN)
    return Threaded(
        at_end(phrase("terminal.stud"), wire_end.end), wire_end.hand or "right", wire_end.cotter_hole, wire_end.cotter_at, kept
    ), far


def _geometry(screw: Screw, least: Decimal, lockable: Decimal) -> ScrewGeometry:
    return ScrewGeometry(screw.thread_length, screw.plain_tip, least, lockable)


def _body_term(body: Body, at: str) -> Term:
    return term("turnbuckle-body", -body.length, origin(body.sku), at, length=body.length)


def _runout(screw: Screw, at: str) -> Term:
    return term("turnbuckle-runout", -screw.runout, origin(screw.sku), at, screw=phrase(f"screw.{screw.end}"), runout=screw.runout)


def _assumed(requested: TurnbuckleRequest, body: Body, outer: Screw, catalogue: Catalogue) -> tuple[Finding, ...]:
    findings: list[Finding] = []
    if requested.dimensions is not None and outer.break_kn.is_finite() and body.break_kn.is_finite():
        findings += strength_taken("turnbuckle/dimensions", phrase("turnbuckle.kept"))
    elif requested.dimensions is not None:
        findings.append(finding(OWN_STRENGTH, "turnbuckle/dimensions", "turnbuckle"))
    pins = {row.pin for row in catalogue.with_discontinued.screws(outer.thread, outer.end) if row.hand == outer.hand}
    if requested.pin is None and len(pins) > 1:
        findings.append(finding(PIN_ASSUMED, "turnbuckle", "turnbuckle", pin=Size(outer.pin), part=on_turnbuckle(outer.end)))
    return (*findings, *not_exact(outer.pin, requested.pin, "turnbuckle/pin"))
