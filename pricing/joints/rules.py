"""Which faces mate: one rule per pair. To add a pair, write a function of both faces and list it in RULES.

Overlaps in length: under load, two members on one pin each bear on their own side of it, so their lengths overlap by the pin's diameter
(jaw on tongue, fork over a bow, thimble on a jaw's pin). A shackle's length runs from the inside of its bow to the face of its pin, where
an eye or thimble bears as well.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from pricing.joints.faces import LARGEST_PLAY, Face, Joint, PinNeeded, Unfit, unfit
from pricing.values import Phrase, Size, phrase

ZERO = Decimal(0)
Outcome = Joint | Unfit


def join(inner: Face, outer: Face) -> Outcome:
    """The joint of two neighbouring faces, in either order, or an Unfit that says why they do not mate. A bare end always fits."""
    if "bare" in (inner.kind, outer.kind):
        return Joint("bare", ZERO)
    rule = RULES.get((inner.kind, outer.kind))
    if rule is not None:
        return rule(inner, outer)
    rule = RULES.get((outer.kind, inner.kind))
    return _strangers(inner, outer) if rule is None else rule(outer, inner)


def _strangers(inner: Face, outer: Face) -> Unfit:
    """Two kinds that no rule joins."""
    advice = phrase(f"advice.{LINK_BETWEEN.get(frozenset((inner.kind, outer.kind)), 'another')}")
    if inner.kind == outer.kind:
        return unfit("alike", inner=inner.of, outer=outer.of, face=inner.named, advice=advice)
    return unfit("strangers", inner=inner.of, inner_face=inner.named, outer=outer.of, outer_face=outer.named, advice=advice)


LINK_BETWEEN: dict[frozenset[str], str] = {
    frozenset({"jaw"}): "two_tongues", frozenset({"jaw", "pin"}): "bow_on_jaws_pin", frozenset({"jaw", "hook"}): "astride_a_shackle",
    frozenset({"tongue"}): "bow_and_pin", frozenset({"tongue", "crown"}): "bow_and_pin", frozenset({"crown"}): "bow_and_pin",
    frozenset({"tongue", "ring"}): "shackle", frozenset({"crown", "ring"}): "shackle", frozenset({"ring"}): "shackle",
    frozenset({"pin"}): "turn_one_shackle", frozenset({"pin", "hook"}): "bow_in_hook",
}  # fmt: skip
"""The link that would join two kinds of faces, as a key of `advice` in the catalogue of names."""


def _through(pin: Decimal | None, of: Face, side: Face, *, largest_only: bool = False) -> Unfit | None:
    """The misfit if `of`'s pin does not go through the hole of `side`; a crown or a bow limits only the largest pin."""
    if pin is None or side.hole is None:
        return None
    if pin > side.hole:
        wording = "too_thick"
    elif not largest_only and side.hole > pin * LARGEST_PLAY:
        wording = "rattles"
    else:
        return None
    return unfit(wording, hole=True, pin=Size(pin), of=of.of, hole_size=Size(side.hole), side=side.of)


def _between(jaw: Face, side: Face) -> Unfit | None:
    """The misfit if `side` does not fit between the cheeks of `jaw`."""
    if jaw.inside is None or side.thick is None or side.thick <= jaw.inside:
        return None
    return unfit("too_wide", side=side.of, thick=Size(side.thick), inside=Size(jaw.inside), jaw=jaw.of)


BAR_ADVICE = {"bow": "thinner_shackle", "ring": "wider_bow", "hook": "bow_takes_hook"}


def _bar(side: Face, hole: Decimal | None, of: Face) -> Unfit | None:
    """The misfit if the bar of a bow, ring or hook does not go through the opening of `of`."""
    if side.thick is None or hole is None or side.thick <= hole:
        return None
    advice = phrase(f"advice.{BAR_ADVICE[side.kind]}")
    return unfit("bar", hole=True, side=side.of, thick=Size(side.thick), hole_size=Size(hole), of=of.of, advice=advice)


def _unknown(*sizes: tuple[str, Face, Decimal | None]) -> tuple[Phrase, ...]:
    return tuple(phrase(f"unknown.{name}", part=side.of) for name, side, mm in sizes if mm is None)


def _holes(*sides: Face) -> tuple[Phrase, ...]:
    """Boat fittings that a pin, bow or rod must go through but whose hole was not given; a hole to be redrilled has no size yet."""
    return _unknown(*(("hole", side, side.hole) for side in sides if side.boat and not side.drilled))


def _first(*misfits: Unfit | None) -> Unfit | None:
    return next((each for each in misfits if each is not None), None)


def _astride(jaw: Face, side: Face, kind: str, *, largest_only: bool) -> Outcome:
    """A jaw with one pin through both its cheeks and what is between them."""
    pin = jaw.pin if jaw.pin is not None else side.pin
    owner = jaw if jaw.pin is not None else side
    wrong = _first(_through(pin, owner, jaw), _through(pin, owner, side, largest_only=largest_only), _between(jaw, side))
    if wrong is not None:
        return wrong
    unknown = _unknown(("bar" if side.kind in ("ring", "bow") else "thickness", side, side.thick), ("inside", jaw, jaw.inside))
    unknown += _holes(*(each for each in (jaw, side) if each.kind in ("jaw", "tongue", "ring")))
    return Joint(kind, pin or ZERO, _needed(jaw, pin), unknown)


def _needed(jaw: Face, pin: Decimal | None) -> PinNeeded | None:
    return PinNeeded(pin, jaw.over, jaw.kept) if jaw.brings and pin is not None else None


