"""Leases that detect abandoned work without comparing two clocks.

A holder puts a mark of its own on what it holds, and changes the mark while it works. Others may release it once they have seen the
same mark for a whole lease by their own monotonic clock, or know that the process is dead; and only if it is still as they saw it.
So a wrong or adjusted time of day can neither lose work nor let two processes keep it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from service.storage import processes

Clock = Callable[[], float]


class HeldLease(NamedTuple):
    """Something that is held: what it is, its mark, and the process holding it, if known."""

    what: tuple[Any, ...]
    mark: tuple[Any, ...]
    process: str | None = None


class Watch:
    """What one process has seen of the others' marks. `lease` in seconds; `clock` is monotonic."""

    def __init__(self, lease: float, clock: Clock = time.monotonic) -> None:
        self.lease, self._clock = lease, clock
        self._since: dict[HeldLease, float] = {}

    def abandoned(self, look: Callable[[], Iterable[HeldLease]]) -> list[HeldLease]:
        """The abandoned ones among all that `look` finds held. The lease of one seen for the first time counts from now."""
        before = self._clock()
        found = list(look())
        after = (
            self._clock()
        )  # a look may take long: what is certain is that the mark stood from the end of one look to the start of the next
        self._since = {each: self._since.get(each, after) for each in found}
        return [each for each in found if before - self._since[each] >= self.lease or processes.runs(each.process) is False]
