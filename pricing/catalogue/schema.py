"""The words in which a table is declared: columns, references, rules, and what must be there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pricing.catalogue.cells import Cell


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name in the file, what a cell holds, the row's field (`field`, if named differently), whether it may be blank,
    and what the row then holds (`empty`).

    `to` names (table, column) in which each value of this column must be found; table `*` stands for every table of articles.
    """

    name: str
    cell: Cell
    field: str = ""
    blank: bool = False
    empty: str | None = None
    to: tuple[str, str] | None = None

    @property
    def target(self) -> str:
        """The field of the row class that this column fills."""
        return self.field or self.name


@dataclass(frozen=True, slots=True)
class Rule:
    """In rows whose columns hold one of the texts in `when`, the columns `needs` must be filled and `leaves` must be blank."""

    when: Mapping[str, tuple[str, ...]]
    needs: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()

    def applies(self, text: Mapping[str, str]) -> bool:
        """Whether the row with these cells, as written, falls under the rule."""
        return all(text.get(column) in texts for column, texts in self.when.items())


@dataclass(frozen=True, slots=True)
class Table:
    """One file: the row class, its columns, the key that no two rows share, rules, and pairs (larger, smaller) of columns in order.

    `article`: its rows are sold by sku, in `unit`. `part_of`: whose version it belongs to: the catalogue's, the price table's or the stock's.
    `complete`: (column, values) which must all occur. `as_written`: (field, column) whose text, as the file has it, is a field too.
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

    @property
    def file(self) -> str:
        """Name of the file in the folder."""
        return f"{self.kind}.csv"