def _jaw_on_tongue(jaw: Face, tongue: Face) -> Outcome:
    return _astride(jaw, tongue, "jaw on tongue", largest_only=False)


def _jaw_on_crown(jaw: Face, crown: Face) -> Outcome:
    return _astride(jaw, crown, "thimble on a jaw's pin", largest_only=True)


def _jaw_on_ring(jaw: Face, ring: Face) -> Outcome:
    return _astride(jaw, ring, "jaw on a ring", largest_only=True)


def _jaw_on_bow(jaw: Face, bow: Face) -> Outcome:
    pin = _through(jaw.pin, jaw, Face("bow", bow.of, hole=bow.inside), largest_only=True)
    return pin or _astride(jaw, Face("bow", bow.of, thick=bow.thick), "fork astride a bow", largest_only=True)


def _on_shackles_pin(side: Face, pin: Face) -> Outcome:
    wrong = _first(_through(pin.pin, pin, side, largest_only=side.kind in ("crown", "ring")), _between(pin, side))
    unknown = (*_unknown(("thickness", side, side.thick)), *_holes(side))
    return wrong or Joint(f"{side.kind} on a shackle's pin", ZERO, None, unknown)


def _bow_on_pin(bow: Face, pin: Face) -> Outcome:
    inside = Face("bow", bow.of, hole=bow.inside)
    return _through(pin.pin, pin, inside, largest_only=True) or Joint("bow on a shackle's pin", ZERO)


def _on_bow(side: Face, bow: Face) -> Outcome:
    wrong = _bar(bow, side.hole, side)
    unknown = (*_unknown(("bar", bow, bow.thick)), *_holes(side))
    return wrong or Joint(f"{side.kind} on a shackle's bow", ZERO, None, unknown)


def _in_hook(side: Face, hook: Face) -> Outcome:
    """A hook through a hole or ring, which must not be thicker than the hook's opening."""
    if hook.inside is not None and side.thick is not None and side.kind != "crown" and side.thick > hook.inside:
        return unfit("beyond_hook", side=side.of, thick=Size(side.thick), inside=Size(hook.inside), hook=hook.of)
    return _bar(hook, side.hole, side) or Joint(f"hook in a {'ring' if side.kind == 'ring' else 'hole'}", ZERO, None, _holes(side))


def _bow_in_hook(bow: Face, hook: Face) -> Outcome:
    return _bar(hook, bow.inside, bow) or Joint("hook in a bow", ZERO)


def _ring_on_bow(ring: Face, bow: Face) -> Outcome:
    wrong = _first(_bar(ring, bow.inside, bow), _bar(bow, ring.hole, ring))
    return wrong or Joint("ring on a shackle's bow", ZERO, None, _holes(ring))


def _bow_in_bow(one: Face, other: Face) -> Outcome:
    return _first(_bar(one, other.inside, other), _bar(other, one.inside, one)) or Joint("bow in bow", ZERO)


def _rod_through_plate(rod: Face, plate: Face) -> Outcome:
    """The bore limits the largest rod; a smaller one is centred by its washer."""
    if rod.pin is None or plate.hole is None or rod.pin <= plate.hole:
        return Joint("threaded rod through a plate", ZERO, None, _holes(plate))
    return unfit("rod", hole=True, rod=rod.of, thread=Size(rod.pin), hole_size=Size(plate.hole), plate=plate.of)


def _tee_in_slot(tee: Face, slot: Face) -> Outcome:
    """A tee passes through the slot, is turned, and hangs in it by its shank. The size of the boat's own slot is not asked for."""
    if tee.thick is not None and slot.inside is not None and tee.thick > slot.inside:
        return unfit("slot", tee=tee.of, thick=Size(tee.thick), inside=Size(slot.inside), plate=slot.of)
    return _seated(tee, slot)


def _seated(_: Face, seat: Face) -> Outcome:
    return Joint(f"in its {seat.kind}", ZERO)


def _lashed(side: Face, _: Face) -> Outcome:
    """A lashing around a jaw's pin, or through any hole, such as a deadeye's lanyard."""
    return Joint("lashing", ZERO, _needed(side, side.pin))


RULES: dict[tuple[str, str], Callable[[Face, Face], Outcome]] = {
    ("jaw", "tongue"): _jaw_on_tongue,
    ("jaw", "crown"): _jaw_on_crown,
    ("jaw", "ring"): _jaw_on_ring,
    ("jaw", "bow"): _jaw_on_bow,
    ("tongue", "pin"): _on_shackles_pin,
    ("crown", "pin"): _on_shackles_pin,
    ("ring", "pin"): _on_shackles_pin,
    ("bow", "pin"): _bow_on_pin,
    ("tongue", "bow"): _on_bow,
    ("crown", "bow"): _on_bow,
    ("ring", "bow"): _ring_on_bow,
    ("bow", "bow"): _bow_in_bow,
    ("tongue", "hook"): _in_hook,
    ("crown", "hook"): _in_hook,
    ("ring", "hook"): _in_hook,
    ("bow", "hook"): _bow_in_hook,
    ("cross_bar", "slot"): _tee_in_slot,
    ("ball", "socket"): _seated,
    ("ball", "slot"): _seated,
    ("thread", "bored_plate"): _rod_through_plate,
    **{(kind, "lashing"): _lashed for kind in ("jaw", "tongue", "crown", "bow", "pin", "deadeye")},
}
