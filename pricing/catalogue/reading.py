"""Reads one CSV file into columns of text and typed values, noting every fault with its line.

pandas parses the cells (all as text, none treated as missing), but is given only rows of the right width: on its own it silently fills
short rows and shifts long ones.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path
from typing import Any, Final

from pricing.catalogue.schema import Column, Table
from pricing.errors import TableFault

BAD: Final = object()  # marks a cell that could not be read
NO_FILE = "no such file"  # the `found` text of the fault for a missing file
_SHOWN = 60


@dataclass(slots=True)
class Sheet:
    """A table as read: the file line of each row, cells as written, cells as values (BAD if unreadable), and faults.

    `lacks` names the optional columns missing from the file; all their cells are blank.
    """

    table: Table
    lines: Sequence[int] = ()
    text: dict[str, list[str]] = field(default_factory=dict)
    values: dict[str, list[Any]] = field(default_factory=dict)
    faults: list[TableFault] = field(default_factory=list)
    present: bool = True
    lacks: frozenset[str] = frozenset()

    def note(self, line: int, column: str, found: object, expected: str) -> None:
        """Record a fault in this file."""
        self.faults.append(TableFault(self.table.file, line, column, str(found)[:_SHOWN], expected))

    def cells(self, column: str) -> Iterator[tuple[int, str, Any]]:
        """(line, text, value) for each readable, non-blank cell of a column."""
        rows = zip(self.lines, self.text.get(column, ()), self.values.get(column, ()), strict=False)
        return ((line, text, value) for line, text, value in rows if value is not BAD and text)

    def rows(self, columns: Sequence[str]) -> Iterable[tuple[int, tuple[Any, ...]]]:
        """(line, values) of the given columns for each row; nothing if the file lacks one of them."""
        wanted = [self.values[name] for name in columns if name in self.values]
        if len(wanted) < len(tuple(columns)):
            return ()
        return zip(self.lines, zip(*wanted, strict=True), strict=True)


Sheets = Mapping[str, Sheet]


def read_sheet(folder: Path, table: Table) -> Sheet:
    """Read one table's file; never raises, whatever the file contains."""
    sheet = Sheet(table)
    if table.later and not (folder / table.file).exists():
        return _without_file(sheet)
    records = _records(folder / table.file, sheet)
    if not records:
        sheet.present = False
        return sheet
    (_, header), *body = records
    names = [name.strip() for name in header]
    columns = _known_columns(sheet, names)
    good = [(line, cells) for line, cells in body if _right_width(sheet, line, cells, len(names))]
    sheet.lines = [line for line, _ in good]
    frame = _frame(names, [cells for _, cells in good])
    for column in columns:
        convert(sheet, column, [text.strip() for text in frame[column.name]])
    _fill(sheet, [column for column in table.columns if column.later and column.name not in names])
    return sheet


def _without_file(sheet: Sheet) -> Sheet:
    """A folder that predates this file: the table has no rows."""
    sheet.present = False
    _fill(sheet, sheet.table.columns)
    return sheet


def _fill(sheet: Sheet, columns: Sequence[Column]) -> None:
    """Add optional columns missing from the file, blank in every row."""
    sheet.lacks = frozenset(column.name for column in columns)
    for column in columns:
        sheet.text[column.name] = [""] * len(sheet.lines)
        sheet.values[column.name] = [column.empty] * len(sheet.lines)


def _records(path: Path, sheet: Sheet) -> list[tuple[int, list[str]]]:
    """The file's records, each with the line it starts on; blank lines are skipped."""
    try:
        content = path.read_bytes().decode("utf-8-sig")
    except OSError:
        sheet.note(0, "", NO_FILE, "a readable CSV file of this name")
        return []
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        sheet.note(line, "", f"byte 0x{error.object[error.start]:02x}", "text in UTF-8: save the file with that encoding")
        return []
    records = list(_split(content, sheet))
    if not records:
        sheet.note(0, "", "an empty file", "a header line: " + ",".join(column.name for column in sheet.table.columns))
    return records


def _split(content: str, sheet: Sheet) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(StringIO(content, newline=""), strict=True)
    begin = 1
    try:
        for cells in reader:
            if cells:
                yield begin, cells
            begin = reader.line_num + 1
    except csv.Error as error:
        sheet.note(begin, "", error, "a well-formed CSV record: quotes closed, quotes within a cell doubled")


def _known_columns(sheet: Sheet, names: list[str]) -> list[Column]:
    """The declared columns present in the header; notes missing, unknown and duplicate ones."""
    declared = {column.name: column for column in sheet.table.columns}
    for name in dict.fromkeys(names):
        if name not in declared:
            sheet.note(1, name, "an unknown column", "only the columns " + ", ".join(declared))
        if names.count(name) > 1:
            sheet.note(1, name, "a column given twice", "each column once")
    for name, column in declared.items():
        if name not in names and not column.later:
            sheet.note(1, name, "no such column", "a column of this name")
    return [column for column in declared.values() if names.count(column.name) == 1]


def _right_width(sheet: Sheet, line: int, cells: list[str], width: int) -> bool:
    if len(cells) != width:
        sheet.note(line, "", f"{len(cells)} cells", f"{width} cells, as many as the header has; quote a cell that contains a comma")
    return len(cells) == width


def _frame(names: list[str], body: list[list[str]]) -> dict[str, list[str]]:
    """The columns by name, parsed by pandas: all text, nothing treated as missing."""
    import pandas

    if not body:
        return {name: [] for name in names}
    again = StringIO(newline="")
    csv.writer(again, quoting=csv.QUOTE_ALL).writerows(body)
    again.seek(0)
    frame = pandas.read_csv(again, header=None, dtype=str, keep_default_na=False, na_filter=False, index_col=False)
    return {name: frame[at].tolist() for at, name in enumerate(names)}


def convert(sheet: Sheet, column: Column, texts: list[str]) -> None:
    """Convert a column to typed values; each distinct text is parsed once."""
    known: dict[str, Any] = {"": column.empty if column.blank else BAD}
    present = dict(column.former)
    for text in set(texts) - {""}:
        try:
            known[text] = column.cell.read(present.get(text, text))
        except ValueError:
            known[text] = BAD
    sheet.text[column.name] = texts
    sheet.values[column.name] = [known[text] for text in texts]
    for line, text in zip(sheet.lines, texts, strict=True):
        if known[text] is BAD:
            sheet.note(line, column.name, text or "a blank cell", _expected(column))


def _expected(column: Column) -> str:
    if column.name == "source":
        return "where the row comes from: a published source, or 'invented demo data'"
    return column.cell.expected
