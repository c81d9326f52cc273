"""Which columns a row lacks before it can be computed with: those that are never blank, and those that its family or kind requires."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from pricing.catalogue.schema import Table
from pricing.importing.mapping import KINDS

NEVER_ASKED = frozenset({"sku", "name", "source"})  # without these a row is refused even as an article that is only sold


def lacks(kind: str, row: Mapping[str, str]) -> tuple[str, ...]:
    """The columns that a row of this table lacks, in the table's order; `row` is by our column names, blank where there is nothing."""
    blank = frozenset(name for name, text in row.items() if not text)
    table = KINDS[kind]
    codes = tuple((name, row.get(name, "")) for name in _telling(kind))
    return tuple(name for name in _needed(table.kind, codes, "growth" in blank) if name in blank)


@lru_cache(maxsize=64)
def _telling(kind: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for rule in KINDS[kind].rules for name in rule.when if name != "growth"))


@lru_cache(maxsize=4096)
def _needed(kind: str, codes: tuple[tuple[str, str], ...], no_growth: bool) -> tuple[str, ...]:
    table: Table = KINDS[kind]
    row = {**dict(codes), "growth": "" if no_growth else "given"}
    wanted = {column.name for column in table.columns if not column.blank and not column.later}
    wanted |= {name for rule in table.rules if rule.applies(row) for name in rule.needs}
    return tuple(column.name for column in table.columns if column.name in wanted)


def needed(kind: str, **codes: str) -> tuple[str, ...]:
    """The columns that a row with these codes must fill, such as `needed("terminals", family="fork", attachment="swage")`."""
    return _needed(kind, tuple((name, codes.get(name, "")) for name in _telling(kind)), "growth" not in codes)
