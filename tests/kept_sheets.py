"""Keeps what was made of tables, since tests load the same tables, or such as differ in a file, again and again.

A file is read once for its bytes; of tables that are the same in every file, the index, what is doubted of them and the form's choices are
made once; a check for doubts is done once for the same tables of those that it looks at. To look for faults is done each time.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import replace
from functools import lru_cache, wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from pricing.catalogue import compiling
from pricing.catalogue.plausibility import registry
from pricing.catalogue.plausibility.examined import Examined
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

    checks = registry.CHECKS
    checks_kept = tuple(map(_Kept, checks))

    def doubted(sheets: Sheets, before: Catalogue | None) -> tuple[Doubt, ...]:
        registry.CHECKS = checks_kept
        try:
            return every_doubt(sheets, before)
        finally:
            registry.CHECKS = checks

    @wraps(every_doubt)
    def doubted_once(sheets: Sheets, before: Catalogue | None) -> tuple[Doubt, ...]:
        return _once(doubts, (_alike(sheets), _version(before)), lambda: doubted(sheets, before))

    # of each shop's tables and language, where a running service needs those of one
    description.offers = lru_cache(MOST)(description.offers.__wrapped__)
    described.described_of = lru_cache(MOST)(described.described_of.__wrapped__)
    compiling.read_sheet = read_once
    compiling.compiled = compiled_once
    registry.every_doubt = doubted_once


class _Watched(Examined):
    """Notes which tables are looked at, and, by `None`, whether the edition before is."""

    def __init__(self, of: Examined) -> None:
        self.looked_at: set[str | None] = set()
        super().__init__(_Noted(of.sheets, self.looked_at), of.before)

    def __getattribute__(self, name: str) -> Any:
        if name == "before":
            self.looked_at.add(None)
        return super().__getattribute__(name)


class _Noted(dict[str, Sheet]):
    """Tables; adds to `looked_at` those that are looked at."""

    def __init__(self, sheets: Sheets, looked_at: set[str | None]) -> None:
        super().__init__(sheets)
        self._looked_at = looked_at

    def __getitem__(self, kind: str) -> Sheet:
        self._looked_at.add(kind)
        return super().__getitem__(kind)

    def items(self) -> Any:
        self._looked_at.update(super().keys())
        return super().items()

    def values(self) -> Any:
        self._looked_at.update(super().keys())
        return super().values()

    __iter__ = get = keys = None  # type: ignore[assignment]  # not asked by any check


class _Said(NamedTuple):
    """What a check said, and the state of all that it looked at."""

    looked_at: dict[str | None, Hashable]
    doubts: list[Doubt]
    compared_with: dict[Doubt, str]


class _Kept:
    """A check whose doubts are kept for tables that are the same in all that it looked at."""

    def __init__(self, check: Callable[[Examined], Iterator[Doubt]]) -> None:
        self._check = check
        self._kept: list[_Said] = []

    def __call__(self, examined: Examined) -> Iterator[Doubt]:
        said = next((each for each in self._kept if all(_state(examined, of) == was for of, was in each.looked_at.items())), None)
        if said is None:
            watched = _Watched(examined)  # of its own, since a frame that is kept hides what it was made from
            doubts = [*self._check(watched)]
            said = _Said({of: _state(examined, of) for of in watched.looked_at}, doubts, watched.compared_with)
            self._kept = [*self._kept, said][-MOST:]
        examined.compared_with.update(said.compared_with)
        return iter(said.doubts)


def _state(examined: Examined, of: str | None) -> Hashable:
    """Equal where a table, or the edition before, is the same."""
    return _version(examined.before) if of is None else _alike({of: examined.sheets[of]})


def _version(edition: Catalogue | None) -> Hashable:
    return edition and (edition.version, edition.price_version)


def _alike(sheets: Sheets) -> Hashable:
    """Equal for tables that were read from the same bytes: of these the cells are one object, which is kept for good."""
    return tuple((kind, id(sheet.text) if sheet.present else None) for kind, sheet in sheets.items())


def _once(kept: dict[Hashable, Made], key: Hashable, make: Callable[[], Made]) -> Made:
    """What is kept; beyond `MOST`, what was not asked for the longest goes."""
    if key in kept:
        made = kept.pop(key)
    else:
        made = make()
        if len(kept) == MOST:
            del kept[next(iter(kept))]
    kept[key] = made
    return made
