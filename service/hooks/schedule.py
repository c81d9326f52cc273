"""When a message is tried again: the example schedule of Standard Webhooks 1.0.0, section "Deliverability and reliability", with jitter."""

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
)  # seconds after each attempt that failed: 75 h 35 min in all
ATTEMPTS = len(DELAYS) + 1
JITTER = 0.2  # up to so much of a delay is added, so that not all come back at once
MOST_ASKED = 86400.0  # seconds that a receiver may ask to wait


def delay(attempt: int, asked: float | None = None, chance: Callable[[], float] = random.random) -> float | None:
    """Seconds until the next attempt after this one (from 1) has failed; None where it was the last. `asked`: what the receiver asks to wait."""
    if attempt >= ATTEMPTS:
        return None
    usual = DELAYS[attempt - 1] * (1 + JITTER * chance())
    return max(usual, min(asked or 0.0, MOST_ASKED))
