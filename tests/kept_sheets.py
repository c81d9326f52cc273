"""Keeps what was made of tables, since tests load the same tables, or such as differ in a file, again and again.

A file is read once for its bytes; of tables that are the same in every file, the index, what is doubted of them and the form's choices are
made once. To look for faults is done each time.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import replace
from functools import lru_cache, wraps
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from pricing.catalogue import compiling
from pricing.catalogue.plausibility import registry
from pricing.catalogue.reading import Sheet, Sheets
from pricing.catalogue.schema import Table
from service.web_form import described, description

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.errors import Doubt

Made = TypeVar("Made")
MOST = 16


def keep_read_sheets() -> None:
    """From now on, in this process; what has other bytes is read and made anew."""
    read_sheet, compiled, every_doubt = compiling.read_sheet, compiling.compiled, registry.every_doubt
    kept: dict[tuple[str, bytes], Sheet] = {}
    catalogues: dict[Hashable, Catalogue] = {}
    doubts: dict[Hashable, tuple[Doubt, ...]] = {}

    @wraps(read_sheet)
    def read_once(folder: Path, table: Table) -> Sheet:
        if not (folder / table.file).is_file():
            return read_sheet(folder, table)
        key = table.kind, (folder / table.file).read_bytes()
        if key not in kept:
            kept[key] = read_sheet(folder, table)
        return replace(kept[key], faults=[*kept[key].faults])  # to which the checks add

    @wraps(compiled)
    def compiled_once(sheets: Sheets) -> Catalogue:
        return _once(catalogues, _alike(sheets), lambda: compiled(sheets))

    @wraps(every_doubt)
    def doubted_once(sheets: Sheets, before: Catalogue | None) -> tuple[Doubt, ...]:
        key = _alike(sheets), before and (before.version, before.price_version)
        return _once(doubts, key, lambda: every_doubt(sheets, before))

    # of each shop's tables and language, where a running service needs those of one
    description.offers = lru_cache(MOST)(description.offers.__wrapped__)
    described.described_of = lru_cache(MOST)(described.described_of.__wrapped__)
    compiling.read_sheet = read_once
    compiling.compiled = compiled_once
    registry.every_doubt = doubted_once


def _alike(sheets: Sheets) -> Hashable:
    """Equal for tables that were read from the same bytes: of these the cells are one object, which is kept for good."""
    return tuple((kind, id(sheet.text) if sheet.present else None) for kind, sheet in sheets.items())


def _once(kept: dict[Hashable, Made], key: Hashable, make: Callable[[], Made]) -> Made:
    """What is kept; beyond `MOST`, what was not asked for the longest goes."""
    made = kept.pop(key) if key in kept else make()
    if len(kept) == MOST:
        del kept[next(iter(kept))]
    kept[key] = made
    return made
