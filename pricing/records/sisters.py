"""Finds wires of a fleet that differ from those of the sister ships: the measured lengths too far from the median for that wire.

The limit comes from the sisters themselves: six times their spread (the median absolute deviation, which one wrong boat does not move, times
1.4826 as for a normal distribution), but at least a hundredth of the length and 25 mm, so that tape readings and differences in tuning are
not reported. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

LEAST_SISTERS = 4  # with fewer, it is not clear which one is odd
SPREADS, NORMAL = 6, Decimal("1.4826")
LEAST_SHARE, LEAST_MM = Decimal("0.01"), Decimal(25)


class Measured(NamedTuple):
    """A wire's measured length in mm. `boat` is the boat's index in the fleet; `kind` is shared by boats of one size."""

    boat: int
    kind: Hashable
    role: str
    tag: str
    wire: str | None
    mm: Decimal


class Odd(NamedTuple):
    """A wire that differs, with the median (mm) and the number of its sisters."""

    measured: Measured
    median: Decimal
    sisters: int

    @property
    def difference(self) -> Decimal:
        """The wire's length less the median, mm."""
        return self.measured.mm - self.median


def odd_ones(fleet: Iterable[Measured]) -> list[Odd]:
    """The wires that differ, in order of boat and tag. Sisters share boat size, role and tag; where too few boats share a tag, role and wire."""
    odd, rest = list[Odd](), list[Measured]()
    for group in _groups(fleet, lambda each: (each.kind, each.role, each.tag.casefold())):
        if _boats(group) < LEAST_SISTERS:
            rest += group
        else:
            odd += _odd(group)
    for group in _groups(rest, lambda each: (each.kind, each.role, each.wire)):
        if _boats(group) >= LEAST_SISTERS:
            odd += _odd(group)
    return sorted(odd, key=lambda each: (each.measured.boat, each.measured.tag))


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
    """The middle value, or the mean of the two middle values."""
    ordered, half = sorted(values), len(values) // 2
    return ordered[half] if len(values) % 2 else (ordered[half - 1] + ordered[half]) / 2
