"""Writes a sheet as CSV (RFC 4180) with a byte order mark: commas in English, semicolons in German, as spreadsheets in those languages
expect.
"""

from __future__ import annotations

import csv
import io

from service.documents.csv.cells import formula_like, plain
from service.measuring_sheet.blocks import COMMENT
from service.measuring_sheet.layout import Layout, rows_of

DELIMITERS = {"de": ";"}


def csv_sheet(layout: Layout, language: str) -> bytes:
    """The sheet, with measuring instructions at the top. All rows have equal length, so that the first one reveals the delimiter."""
    text = io.StringIO()
    writer = csv.writer(text, delimiter=DELIMITERS.get(language, ","), lineterminator="\r\n")
    table = [cells for _, cells in rows_of(layout, hints=True)]
    for cells in (table[0], *([COMMENT, note] for note in layout.notes), *table[1:]):
        writer.writerow([_safe(cell) for cell in cells] + [""] * (layout.widest - len(cells)))
    return text.getvalue().encode("utf-8-sig")


def _safe(cell: str) -> str:
    text = plain(cell)
    return f"'{text}" if formula_like(text) else text
