"""Which toggles and shackles hang on what: on a terminal, on a turnbuckle's outer end, and a second one beyond the first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.assembly import LINKS, Link
from pricing.fittings import Fitting, Misfit
from pricing.links import HANGS_ON, Inner, join_links
from pricing.offer.ends import has_pin
from pricing.offer.folding import Single
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

Sized = tuple[str, Decimal]


def on_terminals(found: dict[tuple[str, str], tuple[Fitting, ...]], catalogue: Catalogue) -> Iterator[Single]:
    """Family and pin; kind and pin of the first link; kind and pin of the second, empty for none."""
    chains = _Chains(catalogue)
    for (family, pin), fittings in found.items():
        inners = {Inner(each.frame.pin, each.frame.hole, each.jaw is not None, each.frame.kind) for each in fittings}
        if all(each.kind in HANGS_ON for each in inners):
            yield from ((family, pin, *chain) for chain in chains.on(inners))


def on_turnbuckles(catalogue: Catalogue) -> Iterator[Single]:
    """The same for a turnbuckle's outer end and its pin."""
    chains = _Chains(catalogue)
    groups: dict[tuple[str, str], set[Inner]] = defaultdict(set)
    for screw in catalogue.tables.screws:
        groups[screw.end, nominal(screw.pin)].add(Inner(screw.pin, screw.hole, screw.jaw is not None, "hole"))
    for (end, pin), inners in groups.items():
        yield from ((end, pin, *chain) for chain in chains.on(inners))


class _Chains:
    """One link, or two, tried by the engine's own rule. What hangs on a first link depends on which way round that one is, and no more."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self._known = [(kind, row.pin) for kind in LINKS for row in catalogue.links(kind)]
        self._seconds: dict[tuple[Sized, bool], frozenset[Sized]] = {}

    def on(self, inners: Iterable[Inner]) -> Iterator[Single]:
        """Those that hang on every one of these."""
        for first in self._known:
            if all(self._joins(inner, (first,)) for inner in inners):
                yield (*_words(first), "", "")
                fitting = frozenset[Sized].intersection(*(self._beyond(first, inner) for inner in inners))
                yield from ((*_words(first), *_words(second)) for second in self._known if second in fitting)

    def _beyond(self, first: Sized, inner: Inner) -> frozenset[Sized]:
        turned = first[0] == "toggle" and not inner.has_jaw and not inner.shackle
        if (first, turned) not in self._seconds:
            self._seconds[first, turned] = frozenset(each for each in self._known if self._joins(inner, (first, each)))
        return self._seconds[first, turned]

    def _joins(self, inner: Inner, links: tuple[Sized, ...]) -> bool:
        joined = join_links("upper", tuple(Link(kind, pin) for kind, pin in links), inner, self._catalogue)
        return not isinstance(joined, Misfit) and all(has_pin(pin, jaw, self._catalogue) for pin, jaw, _ in joined.pins)


def _words(link: Sized) -> tuple[str, str]:
    return link[0], nominal(link[1])
