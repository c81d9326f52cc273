"""A short content hash of tables: equal content gives an equal version, whatever the spelling, line endings or column order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from hashlib import sha256
from typing import Any

from pricing.catalogue.cells import plain
from pricing.catalogue.reading import Sheet

DIGITS = 16


def version_of(sheets: Iterable[Sheet]) -> str:
    """The first 16 hexadecimal digits of the SHA-256 of all row values, in the order of tables and rows.

    Optional tables and columns that are missing are skipped, and former names count as written, so that tables that predate a release
    keep their version.
    """
    digest = sha256()
    for sheet in sheets:
        if sheet.table.later and not sheet.present:
            continue
        digest.update(f"\x1d{sheet.table.kind}\x1e".encode())
        columns = [
            _canonical((sheet.text if column.former else sheet.values)[column.name])
            for column in sheet.table.columns
            if column.name not in sheet.lacks
        ]
        for row in zip(*columns, strict=True):
            digest.update(("\x1f".join(row) + "\x1e").encode())
    return digest.hexdigest()[:DIGITS]


def _canonical(values: Sequence[Any]) -> list[str]:
    """A column's values in canonical text; each distinct value is converted once."""
    known: dict[Any, str] = {}
    for value in values:
        if value not in known:
            known[value] = canonical(value)
    return [known[value] for value in values]


def canonical(value: Any) -> str:
    """A value as text: equal values give equal text, however they were written."""
    if isinstance(value, Decimal):
        return plain(value)
    if isinstance(value, tuple):
        return ";".join(map(canonical, value))
    return "" if value is None else str(value)
