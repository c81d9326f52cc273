"""Checks across the whole boat.

Port against starboard, missing partners, repeated roles, lengths in an order that no rig has, and numbering from the deck.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.checks.assessment import Assessment
from pricing.checks.base import Placed, Shop, known_length
from pricing.checks.pair_parts import differences
from pricing.checks.rig_names import kind_of, named_on, named_wire
from pricing.findings import code, finding
from pricing.measurement.roles import ROLES
from pricing.values import Count, Length, Listing, Phrase, Text, Value, phrase

if TYPE_CHECKING:
    from pricing.measurement.assembly import Assembly

PAIR_DIFFERS = code("pair-differs", "ask", "Port and starboard of one role differ by more than the shop's limit.")
PAIR_WIRE = code("pair-wire-differs", "ask", "Port and starboard of one role are not of the same wire.")
PAIR_FITTINGS = code("pair-fittings-differ", "ask", "Port and starboard of one role have different fittings, pins or threads.")
PARTNER_MISSING = code("partner-missing", "note", "One side of a pair is replaced without the other.")
BOTH_SIDES = code("quantity-as-both-sides", "note", "Two of one wire were taken as its port and its starboard one.")
ROLE_REPEATS = code("role-repeats", "ask", "A wire that a rig has once a side was sent more than once.")
ORDER = code("length-order", "ask", "A wire is longer than one that must be longer than it on any rig.")
AT_CENTRE = code("shroud-at-centre", "ask", "A shroud was sent as standing at the centre, where no rig has one.")
SIDE_MISSING = code(
    "side-missing", "ask", "A shroud was sent without its side beside one that has a side: they could not be held against each other."
)
NUMBER_MISSING = code("number-missing", "ask", "A vertical or diagonal was sent without its number from the deck.")
NUMBER_UNUSED = code(
    "number-not-used", "ask", "A number was given for a wire that is neither a vertical, a diagonal nor a piece of a backstay."
)
LONGER_THAN = tuple((role.name, shorter) for role in ROLES.values() for shorter in role.longer_than)


class Kind(NamedTuple):
    """Identifies a wire on the rig, apart from its side."""

    role: str
    mast: str
    number: int | None


def _by_place(assessments: tuple[Assessment, ...]) -> dict[Kind, dict[str | None, list[int]]]:
    """Assembly places by kind and side."""
    places: dict[Kind, dict[str | None, list[int]]] = defaultdict(lambda: defaultdict(list))
    for place, assessment in enumerate(assessments):
        each = assessment.built.assembly
        places[Kind(each.role, each.mast, each.number)][each.side].append(place)
    return places


def _both_sides(assessments: tuple[Assessment, ...], sides: dict[str | None, list[int]]) -> bool:
    """Whether a single assembly with quantity 2 stands for port and starboard; not if its side was given."""
    places = [place for each in sides.values() for place in each]
    return len(places) == 1 and None in sides and assessments[places[0]].built.assembly.quantity == 2


def _numbered(assessments: tuple[Assessment, ...]) -> set[tuple[str, str | None]]:
    """Mast and side of all wires numbered from the deck; wires there may end at any spreader."""
    each = (assessment.built.assembly for assessment in assessments)
    return {(one.mast, one.side) for one in each if (one.number is not None and not ROLES[one.role].pieces) or ROLES[one.role].letter}


def _counted_from_deck(assembly: Assembly, numbered: set[tuple[str, str | None]]) -> bool:
    return any((assembly.mast, side) in numbered for side in (assembly.side, None))


def pairs(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """Where each side has one wire of a kind, wires and fittings must match, and lengths must agree within the shop's limit."""
    for kind, sides in _by_place(assessments).items():
        port, starboard = sides.get("port", []), sides.get("starboard", [])
        if _both_sides(assessments, sides):
            yield from _made_twice(assessments, kind, sides)
        elif bool(port) != bool(starboard):
            other = "starboard" if port else "port"
            for place in port or starboard:
                partner = named_on(assessments[place].built.assembly, other)
                yield place, finding(PARTNER_MISSING, "side", partner=partner)
        elif len(port) == len(starboard) == 1:
            yield from _pair(assessments, port[0], starboard[0], shop)


def _made_twice(assessments: tuple[Assessment, ...], kind: Kind, sides: dict[str | None, list[int]]) -> Iterable[Placed]:
    (place,) = (place for each in sides.values() for place in each)
    if ROLES[kind.role].once == "side":
        yield place, finding(BOTH_SIDES, "quantity", wire=_without_side(assessments[place]))


def _without_side(assessment: Assessment) -> Phrase:
    """The wire's name without its side."""
    return named_on(assessment.built.assembly, None)


