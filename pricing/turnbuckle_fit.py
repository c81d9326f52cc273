"""Choosing a turnbuckle's body and screws, and holding the wire's stud against them: thread and hand must both match."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from operator import attrgetter
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import Term, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Doubt, Fitting, Frame, Member, Misfit, Part
from pricing.fittings.choose import PIN_ASSUMED, PIN_MISFIT, SKU_MISFIT, by_pin, not_exact, suits
from pricing.fittings.own import OWN, OWN_STRENGTH, REUSED_AS_CATALOGUE, not_kept, origin, own_doubt
from pricing.turnbuckle import ScrewGeometry, TurnbuckleGeometry
from pricing.turnbuckle_own import own_body, own_screw
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.assembly import OwnTurnbuckle, Turnbuckle
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Body, Screw

THREAD_UNKNOWN = code("thread-unknown", "stop", "A thread's designation is not one that the catalogue knows.")
THREAD_MISMATCH = code("thread-mismatch", "stop", "The stud's thread is not the turnbuckle's.")
WRONG_HAND = code("wrong-hand", "stop", "The stud's thread has not the hand of the turnbuckle body's thread that must take it.")
NO_TURNBUCKLE = code("no-turnbuckle", "stop", "The catalogue has no turnbuckle body of that kind and thread.")
NO_SCREW = code("no-screw", "stop", "The catalogue has no turnbuckle screw with that thread, hand and end fitting.")
END_MISSING = code(
    "turnbuckle-end-missing", "stop", "What the turnbuckle carries at its outer end, or toward a wire without a stud, was not said."
)
NO_PLACE = code("turnbuckle-has-no-joint", "stop", "A turnbuckle was put on an end that has neither a thread nor a pin hole.")
END_BY_OTHER_NAME = code("turnbuckle-end-assumed", "note", "The turnbuckle's outer end was given under the other end's name.")


class Hung(NamedTuple):
    """A turnbuckle as asked for, without its setting: see pricing.assembly.Turnbuckle."""

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


def hung(asked: Turnbuckle) -> Hung:
    """What chooses a turnbuckle; its setting does not."""
    return Hung(*_FIELDS(asked))


_FIELDS = attrgetter(*Hung._fields)


@dataclass(frozen=True, slots=True)
class TurnbuckleFit:
    """A turnbuckle laid out: `fixed` terms (all negative but a joint's pin), its geometry, and whether one screw is the wire's stud."""

    at: str
    fixed: tuple[Term, ...]
    geometry: TurnbuckleGeometry
    stud: bool
    frame: Frame
    jaw: Decimal | None
    parts: tuple[Part, ...]
    pins: tuple[tuple[Decimal, Decimal, bool], ...]
    strength: tuple[Member, ...]
    findings: tuple[Finding, ...]
    doubts: tuple[Doubt, ...] = ()


def fit_turnbuckle(asked: Hung, wire_end: Fitting, thread: str, catalogue: Catalogue) -> TurnbuckleFit | Misfit:
    """Lay out the turnbuckle at its end of the wire. `thread` is the canonical designation that body and screws have."""
    if asked.dimensions is not None and not asked.reuse:
        return not_kept("turnbuckle")
    body = catalogue.body(asked.body, thread)
    if asked.dimensions is not None:
        measured = own_body(asked.body, thread, asked.dimensions, body, asked.hand)
        if isinstance(measured, Misfit):
            return measured
        body = measured
    if body is None:
        message = f"The catalogue has no {asked.body} turnbuckle body with the thread {thread}."
        return Misfit((finding(NO_TURNBUCKLE, "turnbuckle", message, "Choose a body and thread that it has, or give its dimensions."),))
    if asked.sku is not None and asked.sku not in (body.sku, body.sku.removeprefix(f"{OWN}-")):
        return Misfit((finding(SKU_MISFIT, "turnbuckle/sku", f"{asked.sku} is not this body.", "Leave out the sku, or name the body."),))
    hand = asked.hand or body.stud_hand
    wrong = _stud_misfit(asked, wire_end, thread, hand)
    if wrong:
        return Misfit(wrong)
    if wire_end.thread is None and wire_end.frame.kind != "hole":
        message = "A turnbuckle cannot hang on that terminal: it has neither a thread nor a pin hole."
        return Misfit((finding(NO_PLACE, "turnbuckle", message, "Choose a stud, or a terminal with a pin."),))
    outer_end, inner_end, named = _ends(asked, stud=wire_end.thread is not None)
    outer = _screw("outer", outer_end, asked.pin, thread, "left" if hand == "right" else "right", asked, catalogue)
    inner = None if wire_end.thread is not None else _screw("inner", inner_end, asked.inner_pin, thread, hand, asked, catalogue)
    misfits = tuple(each for side in (outer, inner) if isinstance(side, Misfit) for each in side.findings)
    if misfits or isinstance(outer, Misfit) or isinstance(inner, Misfit):
        return Misfit(misfits)
    joint = _joint(asked, wire_end, inner)
    if isinstance(joint, Misfit):
        return joint
    return _laid_out(asked, body, outer, inner, wire_end, joint, named, catalogue)


def _stud_misfit(asked: Hung, wire_end: Fitting, thread: str, hand: str) -> tuple[Finding, ...]:
    found: list[Finding] = []
    if wire_end.thread is not None and wire_end.thread != thread:
        message = f"The stud has {wire_end.thread}, the turnbuckle {thread}."
        found.append(
            finding(
                THREAD_MISMATCH, f"{wire_end.end}/thread", message, "Measure both threads again, or change stud and turnbuckle together."
            )
        )
    if wire_end.hand is not None and wire_end.hand != hand:
        message = f"The stud is {wire_end.hand}-hand, the body's thread toward the wire {hand}-hand."
        found.append(
            finding(
                WRONG_HAND, f"{wire_end.end}/hand", message, f"Order a {hand}-hand stud, or say `turnbuckle.hand` if this body differs."
            )
        )
    return tuple(found)


def _ends(asked: Hung, *, stud: bool) -> tuple[str | None, str | None, tuple[Finding, ...]]:
    """Outer and wire-side end fittings. With a stud on the wire only one is left to name, under whichever name it came."""
    outer, inner = (asked.lower_end, asked.upper_end) if asked.at == "lower" else (asked.upper_end, asked.lower_end)
    if outer is None and inner is not None and stud:
        here = "lower_end" if asked.at == "lower" else "upper_end"
        told = finding(END_BY_OTHER_NAME, "turnbuckle", f"The only end named was taken as the outer one (`{here}`).", f"Say `{here}`.")
        return inner, None, (told,)
    return outer, inner, ()


def _screw(side: str, end: str | None, pin: Decimal | None, thread: str, hand: str, asked: Hung, catalogue: Catalogue) -> Screw | Misfit:
    name = "lower_end" if (asked.at == "lower") == (side == "outer") else "upper_end"
    if end is None:
        return Misfit(
            (finding(END_MISSING, "turnbuckle", f"The turnbuckle's {side} end was not said.", f"Say `{name}`: toggle, fork or eye."),)
        )
    rows = [row for row in catalogue.screws(thread, end) if row.hand == hand]
    if asked.dimensions is not None and side == "outer":
        row = by_pin(rows, pin) if pin is not None else next(iter(rows), None)
        return own_screw(end, thread, hand, pin, asked.dimensions, row)
    if not rows:
        message = f"The catalogue has no {hand}-hand {thread} screw with a {end}."
        return Misfit((finding(NO_SCREW, f"turnbuckle/{name}", message, "Choose another end fitting."),))
    fitting = rows[0] if pin is None else by_pin(rows, pin)
    if fitting is None:
        pins = " or ".join(nominal(row.pin) for row in rows)
        message = f"A {nominal(pin or Decimal(0))} pin does not suit the {thread} {end}, whose hole takes {pins}."
        remedy = "Measure the pin again, or have the change of pin agreed by a rigger."
        return Misfit((finding(PIN_MISFIT, "turnbuckle/pin", message, remedy),))
    return fitting


def _joint(asked: Hung, wire_end: Fitting, inner: Screw | None) -> tuple[Term, ...] | Misfit:
    """The pin that joins a terminal without thread to the turnbuckle's own inner screw: one of the two brings the jaw."""
    if inner is None:
        return ()
    frame = wire_end.frame
    pin, hole = (frame.pin, inner.hole) if wire_end.jaw is not None else (inner.pin, frame.hole)
    if pin is None or hole is None or not suits(pin, hole):
        message = f"The {wire_end.end} terminal and the turnbuckle's inner end do not share a pin."
        return Misfit((finding(PIN_MISFIT, "turnbuckle", message, "Choose ends whose pin and hole go together."),))
    return (
        term(
            f"{wire_end.end} pin to the turnbuckle",
            pin,
            origin(inner.sku),
            "one pin diameter: each member bears on its own side of it",
            pin=pin,
        ),
    )


def _laid_out(
    asked: Hung, body: Body, outer: Screw, inner: Screw | None, wire_end: Fitting,
    joint: tuple[Term, ...], named: tuple[Finding, ...], catalogue: Catalogue,
) -> TurnbuckleFit:  # fmt: skip
    thread = catalogue.thread(body.thread)
    least = max(body.safe_engagement, thread.diameter if thread else Decimal(0))
    wire_screw = ScrewGeometry(wire_end.thread_length, wire_end.plain_tip, least) if inner is None else _geometry(inner, least)
    screws = (wire_screw, _geometry(outer, least))
    upper, lower = screws if asked.at == "lower" else screws[::-1]
    geometry = TurnbuckleGeometry(body.length, upper, lower, body.locknut, thread.pitch if thread else Decimal(1))
    own = (outer,) if inner is None else (inner, outer)
    runouts = tuple(_runout(screw) for screw in own)
    return TurnbuckleFit(
        at=asked.at,
        fixed=(*joint, _body_term(body), *runouts),
        geometry=geometry,
        stud=inner is None,
        frame=Frame("hole", pin=outer.pin, hole=outer.hole, tip=outer.tip, source=origin(outer.sku)),
        jaw=outer.jaw,
        parts=tuple(Part(row.sku, row.name, 1, "turnbuckle", asked.reuse, row.mass_kg) for row in (body, *own)),
        pins=tuple((screw.pin, screw.jaw, asked.reuse) for screw in own if screw.jaw is not None),
        strength=tuple(Member(f"turnbuckle {name}", row.break_kn, origin(row.sku)) for name, row in _named(body, own)),
        findings=(*named, *_assumed(asked, outer, catalogue)),
        doubts=(own_doubt("turnbuckle, kept", asked.dimensions.within),) if asked.dimensions is not None else (),
    )


def _named(body: Body, own: tuple[Screw, ...]) -> list[tuple[str, Body | Screw]]:
    return [("body", body), *((f"{screw.end} screw", screw) for screw in own)]


def _geometry(screw: Screw, least: Decimal) -> ScrewGeometry:
    return ScrewGeometry(screw.thread_length, screw.plain_tip, least)


def _body_term(body: Body) -> Term:
    return term("turnbuckle body", -body.length, origin(body.sku), "body, face to face", length=body.length)


def _runout(screw: Screw) -> Term:
    return term(
        f"turnbuckle {screw.end}, run-out to bearing",
        -screw.runout,
        origin(screw.sku),
        "thread's run-out to the bearing",
        runout=screw.runout,
    )


def _assumed(asked: Hung, outer: Screw, catalogue: Catalogue) -> tuple[Finding, ...]:
    found = []
    if asked.dimensions is not None and not outer.break_kn.is_finite():
        message = "The kept turnbuckle's strength is not known."
        found.append(finding(OWN_STRENGTH, "turnbuckle/dimensions", message, "Have it inspected by a rigger, or replace it."))
    if asked.reuse and asked.dimensions is None:
        remedy = "Measure its body face to face and its screw from run-out to bearing against the derivation before cutting."
        found.append(
            finding(REUSED_AS_CATALOGUE, "turnbuckle", "The reused turnbuckle was taken to have the catalogue's dimensions.", remedy)
        )
    pins = {row.pin for row in catalogue.screws(outer.thread, outer.end) if row.hand == outer.hand}
    if asked.pin is None and len(pins) > 1:
        message = f"The turnbuckle's pin was not said; {nominal(outer.pin)} was taken."
        found.append(finding(PIN_ASSUMED, "turnbuckle", message, "Measure the pin and say `turnbuckle.pin`."))
    return (*found, *not_exact(outer.pin, asked.pin, "turnbuckle/pin"))
