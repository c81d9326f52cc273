"""Counts the contents of a workbook's parts before a library reads them: every element by its reading cost, and the numbers that make
it expensive.

A row numbered 10^15 makes the reader count up to it, a cell in the last column makes a row of 16,384, a million cell formats are a
million objects, a shared formula is recomputed for each of its cells, and a tag or a comment is reread from its start with every piece
that does not end it. No size that the file itself declares is trusted.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import NamedTuple
from xml.parsers import expat


class BadWorkbook(ValueError):
    """A file that is not read as a workbook: `code` is damaged, too_large, declares, locked, old_workbook, macros or not_a_workbook."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


class Limits(NamedTuple):
    """Limits of a workbook: its bytes unpacked, the cost of its elements (`Count`), and its cells with the empty ones before them."""

    unpacked: int
    steps: int
    padded: int


# Cost of reading an element, in units of about a microsecond; `_OTHER` for all others. A number format's cost is that of checking it for
# a date.
_STEPS = {"c": 8, "row": 6, "v": 1, "t": 1, "is": 3, "f": 4, "si": 5, "numFmt": 300}
_OTHER = 15
_MOST_DEPTH = 64
_MOST_ATTRIBUTES = 100  # of one element; a worksheet's own has some twenty, a cell three
_MOST_UNENDED = 65_536  # bytes of a tag or comment that has not ended yet
_MOST_TEXT = 2_000  # per attribute; spreadsheets write at most 255 into a format, and 8,192 characters into a formula
_MOST_FORMAT, _MOST_FORMULA = 255, 8_192
_MOST_TRANSLATED = 300_000  # characters of shared formulas, each counted once for every cell sharing it
_MOST_ROW = 1_048_576  # the last row of a spreadsheet, and rows of all sheets together
_COLUMN = re.compile("[A-Za-z]{1,3}")


class Count:
    """Counts the parts of one workbook. Raises BadWorkbook beyond the limits."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self._steps = self._padded = self._rows = self._depth = self._passed = 0
        self._row = 0
        self._shared, self._longest, self._formula = 0, 0, -1
        self._seen: set[str] = set()
        self.of_part = ""

    @contextmanager
    def part(self, name: str) -> Iterator[Callable[[bytes], None]]:
        """Count a part of that name, passed piece by piece."""
        self.of_part = name
        parser = expat.ParserCreate()
        parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = self._declares
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler = self._text
        self._row = self._depth = self._passed = 0
        try:
            yield lambda piece: self._parsed(parser, piece, last=False)
            self._parsed(parser, b"", last=True)
        finally:
            self._rows += self._row

    def _parsed(self, parser: expat.XMLParserType, piece: bytes, *, last: bool) -> None:
        try:
            parser.Parse(piece, last)
        except expat.ExpatError:
            raise BadWorkbook("damaged") from None
        self._passed += len(piece)
        if not last and self._passed - parser.CurrentByteIndex > _MOST_UNENDED:
            raise BadWorkbook("too_large")

    def _declares(self, *_: object) -> None:
        raise BadWorkbook("declares")

    def _start(self, name: str, attributes: Mapping[str, str]) -> None:
        local = name.rpartition(":")[2]
        self._steps += _STEPS.get(local, _OTHER) + len(attributes)
        self._depth += 1
        if self._steps > self.limits.steps or self._depth > _MOST_DEPTH or len(attributes) > _MOST_ATTRIBUTES:
            raise BadWorkbook("too_large")
        longest = max(map(len, attributes.values()), default=0)
        if longest > (_MOST_FORMAT if local == "numFmt" else _MOST_TEXT):
            raise BadWorkbook("too_large")
        if look := _LOOKS.get(local):
            look(self, attributes)

    def _end(self, _: str) -> None:
        self._depth -= 1
        if self._formula >= 0:
            self._longest, self._formula = max(self._longest, self._formula), -1
            if self._longest > _MOST_FORMULA or self._shared * self._longest > _MOST_TRANSLATED:
                raise BadWorkbook("too_large")

    def _text(self, data: str) -> None:
        if self._formula >= 0:
            self._formula += len(data)

    def _row_begins(self, attributes: Mapping[str, str]) -> None:
        try:
            self._row = int(attributes["r"]) if "r" in attributes else self._row + 1
        except ValueError:
            raise BadWorkbook("damaged") from None
        if not self._row > 0 or self._rows + self._row > _MOST_ROW:
            raise BadWorkbook("too_large")

    def _cell_begins(self, attributes: Mapping[str, str]) -> None:
        named = _COLUMN.match(attributes.get("r", ""))
        for place, letter in enumerate(reversed(named[0].upper() if named else "A")):
            self._padded += (ord(letter) - ord("A") + 1) * 26**place
        if self._padded > self.limits.padded:
            raise BadWorkbook("too_large")

    def _formula_begins(self, attributes: Mapping[str, str]) -> None:
        self._formula = 0
        self._shared += attributes.get("t") == "shared"

    def _sheet_named(self, attributes: Mapping[str, str]) -> None:
        """Refuse a worksheet named twice, which would be read twice."""
        self._once(next((value for name, value in attributes.items() if name.rpartition(":")[2] == "id"), ""))

    def _part_named(self, attributes: Mapping[str, str]) -> None:
        if attributes.get("Type", "").endswith("/worksheet"):
            self._once("/" + attributes.get("Target", "").rpartition("/")[2].casefold())

    def _once(self, name: str) -> None:
        if name in self._seen:
            raise BadWorkbook("damaged")
        self._seen.add(name)


_LOOKS: dict[str, Callable[[Count, Mapping[str, str]], None]] = {
    "row": Count._row_begins,  # noqa: SLF001  # its own
    "c": Count._cell_begins,  # noqa: SLF001
    "f": Count._formula_begins,  # noqa: SLF001
    "sheet": Count._sheet_named,  # noqa: SLF001
    "Relationship": Count._part_named,  # noqa: SLF001
}
