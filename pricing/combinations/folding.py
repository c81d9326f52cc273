"""Folds many single combinations into a few rows of lists that stand for exactly the same ones."""

from __future__ import annotations

from collections.abc import Iterable

Single = tuple[str, ...]
Folded = tuple[tuple[str, ...], ...]


def joined(*parts: str) -> str:
    """Several values as one choice of a form: `eye | 1/2 in`."""
    return " | ".join(parts)


def folded(singles: Iterable[Single]) -> tuple[Folded, ...]:
    """Rows of lists whose combinations are exactly those given, each once, in order of first appearance.

    An empty text becomes an empty list.
    """
    rows: list[Folded] = [tuple((value,) for value in single) for single in dict.fromkeys(singles)]
    for column in reversed(range(len(rows[0]) if rows else 0)):
        joined: dict[Folded, list[str]] = {}
        for row in rows:
            joined.setdefault((*row[:column], *row[column + 1 :]), []).extend(row[column])
        rows = [(*rest[:column], tuple(values), *rest[column:]) for rest, values in joined.items()]
    return tuple(tuple(tuple(value for value in cell if value) for cell in row) for row in rows)
