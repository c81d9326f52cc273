"""Reads a text file of any delimiter: what delimits the cells is found by counting, and each row keeps its number in the spreadsheet.

The standard library splits the records, so that one that is broken is named with its row: pandas would silently fill short rows and shift
long ones. From there on the cells are a frame.
"""

from __future__ import annotations

import csv
from collections import Counter
from io import StringIO

from pricing.importing.charsets import decoded
from pricing.importing.grid import MOST_COLUMNS, MOST_ROWS, Grid, Note, Place, Unreadable, framed

DELIMITERS = {";": "semicolon", ",": "comma", "\t": "tab", "|": "pipe"}
_SAMPLE = 400
_ENOUGH = 0.8  # of the rows that the best delimiter splits alike


def grid_of_text(body: bytes, file: str, charset: str | None = None, delimiter: str | None = None) -> Grid:
    """The file's rows that are not empty. Raises Unreadable."""
    found = decoded(body, file, charset)
    text, told = _told(found.text)
    if not text.strip():
        raise Unreadable(Note("empty", Place(file), "", "the file is empty: save the list again, with its header row"))
    mark = delimiter or told or _delimiter(text)
    numbers, rows = _records(text, mark, file)
    import numpy

    cells = framed(rows)
    grid = Grid(file, "", cells, numpy.zeros(cells.shape, dtype=numpy.uint8), numbers, list(found.notes))
    grid.note("read", "", f"read as {found.charset}, cells set apart by {DELIMITERS.get(mark, mark)}, {len(rows)} rows")
    return grid


def _told(text: str) -> tuple[str, str | None]:
    """A first line such as `sep=;`, by which some spreadsheets say the delimiter; it stays as an empty row, so that rows keep their numbers."""
    first, end, rest = text.partition("\n")
    said = first.strip().lower()
    if said.startswith("sep=") and len(said) == 5 and said[4] in DELIMITERS:
        return end + rest, said[4]
    return (end + rest, "\t") if first.strip("\r\n") in ("sep=\t", '"sep=\t"') else (text, None)


def _delimiter(text: str) -> str:
    """The one that splits the most rows into the same number of cells; among those that are nearly as good, the one with the most cells.

    A comma within numbers splits rows too, but not those of the header.
    """
    sample = text.splitlines(keepends=True)[:_SAMPLE]
    found = {}
    for mark in DELIMITERS:
        try:
            widths = Counter(len(cells) for cells in csv.reader(sample, delimiter=mark) if any(cells))
        except csv.Error:
            continue
        width, rows = max(((each, many) for each, many in widths.items() if each > 1), key=lambda each: (each[1], each[0]), default=(1, 0))
        found[mark] = (rows, width)
    best = max((rows for rows, _ in found.values()), default=0)
    near = {mark: width for mark, (rows, width) in found.items() if rows and rows >= best * _ENOUGH}
    return max(near, key=lambda mark: near[mark], default=",")


def _records(text: str, mark: str, file: str) -> tuple[list[int], list[list[str]]]:
    numbers: list[int] = []
    rows: list[list[str]] = []
    reader = csv.reader(StringIO(text, newline=""), delimiter=mark, strict=True)
    row = 0
    try:
        for row, cells in enumerate(reader, 1):
            if not any(map(str.strip, cells)):
                continue
            while not cells[-1]:
                cells.pop()
            if len(rows) == MOST_ROWS:
                raise Unreadable(
                    Note("too_many_rows", Place(file, row=row), "", f"the file has more than {MOST_ROWS:,} rows: import it in parts")
                )
            if len(cells) > MOST_COLUMNS:
                words = (
                    f"has {len(cells)} cells, more than the {MOST_COLUMNS} that are read: take columns out, or check the quotation marks"
                )
                raise Unreadable(Note("too_wide", Place(file, row=row), "", words))
            numbers.append(row)
            rows.append(cells)
    except csv.Error as error:
        words = f"cannot be split into cells ({error}): close the quotation mark, and double one that stands within a cell"
        raise Unreadable(Note("broken_record", Place(file, row=row + 1), "", words)) from None
    return numbers, rows
