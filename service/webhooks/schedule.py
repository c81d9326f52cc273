"""The retry schedule: the example of Standard Webhooks 1.0.0, section "Deliverability and reliability", with jitter."""

from __future__ import annotations

import random
from collections.abc import Callable

DELAYS = (
    5.0,
    300.0,
    1800.0,
    7200.0,
    18000.0,
    36000.0,
    50400.0,
    72000.0,
    86400.0,
)  # seconds after each failed attempt: 75 h 35 min in all
ATTEMPTS = len(DELAYS) + 1
JITTER = 0.2  # up to this fraction of a delay is added, so that retries do not all come at once
MOST_ASKED = 86400.0  # seconds; the longest wait that a receiver may request


def delay(attempt: int, asked: float | None = None, chance: Callable[[], float] = random.random) -> float | None:
    """Seconds until the attempt after this one (counted from 1), which has failed; None if it was the last. `asked`: the wait
    requested by the receiver.
    """
    if attempt >= ATTEMPTS:
        return None
    usual = DELAYS[attempt - 1] * (1 + JITTER * chance())
    return max(usual, min(asked or 0.0, MOST_ASKED))
