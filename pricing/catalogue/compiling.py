"""Compiles a folder of CSV files into a Catalogue, or reports every fault of every file at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pricing.catalogue.crosschecks import CHECKS
from pricing.catalogue.half_written import half_written
from pricing.catalogue.indexing import index_of
from pricing.catalogue.listing import listed_rows
from pricing.catalogue.lookup import Catalogue, Tables
from pricing.catalogue.reading import Sheet, read_sheet
from pricing.catalogue.schema import Table
from pricing.catalogue.tables import TABLES
from pricing.catalogue.versions import version_of
from pricing.errors import TableError, TableFault


def load_catalogue(folder: Path) -> Catalogue:
    """Read, check and index the tables of a folder. Raises TableError with all faults of all files."""
    return compiled(checked_sheets(folder))


def checked_sheets(folder: Path) -> dict[str, Sheet]:
    """The tables of a folder as read, by table name. Raises TableError with all faults of all files."""
    if half := tuple(half_written(folder)):
        raise TableError(half)
    sheets = {table.kind: read_sheet(folder, table) for table in TABLES}
    for check in CHECKS:
        check(sheets)
    faults = _unknown_files(folder) + [fault for sheet in sheets.values() for fault in sorted(sheet.faults, key=_place)]
    if faults:
        raise TableError(faults)
    return sheets


def rows_again(folder: Path, table: Table) -> tuple[Any, ...]:
    """The rows of one table of a folder whose tables were all checked before. Raises TableError."""
    sheet = read_sheet(folder, table)
    if sheet.faults:
        raise TableError(sheet.faults)
    rows: tuple[Any, ...] = _rows(sheet)
    return rows


def _place(fault: TableFault) -> tuple[int, str]:
    return fault.line, fault.column


def _unknown_files(folder: Path) -> list[TableFault]:
    """CSV files that are not a known table; otherwise a misspelled name would be silently ignored."""
    files = {table.file for table in TABLES}
    return [
        TableFault(path.name, 0, "", "a file that is no table", "only " + ", ".join(sorted(files)))
        for path in sorted(folder.glob("*.csv"))
        if path.name not in files
    ]


def compiled(sheets: Mapping[str, Sheet]) -> Catalogue:
    """Index tables that were read and checked."""
    tables = Tables(**{kind: _rows(sheet) for kind, sheet in sheets.items()})
    of_parts = _part(sheets, "catalogue")
    return Catalogue(
        edition=tables.edition[0],
        version=version_of(of_parts),
        price_version=version_of(_part(sheets, "prices")),
        tables=tables,
        index=index_of(tables),
        listing={sheet.table.kind: listed_rows(sheet) for sheet in of_parts if sheet.table.kind != "edition"},
    )


def _part(sheets: Mapping[str, Sheet], name: str) -> list[Sheet]:
    return [sheet for sheet in sheets.values() if sheet.table.part_of == name]


def _rows(sheet: Sheet) -> Any:
    """The rows of one table, typed by its row class."""
    names = [column.target for column in sheet.table.columns]
    names += [field for field, _ in sheet.table.as_written]
    columns = [sheet.values[column.name] for column in sheet.table.columns]
    columns += [sheet.text[column] for _, column in sheet.table.as_written]
    return tuple(sheet.table.row(**dict(zip(names, cells, strict=True))) for cells in zip(*columns, strict=True))
