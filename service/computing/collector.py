"""Garbage collection in a process that has loaded the tables."""

from __future__ import annotations

import gc

_OFTEN, _OLDER, _OLDEST = 50_000, 20, 50  # CPython's own are 700, 10, 10: a quote makes more objects than that


def spare_what_is_loaded() -> None:
    """Exclude what is loaded from collections, and collect less often: a full one over the tables stops a process for 0.2 s."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(_OFTEN, _OLDER, _OLDEST)