def _pair(assessments: tuple[Assessment, ...], port: int, starboard: int, shop: Shop) -> Iterable[Placed]:
    left, right = assessments[port], assessments[starboard]
    one_wire = left.built.wire is right.built.wire or left.built.wire == right.built.wire
    if one_wire and (differ := differences(left, right)):
        for place in (port, starboard):
            yield place, finding(PAIR_FITTINGS, "role", wire=_without_side(left), differences=Listing(differ))
    if not one_wire and left.built.wire is not None and right.built.wire is not None:
        of: dict[str, Value] = {"port": kind_of(left.built.wire), "starboard": kind_of(right.built.wire)}
        for place in (port, starboard):
            yield place, finding(PAIR_WIRE, "wire", wire=_without_side(left), **of)
    one, two = known_length(left), known_length(right)
    if one is not None and two is not None and abs(one - two) > shop.terms.pair_limit:
        difference, most = Length(abs(one - two)), Length(shop.terms.pair_limit)
        for place in (port, starboard):
            yield place, finding(PAIR_DIFFERS, "measurement", wire=_without_side(left), difference=difference, most=most)


def repeats(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """The same shroud three times on one side, or the same vertical or diagonal twice.

    Where wires are numbered from the deck, other roles may repeat.
    """
    numbered = _numbered(assessments)
    for kind, sides in _by_place(assessments).items():
        if not ROLES[kind.role].once or (ROLES[kind.role].once == "side" and _both_sides(assessments, sides)):
            continue
        for places in sides.values():
            count = sum(assessments[place].built.assembly.quantity for place in places)
            first = assessments[places[0]].built.assembly
            if count > 1 and (ROLES[kind.role].letter or not _counted_from_deck(first, numbered)):
                for place in places:
                    yield place, finding(ROLE_REPEATS, "role", "more", wire=named_wire(first), count=Count(count))


def sent_twice(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """Two wires identical in everything but their tags, every reading included, in a role that may occur more than once per side."""
    first: dict[Assembly, int] = {}
    sent = [(place, assessment.built.assembly) for place, assessment in enumerate(assessments)]
    sent = [(place, each) for place, each in sent if ROLES[each.role].repeats]
    many = Counter([each.measurement.readings for _, each in sent])
    for place, each in sent:
        if many[each.measurement.readings] == 1:
            continue
        earlier = first.setdefault(replace(each, tag=""), place)
        if earlier != place:
            other = assessments[earlier].built.assembly.tag
            yield place, finding(ROLE_REPEATS, "tag", "same", one=Text(each.tag), other=Text(other))


def order(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """A cap shroud shorter than the lower, and the like, on one side of a mast, unless wires there are numbered from the deck."""
    lengths: dict[str, dict[tuple[str, str | None], tuple[int, Decimal]]] = {}  # by role, then by mast and side
    numbered = _numbered(assessments)
    for place, assessment in enumerate(assessments):
        assembly, length = assessment.built.assembly, known_length(assessment)
        if length is not None and not _counted_from_deck(assembly, numbered):
            lengths.setdefault(assembly.role, {}).setdefault((assembly.mast, assembly.side), (place, length))
    for longer, shorter in LONGER_THAN:
        if longer not in lengths or shorter not in lengths:
            continue
        for at_side, (place, length) in lengths[longer].items():
            other = lengths[shorter].get(at_side)
            if other is not None and length < other[1]:
                both = [named_wire(assessments[at].built.assembly) for at in (place, other[0])]
                values: dict[str, Value] = {"longer": both[0], "shorter": both[1], "length": Length(length), "other": Length(other[1])}
                for at in (place, other[0]):
                    yield at, finding(ORDER, "role", **values)


def sideless(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """A shroud without a side next to one of the same kind that has a side."""
    shrouds = [each.built.assembly for each in assessments if ROLES[each.built.assembly.role].shroud]
    if all(each.side is not None for each in shrouds):
        return
    for kind, sides in _by_place(assessments).items():
        if ROLES[kind.role].shroud and None in sides and len(sides) > 1:
            for place in sides[None]:
                yield place, finding(SIDE_MISSING, "role", wire=_without_side(assessments[place]))


def places_on_rig(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """A shroud at the centre, a number on a wire that is not numbered, or no number on one that is."""
    for place, assessment in enumerate(assessments):
        each = assessment.built.assembly
        wire = phrase(f"role.{each.role}")
        if each.side == "centre" and ROLES[each.role].shroud:
            yield place, finding(AT_CENTRE, "side", wire=wire)
        if ROLES[each.role].letter and each.number is None:
            yield place, finding(NUMBER_MISSING, "role", wire=wire, lowest=phrase(f"numbered.{each.role}", number=Count(1)))
        elif not (ROLES[each.role].letter or ROLES[each.role].pieces) and each.number is not None:
            yield place, finding(NUMBER_UNUSED, "number", wire=wire, number=Count(each.number))
