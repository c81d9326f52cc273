"""Reads a text file with any delimiter, which is found by counting; each row keeps the number a spreadsheet would show for it.

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
_ENOUGH = 0.8  # share of the best delimiter's evenly split rows from which another delimiter still competes


def grid_of_text(body: bytes, file: str, charset: str | None = None, delimiter: str | None = None) -> Grid:
    """The file's non-empty rows as a grid. Raises Unreadable."""
    text_file = decoded(body, file, charset)
    text, declared = _declared_delimiter(text_file.text)
    if not text.strip():
        raise Unreadable(Note("empty", Place(file), "", "the file is empty: save the list again, with its header row"))
    mark = delimiter or declared or _delimiter(text)
    numbers, rows = _records(text, mark, file)
    import numpy

    cells = framed(rows)
    grid = Grid(file, "", cells, numpy.zeros(cells.shape, dtype=numpy.uint8), numbers, list(text_file.notes))
    grid.note("read", "", f"read as {text_file.charset}, cells set apart by {DELIMITERS.get(mark, mark)}, {len(rows)} rows")
    return grid


def _declared_delimiter(text: str) -> tuple[str, str | None]:
    """The text after a first line such as `sep=;`, and the delimiter it declares.

    The line is left as an empty row, so that the other rows keep their numbers.
    """
    first, end, rest = text.partition("\n")
    line = first.strip().lower()
    if line.startswith("sep=") and len(line) == 5 and line[4] in DELIMITERS:
        return end + rest, line[4]
    return (end + rest, "\t") if first.strip("\r\n") in ("sep=\t", '"sep=\t"') else (text, None)


def _delimiter(text: str) -> str:
    """The delimiter that splits the most rows into the same number of cells; of nearly equal ones, the one that gives the most cells.

    Decimal commas split rows too, but not the header.
    """
    sample = text.splitlines(keepends=True)[:_SAMPLE]
    rows_and_width = {}
    for mark in DELIMITERS:
        try:
            widths = Counter(len(cells) for cells in csv.reader(sample, delimiter=mark) if any(cells))
        except csv.Error:
            continue
        width, rows = max(((each, many) for each, many in widths.items() if each > 1), key=lambda each: (each[1], each[0]), default=(1, 0))
        rows_and_width[mark] = (rows, width)
    best = max((rows for rows, _ in rows_and_width.values()), default=0)
    near = {mark: width for mark, (rows, width) in rows_and_width.items() if rows and rows >= best * _ENOUGH}
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
