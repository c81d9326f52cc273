"""Which links fit a terminal or a turnbuckle's outer end, and which can follow as a second link.

A toggle on a toggle fits but is not offered: an owner who sees one toggle might enter it twice, as the end and as a link.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.combinations.ends import has_pins, on_boat
from pricing.combinations.folding import Single
from pricing.fittings import Fitting, Frame, Misfit
from pricing.geometry.links import HANGS_ON, Joined, join_links
from pricing.joints import Face
from pricing.joints.members import of_screw, way_round
from pricing.measurement.assembly import LINKS, Link
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

Sized = tuple[str, Decimal]
Chain = tuple[str, str, str, str]
TOGGLE = ("toggle", "toggle")


def on_terminals(fittings_by_pin: dict[tuple[str, str, str], tuple[Fitting, ...]], catalogue: Catalogue) -> Iterator[Single]:
    """Rows of a terminal's family, pin and wire size, the first link's kind and pin, and the second link's, empty if there is none."""
    chains = _Chains(catalogue)
    for (family, pin, size), fittings in fittings_by_pin.items():
        faces = frozenset(each.face for each in fittings)
        if all(each.kind in HANGS_ON for each in faces):
            yield from ((family, pin, size, *chain) for chain in chains.on(faces) if not _toggle_twice(family, chain))


def on_turnbuckles(catalogue: Catalogue) -> Iterator[Single]:
    """Rows of a turnbuckle's outer end and its pin, the first link's kind and pin, and the second link's, empty if there is none."""
    chains = _Chains(catalogue)
    groups: dict[tuple[str, str], set[Face]] = defaultdict(set)
    for screw in catalogue.tables.screws:
        groups[screw.end, nominal(screw.pin)].add(of_screw(screw, kept=False))
    for (end, pin), faces in groups.items():
        yield from ((end, pin, *chain) for chain in chains.on(frozenset(faces)) if not _toggle_twice(end, chain))


def _toggle_twice(inner: str, chain: Chain) -> bool:
    return TOGGLE in ((inner, chain[0]), (chain[0], chain[2]))


class _Chains:
    """Tries chains of one or two links against the engine's own rules, cached: what fits on a first link depends only on which way round it is."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self._known = [(kind, row.pin) for kind in LINKS for row in catalogue.links(kind)]
        self._seconds: dict[tuple[Sized, str], frozenset[Sized]] = {}
        self._chains: dict[frozenset[Face], tuple[Chain, ...]] = {}

    def on(self, faces: frozenset[Face]) -> tuple[Chain, ...]:
        """The chains that fit all of these faces."""
        if faces not in self._chains:
            self._chains[faces] = tuple(self._found(faces))
        return self._chains[faces]

    def _found(self, faces: frozenset[Face]) -> Iterator[Chain]:
        for first in self._known:
            if all(self._joins(face, (first,)) for face in faces):
                yield (*_words(first), "", "")
                fitting = frozenset[Sized].intersection(*(self._beyond(first, face) for face in faces))
                yield from ((*_words(first), *_words(second)) for second in self._known if second in fitting)

    def _beyond(self, first: Sized, face: Face) -> frozenset[Sized]:
        outward = way_round(first[0], face, None)[1]
        if (first, outward) not in self._seconds:
            self._seconds[first, outward] = frozenset(each for each in self._known if self._joins(face, (first, each)))
        return self._seconds[first, outward]

    def _joins(self, face: Face, links: tuple[Sized, ...]) -> bool:
        hung = tuple(Link(kind, pin) for kind, pin in links)
        joined = join_links("upper", hung, Joined(face, Frame("hole", pin=face.pin)), self._catalogue)
        return not isinstance(joined, Misfit) and has_pins((*joined.joints, on_boat(joined.face)), self._catalogue)


def _words(link: Sized) -> tuple[str, str]:
    return link[0], nominal(link[1])
