"""Reads the file of `prices load`: one with the columns of prices.csv, as a spreadsheet saves it, in the way that `tables import` reads lists."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path
from typing import NamedTuple

from pricing.errors import TableError
from pricing.importing import report
from pricing.importing.currencies import CURRENCY, currency_mismatches, of_shop
from pricing.importing.grid import Note, Unreadable
from pricing.importing.lists import ImportOptions, ShopList, read_list
from pricing.importing.mapped_sheet import MappedSheet
from service.cli.import_tables import body_of, with_mapping

PRICES = "prices"
TABLE = f"{PRICES}.csv"


class Added(NamedTuple):
    """Rows to be added, as cells in the columns of prices.csv, with the place of each in the file; and the lines to print about the file."""

    rows: tuple[tuple[str, ...], ...]
    origins: tuple[tuple[MappedSheet, int], ...]
    text: str
    lines: tuple[str, ...]


def prices_in(file: Path, folder: Mapping[str, str], start: date, reading: ImportOptions, mapping: Path | None) -> Added:
    """The rows of a file in the columns of the folder's prices, valid from a day on. Raises Refused, Unreadable with every cell that cannot
    be read, OSError.
    """
    options = with_mapping(
        replace(reading, kind=PRICES, exact=True, constants={**reading.constants, "from_day": start.isoformat()}), mapping
    )
    shop_list = read_list(body_of(file), file.name, options)
    shop = of_shop(folder)
    of_money = (Note(CURRENCY, *each) for sheet in shop_list.sheets for each in currency_mismatches(sheet, shop, f"--{CURRENCY} {shop}"))
    faults = [*of_money, *_own_days(shop_list), *(note for sheet in shop_list.sheets for note in sheet.faults)]
    if faults:
        raise Unreadable(*faults)
    columns = [name.strip() for name in next(csv.reader(StringIO(folder[TABLE])))]
    origins = tuple((sheet, at) for sheet in shop_list.sheets for at in sheet.rows)
    rows = tuple(tuple(sheet.cell(at, name) for name in columns) for sheet, at in origins)
    out = StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return Added(rows, origins, out.getvalue(), tuple(_lines_about(shop_list)))


def _own_days(shop_list: ShopList) -> Iterator[Note]:
    """A mapping may take days from a column; here the day is that of the command."""
    for sheet in shop_list.sheets:
        if "from_day" in sheet.mapping.columns.values():
            words = "gives each row a day of its own, and the day is said with --from: take it out of the mapping"
            yield Note("no_such_column", sheet.place(0, "from_day")._replace(row=sheet.head.row), "", words)


def _lines_about(shop_list: ShopList) -> Iterator[str]:
    notes = [*shop_list.notes, *(note for sheet in shop_list.sheets for note in sheet.notes)]
    yield from report.notes_lines("Read", notes, 1000)
    if any(name != target for sheet in shop_list.sheets for name, target in sheet.mapping.columns.items()):
        yield from report.mapping_lines(shop_list)
    yield from report.assumed_lines(shop_list.sheets)


def faults_in(error: TableError, prices: str, added: Added) -> Iterator[str]:
    """The faults of the tables with the rows added: at their places in the file, or in the folder's tables."""
    before = prices.rstrip("\r\n").count("\n") + 1
    for fault in error.faults:
        if fault.file == TABLE and before < fault.line <= before + len(added.rows):
            sheet, at = added.origins[fault.line - before - 1]
            place = sheet.place(at, fault.column)
            yield str(
                Note("check", place if place.header else place._replace(header=fault.column), fault.found, f"expected {fault.expected}")
            )
        else:
            yield str(fault)
