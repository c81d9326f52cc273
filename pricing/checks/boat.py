"""The boat as a whole: port against starboard, partners, roles that repeat, lengths in an order that no rig has."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.base import Placed, Shop
from pricing.findings import code, finding
from pricing.judging import Judged
from pricing.units import spoken

PAIR_DIFFERS = code("pair-differs", "ask", "Port and starboard of one role differ by more than the shop's limit.")
PAIR_WIRE = code("pair-wire-differs", "ask", "Port and starboard of one role are not of the same wire.")
PARTNER_MISSING = code("partner-missing", "note", "One side of a pair is replaced without the other.")
ROLE_REPEATS = code("role-repeats", "ask", "A wire that a rig has once a side was sent more than once.")
ORDER = code("length-order", "ask", "A wire is longer than one that must be longer than it on any rig.")
ONCE = (
    "cap_shroud",
    "intermediate_shroud",
    "fore_lower",
    "aft_lower",
    "forestay",
    "inner_forestay",
    "babystay",
    "running_backstay",
    "checkstay",
)
LONGER_THAN = (
    ("cap_shroud", "intermediate_shroud"), ("cap_shroud", "lower_shroud"), ("cap_shroud", "fore_lower"), ("cap_shroud", "aft_lower"),
    ("intermediate_shroud", "lower_shroud"), ("forestay", "inner_forestay"), ("forestay", "babystay"),
)  # fmt: skip


def _length(judged: Judged) -> Decimal | None:
    return judged.built.target if judged.built.target is not None else judged.built.cut


def _by_place(all_judged: tuple[Judged, ...]) -> dict[tuple[str, str], dict[str | None, list[int]]]:
    """(role, mast) → side → places."""
    found: dict[tuple[str, str], dict[str | None, list[int]]] = defaultdict(lambda: defaultdict(list))
    for place, judged in enumerate(all_judged):
        assembly = judged.built.assembly
        found[assembly.role, assembly.mast][assembly.side].append(place)
    return found


def pairs(all_judged: tuple[Judged, ...], shop: Shop) -> Iterable[Placed]:
    """Exactly one of a role on each side: the same wire, and lengths within the shop's limit."""
    for (role, _), sides in _by_place(all_judged).items():
        port, starboard = sides.get("port", []), sides.get("starboard", [])
        words = role.replace("_", " ")
        if bool(port) != bool(starboard):
            other = "starboard" if port else "port"
            for place in port or starboard:
                message = f"The {other} {words} was not sent."
                yield place, finding(PARTNER_MISSING, "side", message, f"Send the {other} one too: wires of a pair are replaced together.")
        elif len(port) == len(starboard) == 1:
            yield from _pair(all_judged, port[0], starboard[0], words, shop)


def _pair(all_judged: tuple[Judged, ...], port: int, starboard: int, words: str, shop: Shop) -> Iterable[Placed]:
    left, right = all_judged[port], all_judged[starboard]
    if left.built.wire != right.built.wire and left.built.wire is not None and right.built.wire is not None:
        message = f"Port and starboard {words} are of different wire."
        for place in (port, starboard):
            yield place, finding(PAIR_WIRE, "wire", message, "Measure both wires again, or confirm that they differ.")
    one, two = _length(left), _length(right)
    if one is not None and two is not None and abs(one - two) > shop.terms.pair_limit:
        message = f"Port and starboard {words} differ by {spoken(abs(one - two))}; the limit is {spoken(shop.terms.pair_limit)}."
        for place in (port, starboard):
            yield place, finding(PAIR_DIFFERS, "measurement", message, "Measure both again, or confirm that the boat is made so.")


def repeats(all_judged: tuple[Judged, ...], shop: Shop) -> Iterable[Placed]:
    """The same shroud three times on one side."""
    for (role, _), sides in _by_place(all_judged).items():
        for places in sides.values():
            count = sum(all_judged[place].built.assembly.quantity for place in places)
            if role in ONCE and count > 1:
                message = f"{count} of {role.replace('_', ' ')} on one side of one mast."
                for place in places:
                    yield place, finding(ROLE_REPEATS, "role", message, "Check role, side, mast and quantity.")


def order(all_judged: tuple[Judged, ...], shop: Shop) -> Iterable[Placed]:
    """A cap shroud shorter than the lower, and the like, on the same side of the same mast."""
    lengths: dict[tuple[str, str, str | None], tuple[int, Decimal]] = {}
    for place, judged in enumerate(all_judged):
        assembly, length = judged.built.assembly, _length(judged)
        if length is not None:
            lengths.setdefault((assembly.role, assembly.mast, assembly.side), (place, length))
    for longer, shorter in LONGER_THAN:
        for (role, mast, side), (place, length) in list(lengths.items()):
            other = lengths.get((shorter, mast, side)) if role == longer else None
            if other is not None and length < other[1]:
                message = f"The {longer.replace('_', ' ')} ({spoken(length)}) is shorter than the {shorter.replace('_', ' ')} ({spoken(other[1])})."
                for at in (place, other[0]):
                    yield at, finding(ORDER, "role", message, "Check that lengths and roles were not exchanged.")
