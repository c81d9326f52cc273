"""A measuring sheet saved as CSV: charset by its byte order mark, delimiter by its first lines."""

from __future__ import annotations

import io
from collections.abc import Iterator

from service.form.sheet.grid import MOST_ROWS, TOO_MANY, Cell, Line, NotASheet
from service.sheets import records


def lines_of_csv(body: bytes) -> Iterator[Line]:
    """The rows that hold anything. Raises NotASheet."""
    if b"\x00" in body[:4096] and not body.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise NotASheet("not_csv", "This is no text: send the sheet as CSV, or as a workbook (.xlsx) under its own media type.")
    for count, record in enumerate(records(io.BytesIO(body))):
        if count == MOST_ROWS:
            raise NotASheet("too_many_rows", TOO_MANY)
        yield Line(record.row, tuple(map(Cell, record.cells)), record.fault)
