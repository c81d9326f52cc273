"""The differences between two editions of a shop's tables: new, removed and changed rows by table, with the size of each change.

Values are compared, not spellings: `3/8 in` and `9.525 mm` are equal. Articles are matched by SKU, all other rows by the key of their
table. Pure: it reads nothing but the tables it is given.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, Any

from pricing.catalogue import cells
from pricing.catalogue.reading import Sheet, Sheets
from pricing.catalogue.tables import ACCEPTED_DOUBTS, TABLES
from pricing.catalogue.tables_prices import TERM_CELLS
from pricing.catalogue.versions import canonical

if TYPE_CHECKING:
    import pandas

    from pricing.catalogue.schema import Column, Table

_LENGTHS = (cells.LENGTH, cells.LENGTH_OR_0)
_TENTH = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class CellChange:
    """A cell before and after, as written; None where blank. `mm`: the change of a length; `percent`: the change of any number, unless from 0."""

    column: str
    before: str | None
    after: str | None
    mm: Decimal | None = None
    percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """A row by its key, as (column, text) pairs, and its line in the file: in the old file for a removed row.

    `changes` is empty for a new or removed row.
    """

    key: tuple[tuple[str, str], ...]
    line: int
    changes: tuple[CellChange, ...] = ()


@dataclass(frozen=True, slots=True)
class TableDifference:
    """The rows of one table that differ, in the order of the tables."""

    kind: str
    file: str
    new: tuple[Row, ...]
    gone: tuple[Row, ...]
    changed: tuple[Row, ...]


def differences(before: Sheets, after: Sheets) -> tuple[TableDifference, ...]:
    """The differences of the tables that differ. Both editions must be free of faults (`compiling.checked_sheets`)."""
    tables = [_table(table, before[table.kind], after[table.kind]) for table in TABLES if table is not ACCEPTED_DOUBTS]
    return tuple(each for each in tables if each.new or each.gone or each.changed)


def key_of(table: Table) -> tuple[str, ...]:
    """The columns that identify a row."""
    return ("sku",) if table.article else table.key


def _table(table: Table, before: Sheet, after: Sheet) -> TableDifference:
    old, new = _frame(table, before), _frame(table, after)
    both = new.index.intersection(old.index, sort=False)
    one, other = old.loc[both, new.columns], new.loc[both]
    changed = other.index[(one != other).any(axis=1).to_numpy()] if len(both) else both
    old_places, new_places = _places(old), _places(new)
    return TableDifference(
        table.kind,
        table.file,
        tuple(_row(table, after, new_places[key]) for key in new.index.difference(old.index, sort=False)),
        tuple(_row(table, before, old_places[key]) for key in old.index.difference(new.index, sort=False)),
        tuple(_changed(table, before, after, old_places[key], new_places[key]) for key in changed),
    )


def _frame(table: Table, sheet: Sheet) -> pandas.DataFrame:
    """The values in canonical text, so that equal values are equal text; the index is the key."""
    import pandas

    frame = pandas.DataFrame({column.name: _texts(sheet.values[column.name]) for column in table.columns}, dtype=object)
    keys = [frame[name] for name in key_of(table)]
    frame.index = pandas.Index(keys[0] if len(keys) == 1 else list(zip(*keys, strict=True)), tupleize_cols=False, dtype=object)
    return frame


def _texts(values: Sequence[Any]) -> list[str]:
    """Values in canonical text; each distinct value is converted once."""
    known: dict[Any, str] = {}
    for value in values:
        if value not in known:
            known[value] = canonical(value)
    return [known[value] for value in values]


def _places(frame: pandas.DataFrame) -> dict[Hashable, int]:
    return {key: place for place, key in enumerate(frame.index)}


def _row(table: Table, sheet: Sheet, place: int, changes: tuple[CellChange, ...] = ()) -> Row:
    return Row(tuple((name, sheet.text[name][place]) for name in key_of(table)), sheet.lines[place], changes)


def _changed(table: Table, before: Sheet, after: Sheet, old: int, new: int) -> Row:
    return _row(table, after, new, tuple(_cells(table, before, after, old, new)))


def _cells(table: Table, before: Sheet, after: Sheet, old: int, new: int) -> Iterator[CellChange]:
    for column in table.columns:
        one, other = before.values[column.name][old], after.values[column.name][new]
        if canonical(one) != canonical(other):
            texts = before.text[column.name][old] or None, after.text[column.name][new] or None
            is_length, was, now = _numbers(table, column, before, after, old, new)
            yield CellChange(column.name, *texts, *_comes_to(was, now, is_length))


def _numbers(table: Table, column: Column, before: Sheet, after: Sheet, old: int, new: int) -> tuple[bool, Any, Any]:
    """(whether the cell is a length, value before, value after); a term's value is read with its unit."""
    if (table.kind, column.name) != ("terms", "value"):
        return column.cell in _LENGTHS, before.values[column.name][old], after.values[column.name][new]
    cell, _ = TERM_CELLS[str(after.values["key"][new])]
    return cell in _LENGTHS, _term(before, old), _term(after, new)


def _term(sheet: Sheet, place: int) -> Any:
    cell, unit = TERM_CELLS[str(sheet.values["key"][place])]
    text = sheet.text["value"][place]
    try:
        return cell.read(f"{text} {sheet.text['unit'][place]}" if unit is None else text)
    except ValueError:  # reported where terms are read
        return None


def _comes_to(was: Any, now: Any, is_length: bool) -> tuple[Decimal | None, Decimal | None]:
    if not isinstance(was, int | Decimal) or not isinstance(now, int | Decimal):
        return None, None
    change = Decimal(now) - Decimal(was)
    share = (100 * change / Decimal(was)).quantize(_TENTH, ROUND_HALF_UP) if was else None
    return change if is_length else None, share
