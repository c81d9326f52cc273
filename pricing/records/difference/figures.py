"""Compares parts of two documents as data, ignoring words, which depend on language and release."""

from __future__ import annotations

from typing import Any

WORDS = frozenset(
    {"message", "remedy", "step", "formula", "source", "inputs", "largest", "to_shrink", "contributor", "weakest", "text", "cautions"}
)


def differ(one: Any, other: Any) -> bool:
    """Whether the data differs. A member that only one of the two has was added in another release and is ignored."""
    if isinstance(one, dict) and isinstance(other, dict):
        return any(differ(one[name], other[name]) for name in one if name in other and name not in WORDS)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) != len(other) or any(differ(left, right) for left, right in zip(one, other, strict=True))
    return bool(one != other)
