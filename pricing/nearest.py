"""Suggests the word most likely meant by a misspelt one."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

_FEW, _ALIKE = 2, 0.7


def nearest(given: str, known: Iterable[str]) -> str | None:
    """The known word that `given` most likely stands for; None if it resembles none.

    Only words whose length differs by at most two characters are compared, so that long hostile input costs little.
    """
    lowered = given.lower().replace("-", "_").replace(" ", "_")
    close = {each.lower().replace("-", "_").replace(" ", "_"): each for each in known if abs(len(each) - len(given)) <= _FEW}
    if lowered in close:
        return close[lowered]
    matches = get_close_matches(lowered, close, n=1, cutoff=_ALIKE)
    return close[matches[0]] if matches else None
