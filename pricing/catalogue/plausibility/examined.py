"""The tables under examination: cells as numbers, in pandas frames by table, and doubts about single cells."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pandas

from pricing.catalogue.reading import Sheet, Sheets
from pricing.errors import Doubt

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

_SPACES = re.compile(r"\s+")
_SHOWN = 60


@dataclass
class Examined:
    """All tables as read and free of faults, and `before`, the edition in force to compare prices with (None: no comparison).

    `compared_with`: for a doubt raised by comparison with another cell of the row, that cell's name.
    """

    sheets: Sheets
    before: Catalogue | None = None
    kept: dict[str, pandas.DataFrame] = field(default_factory=dict)
    compared_with: dict[Doubt, str] = field(default_factory=dict)

    def frame(self, kind: str) -> pandas.DataFrame:
        """A table's values: decimals as floats (mm, kN, kg and so on; NaN if blank), all else as read. The index is the row's position."""
        if kind not in self.kept:
            sheet = self.sheets[kind]
            self.kept[kind] = pandas.DataFrame({name: _numbers(values) for name, values in sheet.values.items()})
        return self.kept[kind]

    def doubt(self, kind: str, at: int, column: str, expected: str, reason: str, by: str = "") -> Doubt:
        """A doubt about one cell; `at` is the row's position in its table. `by`: the column of the row that the cell was compared with."""
        sheet = self.sheets[kind]
        text = sheet.text[column][at]
        doubt = Doubt(cell_name(sheet, at, column), sheet.table.file, sheet.lines[at], column, text[:_SHOWN], expected, reason)
        if by in sheet.text:
            self.compared_with[doubt] = cell_name(sheet, at, by)
        return doubt


def cell_name(sheet: Sheet, at: int, column: str) -> str:
    """A cell's name from its row, column and text, such as `terminals/FORK-6MM/reach/56-in`."""
    return f"{row_name(sheet, at)}/{column}/{_joined(sheet.text[column][at])}"


def row_name(sheet: Sheet, at: int) -> str:
    """A row's name from its table and key, such as `terminals/FORK-6MM` or `tax/wire/2026-01-01`."""
    key = ("sku",) if sheet.table.article else sheet.table.key
    return "/".join([sheet.table.kind, *(_joined(sheet.text[name][at]) for name in key)])


def _joined(text: str) -> str:
    return _SPACES.sub("-", text.strip()) or "blank"


def _numbers(values: Sequence[Any]) -> Sequence[Any]:
    if any(isinstance(value, Decimal) for value in values):
        return [float("nan") if value is None else float(value) for value in values]
    return values
