"""Stock counts sent to the API. They follow the rules of the stock table, and are refused if the shelf has changed since it was counted."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pricing.errors import TableError
from pricing.rows import StockRow, Wire
from service.computing import asking
from service.engine.catalogues import files_of
from service.engine.engine import folder_of
from service.engine.tables import STOCK
from service.http.current import engine, settings, shelves, store
from service.http.problems import Problem, fault
from service.lifecycle.actions import MovementOrder
from service.quotes.shelf_count import count_of
from service.schemas.stock import KEPT, CountOrder
from service.storage import Editions, NotMoved

Document = dict[str, Any]


def counted(order: CountOrder) -> Document:
    """Replace the shelf's contents by the count. Returns the movement. Raises Problem: 409 if the shelf has changed since, 422 with every
    fault.
    """
    rows = _known(order.rows) if order.file is None else _of_file(order.file)
    movement_order, seed = MovementOrder(order.by, order.note), engine().catalogue.stock
    try:
        return count_of(shelves(), seed, rows, movement_order, others_stay=order.others == KEPT, seen=order.seen)
    except NotMoved as error:
        raise Problem(409, str(error), [fault("#/seen", error.code, str(error))]) from None


def _of_file(text: str) -> tuple[StockRow, ...]:
    try:
        return asking.counted_rows(_files(), text)
    except TableError as error:
        raise Problem(422, "The file cannot be used; each fault is listed with its line and column. Nothing was counted.", [
            {**fault("#/file", "faulty_tables", str(each)), **({"line": each.line} if each.line else {}), **({"column_name": each.column[:120]} if each.column else {})}
            for each in error.faults
        ]) from None  # fmt: skip


def _files() -> dict[str, str]:
    """The tables in force, against which a stock file is checked; those of the configured folder if the edition is not stored."""
    kept = Editions(store()).content(engine().key)
    return files_of(folder_of(settings())) if kept is None else {name: text for name, text in kept.items() if name != STOCK}


def _known(rows: tuple[StockRow, ...]) -> tuple[StockRow, ...]:
    if faults := list(_faults(rows)):
        raise Problem(422, "The count cannot be used; each fault is listed. Nothing was counted.", faults)
    return rows


def _faults(rows: tuple[StockRow, ...]) -> Iterator[dict[str, object]]:
    """Faults that need the other tables: a wire that is not in the catalogue, or an id that belongs to a spool for sale."""
    articles, sold = engine().catalogue.index.article, {each.id for each in engine().catalogue.tables.spools}
    for place, row in enumerate(rows):
        if not isinstance(articles.get(row.wire), Wire):
            yield fault(f"#/rows/{place}/wire", "unknown_wire", f"{row.wire!r} is not a wire in the tables in force: send the wire's SKU")
        if row.id in sold:
            words = f"{row.id!r} is the id of a spool for sale in the table of spools: give what is on the shelf an id of its own"
            yield fault(f"#/rows/{place}/id", "id_of_a_spool", words)
