"""A folder of tables that a write has left half done is refused, not read: its files may be of two states that do not go together."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pricing.errors import TableFault

PENDING = ".tables-being-written"  # within the folder while its files are replaced


def half_written(folder: Path) -> Iterator[TableFault]:
    """The fault of a folder whose tables are being written, or were when something ended the process that wrote them."""
    if (folder / PENDING).exists():
        expected = "tables that are written whole: wait a moment, and if it stays so, finish it with `catalogue check` of this folder"
        yield TableFault(PENDING, 0, "", "tables that are being written, or whose writing was interrupted", expected)
