"""Reads a measuring sheet saved as CSV; the byte order mark decides the charset, the first lines the delimiter."""

from __future__ import annotations

import io
from collections.abc import Iterator

from service.assembly_table import records
from service.measuring_sheet.grid import MOST_CELLS, MOST_COLUMNS, MOST_ROWS, TOO_FULL, TOO_MANY, TOO_WIDE, Cell, Line, NotASheet, short


def lines_of_csv(body: bytes) -> Iterator[Line]:
    """The rows that are not empty. Raises NotASheet."""
    if b"\x00" in body[:4096] and not body.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise NotASheet("not_csv", "This is no text: send the sheet as CSV, or as a workbook (.xlsx) under its own media type.")
    cells = 0
    for count, record in enumerate(records(io.BytesIO(body))):
        if count == MOST_ROWS:
            raise NotASheet("too_many_rows", TOO_MANY)
        if any(map(str.strip, record.cells[MOST_COLUMNS:])):
            raise NotASheet("too_wide", TOO_WIDE)
        cells += sum(map(bool, record.cells))
        if cells > MOST_CELLS:
            raise NotASheet("too_large", TOO_FULL)
        yield Line(record.row, tuple(short(Cell(each)) for each in record.cells[:MOST_COLUMNS]), record.fault)
