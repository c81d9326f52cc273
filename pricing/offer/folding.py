"""Many single combinations folded into few rows of lists that stand for exactly the same ones."""

from __future__ import annotations

from collections.abc import Iterable

Single = tuple[str, ...]
Folded = tuple[tuple[str, ...], ...]


def folded(singles: Iterable[Single]) -> tuple[Folded, ...]:
    """Rows of lists whose combinations are those given, each once; an empty text becomes an empty list. Order of first sight is kept."""
    rows: list[Folded] = [tuple((value,) for value in single) for single in dict.fromkeys(singles)]
    for column in reversed(range(len(rows[0]) if rows else 0)):
        joined: dict[Folded, list[str]] = {}
        for row in rows:
            joined.setdefault((*row[:column], *row[column + 1 :]), []).extend(row[column])
        rows = [(*rest[:column], tuple(values), *rest[column:]) for rest, values in joined.items()]
    return tuple(tuple(tuple(value for value in cell if value) for cell in row) for row in rows)
