"""Reads CSV records: the byte order mark decides the charset, the header row the delimiter; never more than one record in memory."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import IO

DELIMITERS = ",;\t"
MOST_LINE = 100_000  # characters per line of the file
_MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
_REPLACED = "\ufffd"  # what a decoder substitutes for invalid bytes
_TOO_LONG = "\ufffe"  # a noncharacter: stands for a line that was too long to keep


@dataclass(frozen=True, slots=True)
class Record:
    """A row, numbered as in a spreadsheet, with the header as row 1; `fault` (code, what to do) if it could not be read."""

    row: int
    cells: tuple[str, ...] = ()
    fault: tuple[str, str] | None = None


def records(file: IO[bytes]) -> Iterator[Record]:
    """The records of a seekable file positioned at its start, header first; empty rows are skipped but counted."""
    charset = _charset(file)
    text = io.TextIOWrapper(file, encoding=charset, errors="replace", newline="")
    try:
        yield from _records(_lines(text))
    finally:
        text.detach()


def _charset(file: IO[bytes]) -> str:
    start = file.read(3)
    mark, name = next(((mark, name) for mark, name in _MARKS if start.startswith(mark)), (b"", "utf-8"))
    file.seek(len(mark))
    return name


def _lines(text: io.TextIOWrapper) -> Iterator[str]:
    """Lines with their line ends; a marker replaces a line that is too long."""
    while line := text.readline(MOST_LINE):
        if len(line) < MOST_LINE or line.endswith(("\n", "\r")):
            yield line
            continue
        while len(line) == MOST_LINE and not line.endswith(("\n", "\r")):
            line = text.readline(MOST_LINE)
        yield _TOO_LONG + "\n"


def _records(lines: Iterator[str]) -> Iterator[Record]:
    heading = next(lines, "")
    delimiter = max(DELIMITERS, key=_unquoted(heading).count)
    reader = csv.reader(_joined(heading, lines), delimiter=delimiter, strict=True)
    row = 0
    while True:
        row += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield Record(
                row,
                (),
                ("not_csv", f"the row cannot be read ({error}): check its quotation marks; an unclosed one swallows the rows below it"),
            )
            continue
        if any(cell.strip() for cell in cells):
            yield _checked(row, cells)


def _joined(heading: str, lines: Iterator[str]) -> Iterator[str]:
    yield heading
    yield from lines


def _unquoted(heading: str) -> str:
    return "".join(heading.split('"')[::2])


def _checked(row: int, cells: list[str]) -> Record:
    if any(_TOO_LONG in cell for cell in cells):
        return Record(row, (), ("line_too_long", f"the row has more than {MOST_LINE} characters"))
    if any(_REPLACED in cell for cell in cells):
        return Record(row, tuple(cells), ("charset", "the row is not in the file's charset: save the file as UTF-8 with a byte order mark"))
    return Record(row, tuple(cells))
