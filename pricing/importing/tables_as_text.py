"""A folder's table as text, row by row, into which rows of a list are merged; untouched rows stay as they were written."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from io import StringIO
from typing import Any, NamedTuple

from pricing.catalogue.schema import Column, Table
from pricing.importing.mapping import KINDS


class Origin(NamedTuple):
    """A row's origin: the index of its mapped sheet, and its position there."""

    which: int
    at: int


@dataclass(slots=True)
class Counts:
    """How many rows of a table are new, changed or unchanged."""

    new: int = 0
    changed: int = 0
    same: int = 0


def key_of(table: Table) -> list[str]:
    """The columns that identify a list's row in a table: the article number, else the table's key."""
    return ["sku"] if table.article else list(table.key)


@lru_cache(maxsize=262_144)
def canonical(kind: str, name: str, text: str) -> str:
    """A cell in canonical form for comparison: '5 mm' and '5.0 mm' are equal. Unreadable text is returned unchanged."""
    if not text:
        return ""
    column = _columns(kind).get(name)
    if column is None or column.cell.kind == "text":
        return text
    try:
        return _plain(column.cell.read(text))
    except ValueError:
        return text


def _plain(value: Any) -> str:
    if isinstance(value, tuple):
        return ";".join(sorted(map(_plain, value)))
    if isinstance(value, Decimal):
        return format(value.normalize(), "f") if value else "0"
    return str(value)


@lru_cache(maxsize=64)
def _columns(kind: str) -> dict[str, Column]:
    return {column.name: column for column in KINDS[kind].columns}


class TextTable:
    """The rows of a table by key. `touched`: whether anything changes."""

    def __init__(self, table: Table, text: str | None) -> None:
        self.table, self.touched = table, False
        rows = [row for row in csv.reader(StringIO(text or "", newline="")) if row]
        self._header = [name.strip() for name in rows[0]] if rows else [column.name for column in table.columns]
        self.rows = [dict(zip(self._header, (cell.strip() for cell in row), strict=False)) for row in rows[1:]]
        self._origins: list[Origin | None] = [None] * len(self.rows)
        self._dropped: set[int] = set()
        self._at = {self._key(row): place for place, row in enumerate(self.rows)}

    def _key(self, row: Mapping[str, str]) -> tuple[str, ...]:
        return tuple(canonical(self.table.kind, name, row.get(name, "")) for name in key_of(self.table))

    def over(self, row: Mapping[str, str]) -> dict[str, str]:
        """The row, with blanks filled in from the existing row of the same key."""
        place = self._at.get(self._key(row))
        if place is None:
            return dict(row)
        return {name: text or self.rows[place].get(name, "") for name, text in row.items()}

    def put(self, row: dict[str, str], origin: Origin, counts: Counts) -> None:
        """Add the row, or update the existing row of the same key with its non-blank cells."""
        key = self._key(row)
        place = self._at.get(key)
        if place is None:
            self._at[key] = len(self.rows)
            self.append(row, origin)
            counts.new += 1
            return
        old = self.rows[place]
        more = {name: text for name, text in row.items() if text and not self._same(name, old.get(name, ""), text)}
        self._origins[place] = origin
        if more:
            self.rows[place] = {**old, **more}
            counts.changed += 1
            self.touched = True
        else:
            counts.same += 1

    def _same(self, name: str, old: str, new: str) -> bool:
        return canonical(self.table.kind, name, old) == canonical(self.table.kind, name, new)

    def append(self, row: dict[str, str], origin: Origin) -> None:
        """Add a row without looking for its key."""
        self.rows.append(row)
        self._origins.append(origin)
        self.touched = True

    def drop(self, sku: str) -> None:
        """Remove an article, if the table has it."""
        place = self._at.pop((sku,), None)
        if place is not None:
            self._dropped.add(place)
            self.touched = True

    def written(self, origin: dict[tuple[str, int], Origin]) -> str:
        """The file's text; records in `origin` the file and line of each merged row."""
        used = {name for row, come in zip(self.rows, self._origins, strict=True) if come for name, text in row.items() if text}
        header = [*self._header, *(column.name for column in self.table.columns if column.name in used and column.name not in self._header)]
        out = StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(header)
        line = 2
        for place, (row, come) in enumerate(zip(self.rows, self._origins, strict=True)):
            if place in self._dropped:
                continue
            cells = [row.get(name, "") for name in header]
            writer.writerow(cells)
            if come is not None:
                origin[self.table.file, line] = come
            line += 1 + "".join(cells).count("\n")
        return out.getvalue()
