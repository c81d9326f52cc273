"""`stock list` and `stock count FILE`: show the wire on the shelf, and record a stock count."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from pricing.errors import TableError
from pricing.rows import StockRow
from service.cli.in_force import engine_in_force, in_force
from service.cli.out import confirm, refuse, say
from service.engine.catalogues import engine_from
from service.engine.tables import STOCK
from service.lifecycle.actions import MovementOrder
from service.quotes.shelf_count import count_of
from service.settings import Settings
from service.storage import Editions, Quotes, Shelves


def listed(settings: Settings) -> int:
    """Print one line per object. Raises SQLAlchemyError, WrongSchema, TableError."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        seed = engine_in_force(settings, store).catalogue.stock
        for row in Shelves(store).now(seed).rows:
            say(f"{row.id:<40} {row.wire:<34} {row.kind:<7} {row.count:>4} x {row.length / 1000:.4f} m")
    return 0


def count(settings: Settings, file: Path, *, sure: bool) -> int:
    """Replace the shelf's contents by what was counted, given in the layout of stock.csv. Raises Refused, TableError with every fault,
    SQLAlchemyError, OSError.
    """
    try:
        counted = file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        return refuse(f"{file} is not UTF-8: save it with that encoding.")
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        now = in_force(settings, Editions(store))
        seed, rows_counted = now.engine.catalogue.stock, _counted(settings, {**now.files, STOCK: counted}, file)
        before = len(Shelves(store).now(seed).rows)
        confirm(f"Replace the shelf, {before} rows, by the {len(rows_counted)} rows of {file}?", sure=sure)
        movement = count_of(Shelves(store), seed, rows_counted, MovementOrder(note=f"counted from {file.name}"))
    return say(f"{len(movement['added'])} rows counted; the shelf is at version {movement['version']}.")


def _counted(settings: Settings, files: Mapping[str, str], file: Path) -> tuple[StockRow, ...]:
    """The rows that were counted, checked against the tables in force. Raises TableError with every fault, those of the count under its file's name."""
    try:
        return engine_from(files, settings).catalogue.stock
    except TableError as error:
        raise TableError([replace(fault, file=str(file)) if fault.file == STOCK else fault for fault in error.faults]) from None
