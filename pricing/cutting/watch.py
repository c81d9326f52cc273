"""When to stop: after the caller's time limit by the caller's clock, or after a number of steps.

Steps are counted before or after the work they stand for, in proportion to its size: the same order takes the same steps on every machine,
whatever else runs there. One step is about a nanosecond on a 2026 core.
"""

from __future__ import annotations

from collections.abc import Callable

from .model import Limits

#: Seconds per piece for naming and checking its cut at the end; at most half of the time is reserved for it.
NAMED = 0.00006


class Watch:
    """Whether the time is up or the steps are used up; without a clock, only steps count."""

    def __init__(self, limits: Limits, pieces: int = 0) -> None:
        self._clock: Callable[[], float] | None = limits.clock
        self._seconds = None if limits.seconds is None else max(limits.seconds / 2, limits.seconds - pieces * NAMED)
        self._ended = False
        self._start = limits.clock() if limits.clock else 0.0
        self._steps, self._work = limits.column_work, limits.work

    def elapsed(self) -> float | None:
        """Seconds since the start; None without a clock."""
        return self._clock() - self._start if self._clock else None

    def left(self) -> float | None:
        """Seconds left for the search; None without a limit."""
        passed = self.elapsed()
        return None if passed is None or self._seconds is None else self._seconds - passed

    def spend(self, steps: int) -> None:
        """Count steps of column generation."""
        self._steps -= steps

    def work(self, steps: int) -> None:
        """Count steps of anything else."""
        self._work -= steps

    def over(self) -> bool:
        """Whether a limit has been reached."""
        if not self._ended:
            left = self.left()
            self._ended = self._steps < 0 or self._work < 0 or (left is not None and left <= 0)
        return self._ended


#: For work too small to need stopping.
ENDLESS = Watch(Limits(column_work=1 << 60, work=1 << 60))
