"""Refuses a folder whose tables are only half written, since its files may not belong together."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pricing.errors import TableFault

PENDING = ".tables-being-written"  # within the folder while its files are replaced


def half_written(folder: Path) -> Iterator[TableFault]:
    """A fault if the folder's tables are being written, or if the process that wrote them was interrupted."""
    if (folder / PENDING).exists():
        expected = "tables that are written whole: wait a moment, and if it stays so, finish it with `catalogue check` of this folder"
        yield TableFault(PENDING, 0, "", "tables that are being written, or whose writing was interrupted", expected)
