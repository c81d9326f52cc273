"""Spelling of cells: a unit that only one row of a column has."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

MANY = 10  # rows with one and the same unit, before the only other one is doubted: common practice, no source
_UNIT = re.compile(r"[0-9] ?(mm|cm|m|in|ft)$")


def lone_units(examined: Examined) -> Iterator[Doubt]:
    """A cell in a different unit of length from all others in its column: probably a slip between inches and millimetres."""
    for kind, sheet in examined.sheets.items():
        for column in sheet.table.columns:
            units = [found[1] if (found := _UNIT.search(text)) else "" for text in sheet.text[column.name]]
            count = Counter(unit for unit in units if unit)
            if len(count) != 2:
                continue
            (usual, many), (other, few) = count.most_common(2)
            if few == 1 and many >= MANY:
                at = units.index(other)
                reason = f"{sheet.text[column.name][at]} is the only cell of its column in {other}"
                yield examined.doubt(kind, at, column.name, f"a value in {usual}, as in the other rows", reason)
