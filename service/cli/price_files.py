"""What `prices load` reads: a file in the columns of prices.csv as a spreadsheet saves it, read as `tables import` reads lists."""

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
from pricing.importing.currencies import CURRENCY, of_shop
from pricing.importing.currencies import asked as asked_of
from pricing.importing.grid import Note, Unreadable
from pricing.importing.lists import ShopList, Told, read_list
from pricing.importing.taking import Taken
from service.cli.import_tables import body_of, with_mapping

PRICES = "prices"
TABLE = f"{PRICES}.csv"


class Added(NamedTuple):
    """Rows to be added: as text in the columns of prices.csv, each with where it stands in the file, and what is to be said of the file."""

    rows: tuple[tuple[str, ...], ...]
    origins: tuple[tuple[Taken, int], ...]
    text: str
    said: tuple[str, ...]


def prices_in(file: Path, folder: Mapping[str, str], start: date, told: Told, mapping: Path | None) -> Added:
    """The rows of a file in the columns of the folder's prices, valid from a day on. Raises Refused, Unreadable with every cell that cannot
    be read, OSError.
    """
    asked = with_mapping(replace(told, kind=PRICES, exact=True, constants={**told.constants, "from_day": start.isoformat()}), mapping)
    found = read_list(body_of(file), file.name, asked)
    shop = of_shop(folder)
    of_money = (Note(CURRENCY, *each) for part in found.taken for each in asked_of(part, shop, f"--{CURRENCY} {shop}"))
    faults = [*of_money, *_own_days(found), *(note for part in found.taken for note in part.faults)]
    if faults:
        raise Unreadable(*faults)
    columns = [name.strip() for name in next(csv.reader(StringIO(folder[TABLE])))]
    origins = tuple((part, at) for part in found.taken for at in part.rows)
    rows = tuple(tuple(part.cell(at, name) for name in columns) for part, at in origins)
    out = StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return Added(rows, origins, out.getvalue(), tuple(_said(found)))


def _own_days(found: ShopList) -> Iterator[Note]:
    """A mapping may take days from a column; here the day is that of the command."""
    for part in found.taken:
        if "from_day" in part.part.columns.values():
            words = "gives each row a day of its own, and the day is said with --from: take it out of the mapping"
            yield Note("no_such_column", part.place(0, "from_day")._replace(row=part.head.row), "", words)


def _said(found: ShopList) -> Iterator[str]:
    notes = [*found.said, *(note for part in found.taken for note in part.said)]
    yield from report.notes_lines("Read", notes, 1000)
    if any(name != target for part in found.taken for name, target in part.part.columns.items()):
        yield from report.mapping_lines(found)
    yield from report.assumed_lines(found.taken)


def faults_in(error: TableError, prices: str, added: Added) -> Iterator[str]:
    """The faults of the tables with the rows added: at their places in the file, or in the folder's tables."""
    before = prices.rstrip("\r\n").count("\n") + 1
    for fault in error.faults:
        if fault.file == TABLE and before < fault.line <= before + len(added.rows):
            part, at = added.origins[fault.line - before - 1]
            place = part.place(at, fault.column)
            yield str(
                Note("check", place if place.header else place._replace(header=fault.column), fault.found, f"expected {fault.expected}")
            )
        else:
            yield str(fault)
