"""A progress bar on standard error, shown only on a terminal."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import TextIO

WIDTH = 30
EVERY_SECONDS = 0.1


class Bar:
    """`total` is the amount of work, in any unit. Set `shown` to false if something else is written to the same screen."""

    def __init__(self, total: int, out: TextIO | None = None, clock: Callable[[], float] = time.monotonic, *, shown: bool = True) -> None:
        self._out = sys.stderr if out is None else out
        self._total, self._clock = max(total, 1), clock
        self._began, self._shown, self._seen = clock(), 0.0, shown and self._out.isatty()

    def show(self, done: int, words: str = "") -> None:
        """Show how much is done."""
        now = self._clock()
        if self._seen and now >= self._shown + EVERY_SECONDS:
            self._shown = now
            self._out.write(f"\r{line(min(done / self._total, 1), now - self._began, words)}\033[K")
            self._out.flush()

    def end(self) -> None:
        """End the line, for the output that follows."""
        if self._seen:
            self._out.write("\r\033[K")
            self._out.flush()


def line(share: float, seconds: float, words: str = "") -> str:
    """The bar as text: the share done, and the estimated remaining time."""
    full = int(share * WIDTH)
    left = "" if share <= 0 else f"  {_clock_time(seconds / share - seconds)} left"
    return f"[{'#' * full}{'.' * (WIDTH - full)}] {share * 100:5.1f} %{left}{'  ' + words if words else ''}"


def _clock_time(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes // 60}:{minutes % 60:02d}:{rest:02d}" if minutes >= 60 else f"{minutes}:{rest:02d}"
