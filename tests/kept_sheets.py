"""Keeps what was read of a file of tables, since tests load the same tables, or such as differ in a file, again and again.

To read the files is most of what loading takes; to check and to index them is done each time.
"""

from __future__ import annotations

from dataclasses import replace
from functools import wraps
from pathlib import Path

from pricing.catalogue import compiling
from pricing.catalogue.reading import Sheet
from pricing.catalogue.schema import Table


def keep_read_sheets() -> None:
    """From now on, in this process; a file with other bytes is read anew."""
    read_sheet = compiling.read_sheet
    kept: dict[tuple[str, bytes], Sheet] = {}

    @wraps(read_sheet)
    def once(folder: Path, table: Table) -> Sheet:
        if not (folder / table.file).is_file():
            return read_sheet(folder, table)
        key = table.kind, (folder / table.file).read_bytes()
        if key not in kept:
            kept[key] = read_sheet(folder, table)
        return replace(kept[key], faults=[*kept[key].faults])  # to which the checks add

    compiling.read_sheet = once
