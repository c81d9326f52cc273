"""How many cases a test covers: normally a sample, all of them in a thorough run (`TEST_THOROUGH=1`, as `.ci/run` sets it)."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")
THOROUGH = os.environ.get("TEST_THOROUGH", "") not in ("", "0")


def some(many: int, few: int | None = None) -> int:
    """`many` in a thorough run, else `few`, by default a fifth of `many`."""
    return many if THOROUGH else max(many // 5, 1) if few is None else few


def some_of(every: Sequence[T], few: int) -> list[T]:
    """All items in a thorough run, else `few` of them: the first, the last, and others evenly spaced between."""
    if THOROUGH or len(every) <= few:
        return list(every)
    return [every[place * (len(every) - 1) // max(few - 1, 1)] for place in range(few)]
