"""Boats of a fleet that differ from their sisters: for each wire, the median of what was measured, and what lies too far from it.

How far is too far is taken from the sisters themselves: six times their spread (the median of distances from the median, which one wrong
boat does not move, times 1.4826 as for a normal distribution), and never less than a hundredth of the length or 25 mm, so that readings of
a tape and the way each boat is set up name nobody. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

LEAST_SISTERS = 4  # with fewer, nobody can say who is the odd one
SPREADS, NORMAL = 6, Decimal("1.4826")
LEAST_SHARE, LEAST_MM = Decimal("0.01"), Decimal(25)


class Measured(NamedTuple):
    """A wire as it was measured. `boat` is its place in the fleet; `kind` tells boats of different size apart; `mm` is its length."""

    boat: int
    kind: Hashable
    role: str
    tag: str
    wire: str | None
    mm: Decimal


class Odd(NamedTuple):
    """A wire that differs, with the median of the others and how many they are."""

    measured: Measured
    median: Decimal
    sisters: int

    @property
    def difference(self) -> Decimal:
        """How much longer it is, in mm."""
        return self.measured.mm - self.median


def odd_ones(fleet: Iterable[Measured]) -> list[Odd]:
    """What differs, boat by boat. Wires are sisters by size of boat, role and tag; where too few boats share a tag, by role and wire."""
    found, rest = list[Odd](), list[Measured]()
    for group in _groups(fleet, lambda each: (each.kind, each.role, each.tag.casefold())):
        if _boats(group) < LEAST_SISTERS:
            rest += group
        else:
            found += _odd(group)
    for group in _groups(rest, lambda each: (each.kind, each.role, each.wire)):
        if _boats(group) >= LEAST_SISTERS:
            found += _odd(group)
    return sorted(found, key=lambda each: (each.measured.boat, each.measured.tag))


def _groups(fleet: Iterable[Measured], key: Callable[[Measured], Hashable]) -> list[list[Measured]]:
    groups: dict[Hashable, list[Measured]] = {}
    for each in fleet:
        groups.setdefault(key(each), []).append(each)
    return list(groups.values())


def _boats(group: Sequence[Measured]) -> int:
    return len({each.boat for each in group})


def _odd(group: Sequence[Measured]) -> Iterator[Odd]:
    middle = median([each.mm for each in group])
    spread = NORMAL * median([abs(each.mm - middle) for each in group])
    most = max(SPREADS * spread, LEAST_SHARE * middle, LEAST_MM)
    for each in group:
        if abs(each.mm - middle) > most:
            yield Odd(each, median([other.mm for other in group if other is not each]), len(group) - 1)


def median(values: Sequence[Decimal]) -> Decimal:
    """The middle one, or the mean of the two in the middle."""
    ordered, half = sorted(values), len(values) // 2
    return ordered[half] if len(values) % 2 else (ordered[half - 1] + ordered[half]) / 2
