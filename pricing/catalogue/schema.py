"""How a table is declared: columns, references, rules and required values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pricing.catalogue.cells import Cell


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    Its name in the file, its cell type, the row's field it fills (`field`, if named differently), whether it may be blank, and the value of
    a blank cell (`empty`). `to` names the (table, column) in which every value must exist; table `*` means all article tables. A `later`
    column was added after tables were in use: a file may omit it, and its rows then hold `empty`. `former`: (old, new) pairs of texts, for
    files of earlier releases.
    """

    name: str
    cell: Cell
    field: str = ""
    blank: bool = False
    empty: str | None = None
    to: tuple[str, str] | None = None
    later: bool = False
    former: tuple[tuple[str, str], ...] = ()

    @property
    def target(self) -> str:
        """The field of the row class that this column fills."""
        return self.field or self.name


@dataclass(frozen=True, slots=True)
class Rule:
    """Where the columns in `when` hold one of the given texts, those in `needs` must be filled and those in `leaves` blank."""

    when: Mapping[str, tuple[str, ...]]
    needs: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()

    def applies(self, text: Mapping[str, str]) -> bool:
        """Whether the rule applies to a row with these cells, as written."""
        return all(text.get(column) in texts for column, texts in self.when.items())


@dataclass(frozen=True, slots=True)
class Table:
    """One file: its row class, columns, unique key, rules, and pairs (larger, smaller) of columns whose sizes must be in order.

    `article`: rows are sold by SKU, in `unit`, up to and including the day `until` if there is such a column. `part_of`: the version that the
    table counts towards (catalogue or prices); tables of other parts (stock, purchases, acceptance) count towards none. `complete`: (column,
    values) that must all occur. `as_written`: (field, column) pairs whose raw text is stored in a field as well. A `later` table was added
    after folders were in use: its file may be missing, and it then has no rows.
    """

    kind: str
    row: type
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    rules: tuple[Rule, ...] = ()
    orders: tuple[tuple[str, str], ...] = ()
    complete: tuple[str, tuple[str, ...]] | None = None
    as_written: tuple[tuple[str, str], ...] = ()
    article: bool = False
    unit: str = "each"
    part_of: str = "catalogue"
    later: bool = False
    former: tuple[tuple[str, str], ...] = ()

    @property
    def ends(self) -> bool:
        """Whether its rows may have a last day of sale, so that a row with the same key can succeed them."""
        return self.article and any(column.name == "until" for column in self.columns)

    @property
    def file(self) -> str:
        """The table's file name in the folder."""
        return f"{self.kind}.csv"
