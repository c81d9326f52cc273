"""A short version of the content of tables: equal content, equal version, whatever the spelling, line ends or order of columns."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from hashlib import sha256
from typing import Any

from pricing.catalogue.cells import plain
from pricing.catalogue.reading import Sheet

DIGITS = 16


def version_of(sheets: Iterable[Sheet]) -> str:
    """The first 16 hexadecimal digits of the SHA-256 over every row's values, in the order of the tables and rows."""
    digest = sha256()
    for sheet in sheets:
        digest.update(f"\x1d{sheet.table.kind}\x1e".encode())
        columns = [[_canonical(value) for value in sheet.values[column.name]] for column in sheet.table.columns]
        for row in zip(*columns, strict=True):
            digest.update(("\x1f".join(row) + "\x1e").encode())
    return digest.hexdigest()[:DIGITS]


def _canonical(value: Any) -> str:
    if isinstance(value, Decimal):
        return plain(value)
    if isinstance(value, tuple):
        return ";".join(map(_canonical, value))
    return "" if value is None else str(value)
