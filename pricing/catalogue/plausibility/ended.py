"""Articles with a last day of sale: whether another article that is sold longer takes their place."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace

from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.reading import Sheet
from pricing.errors import Doubt
from pricing.fittings.ended import takes_its_place
from pricing.rows import SoldOnly

ALIKE = ("material", "body", "end")  # the engine may substitute these if the customer agrees, but a true successor shares them
EXPECTED = "a later day, none, or an article of its family and size that is sold longer"


def without_successor(examined: Examined) -> Iterator[Doubt]:
    """An article with a last day, past or future, while nothing of its family, with its thread or pin and for its wires, is sold longer."""
    for kind, sheet in examined.sheets.items():
        if not sheet.table.ends or sheet.table.row is SoldOnly or "until" in sheet.lacks:
            continue
        rows = [_row(sheet, at) for at in range(len(sheet.lines))]
        for at, row in enumerate(rows):
            if row.until is not None and not any(_follows(sheet.table.row, other, row) for other in rows):
                reason = f"{row.sku} is sold until {row.until}, and nothing of its family and size is sold longer"
                yield examined.doubt(kind, at, "until", EXPECTED, reason)


def _follows(kind: type, other: SimpleNamespace, row: SimpleNamespace) -> bool:
    """Whether another row is sold longer and is what a buyer would call the same: also its material, its body or its end."""
    longer = other.until is None or other.until > row.until
    return longer and takes_its_place(kind, other, row) and all(getattr(other, name, None) == getattr(row, name, None) for name in ALIKE)


def _row(sheet: Sheet, at: int) -> SimpleNamespace:
    return SimpleNamespace(**{column.target: sheet.values[column.name][at] for column in sheet.table.columns})
