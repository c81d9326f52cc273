"""When to stop: after the caller's seconds, by the caller's clock, or after a number of steps."""

from __future__ import annotations

from collections.abc import Callable

from .model import Limits


class Watch:
    """Whether the caller's time is up, or the steps of column generation are spent; without a clock the former never is."""

    def __init__(self, limits: Limits) -> None:
        self._clock: Callable[[], float] | None = limits.clock
        self._seconds = limits.seconds
        self._start = limits.clock() if limits.clock else 0.0
        self._steps = limits.column_work

    def elapsed(self) -> float | None:
        """Seconds since the start; None without a clock."""
        return self._clock() - self._start if self._clock else None

    def left(self) -> float | None:
        """Seconds left; None without a limit."""
        passed = self.elapsed()
        return None if passed is None or self._seconds is None else self._seconds - passed

    def spend(self, steps: int) -> None:
        """Count steps of column generation."""
        self._steps -= steps

    def over(self) -> bool:
        """Whether a limit is reached."""
        left = self.left()
        return self._steps < 0 or (left is not None and left <= 0)


#: For what is too small to be stopped.
ENDLESS = Watch(Limits(column_work=1 << 60))
