"""A turnbuckle as two screws in one body: settings, travel, turns. All in mm; pure geometry without look-ups.

Exposed thread g runs from the body's face to the thread's run-out. Engaged thread is T − g. One turn of the body moves both screws by one
pitch each (2/n for n threads per inch; published: 28, 24, 20, 18 threads give .0714, .0833, .1000, .1111 in).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class ScrewGeometry:
    """Thread length T from run-out to last thread, plain tip beyond it, and minimum safe engagement E.

    `lockable` is the thread that must be in an open body for the cotter pin's hole to clear the boss (0: no such hole).
    """

    thread_length: Decimal
    plain_tip: Decimal
    engagement: Decimal
    lockable: Decimal = Decimal(0)

    @property
    def farthest(self) -> Decimal:
        """The most thread that may be exposed while safely engaged and lockable."""
        return self.thread_length - max(self.engagement, self.lockable)


class Exposed(NamedTuple):
    """Exposed thread of the upper and lower screws, mm."""

    upper: Decimal
    lower: Decimal

    def sum(self) -> Decimal:
        """The total, which is what the setting adds to the assembly."""
        return self.upper + self.lower


@dataclass(frozen=True, slots=True)
class TurnbuckleGeometry:
    """Body length, both screws, locknut height (0 if none), pitch."""

    body: Decimal
    upper: ScrewGeometry
    lower: ScrewGeometry
    locknut: Decimal
    pitch: Decimal

    def room_inside(self, at: Exposed) -> Decimal:
        """The gap between the screws' tips inside the body; negative if they would overlap."""
        engaged = self.upper.thread_length - at.upper + self.lower.thread_length - at.lower
        return self.body - engaged - self.upper.plain_tip - self.lower.plain_tip

    def take_up(self, at: Exposed) -> Decimal:
        """How far it can still be shortened, mm, before a locknut touches the body or the screws meet inside."""
        return 2 * min(at.upper - self.locknut, at.lower - self.locknut, self.room_inside(at) / 2)

    def let_out(self, at: Exposed) -> Decimal:
        """How far it can still be lengthened, mm, with both screws safely engaged and no cotter pin hole inside the body's boss."""
        return 2 * min(screw.farthest - g for screw, g in ((self.upper, at.upper), (self.lower, at.lower)))

    def centred(self, share: Decimal) -> Exposed:
        """Both screws at gmin + share·(T − E − gmin).

        E is the safe engagement or, if larger, the thread needed in the body for locking; gmin is the locknut's height or, if larger, half
        of what the screws need to clear each other inside.
        """
        meeting = -self.room_inside(Exposed(Decimal(0), Decimal(0))) / 2
        least = max(self.locknut, meeting, Decimal(0))
        return Exposed(*(least + share * (screw.farthest - least) for screw in (self.upper, self.lower)))

    def turns(self, start: Exposed, end: Exposed) -> Decimal:
        """Turns of the body from one setting to another; positive opens (lengthens)."""
        return (end.sum() - start.sum()) / (2 * self.pitch)

    def equalised(self, at: Exposed) -> Exposed:
        """The same length with both screws equal."""
        half = at.sum() / 2
        return Exposed(half, half)
