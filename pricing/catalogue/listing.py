"""Table rows as JSON-ready objects for display and forms: each quantity in one unit, together with its text as written in the table."""

from __future__ import annotations

from pricing.catalogue.cells import Json
from pricing.catalogue.reading import Sheet


def listed_rows(sheet: Sheet) -> tuple[dict[str, Json], ...]:
    """The rows of one table, keyed by its column names; blank cells are None."""
    shown: list[list[Json]] = []
    for column in sheet.table.columns:
        memo: dict[str, Json] = {"": column.empty}
        for text, value in zip(sheet.text[column.name], sheet.values[column.name], strict=True):
            if text not in memo:
                memo[text] = column.cell.show(value, text)
        shown.append([memo[text] for text in sheet.text[column.name]])
    names = [column.name for column in sheet.table.columns]
    return tuple(dict(zip(names, row, strict=True)) for row in zip(*shown, strict=True))
