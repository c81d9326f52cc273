"""Stock movements as JSON, and stock counts, which also the command line makes: no HTTP request is needed here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal
from typing import Any

from pricing.rows import Spool, StockRow
from pricing.stock.movements import Moved
from service.lifecycle.actions import MovementOrder
from service.storage import Shelves
from service.storage.shelves import COUNT

Document = dict[str, Any]
Rows = tuple[StockRow, ...]


def count_of(
    shelves: Shelves, seed: Rows, rows: Rows, order: MovementOrder, *, others_stay: bool = False, seen: int | None = None
) -> Document:
    """Replace the shelf's contents by the counted rows; with `others_stay`, only the rows with the same ids. `seen`: the version of the shelf
    when it was counted. Returns the movement. Raises NotMoved.
    """
    found, named = tuple(row for row in rows if row.count), {row.id for row in rows}

    def change(before: Rows, _: Any) -> tuple[Rows, Document]:
        kept = tuple(row for row in before if others_stay and row.id not in named)
        removed = tuple((row, row.count) for row in before if row.count and not (others_stay and row.id not in named))
        return (*kept, *found), {**by(order), **document(Moved(removed, (), found, ()))}

    return shelves.move(COUNT, None, seed, change, seen)


def by(order: MovementOrder) -> Document:
    """The fields of a movement that say who made it, and the note."""
    return {"by": order.by, "note": order.note}


def document(moved: Moved) -> Document:
    """A movement as JSON, as it is returned and stored."""
    return {
        "removed": [{**row_document(row), "count": many} for row, many in moved.removed],
        "bought": [_bought(spool, many) for spool, many in moved.bought],
        "added": [row_document(row) for row in moved.added],
        "kept_as": [{"remnant_id": remnant, "tag": tag} for remnant, tag in moved.kept_as],
    }


def row_document(row: StockRow) -> Document:
    """A row of the shelf as JSON."""
    cells = {name: str(value) if isinstance(value, Decimal) else value for name, value in asdict(row).items()}
    touch = cells.pop("touch")
    return {**cells, "length": {"mm": cells["length"]}, "touch_cost": touch}


def _bought(spool: Spool, many: int) -> Document:
    return {"id": spool.id, "wire": spool.wire, "length": {"mm": str(spool.length)}, "price": str(spool.price), "count": many}


def of_document(movement: Mapping[str, Any]) -> Moved:
    """The movement that its JSON describes."""
    return Moved(tuple((row := _read(each), row.count) for each in movement["removed"]), (), tuple(map(_read, movement["added"])), ())


def _read(cells: Mapping[str, Any]) -> StockRow:
    money = {name: None if cells[name] is None else Decimal(cells[name]) for name in ("price", "price_per_metre", "touch_cost")}
    return StockRow(
        id=cells["id"], wire=cells["wire"], kind=cells["kind"], length=Decimal(cells["length"]["mm"]), count=cells["count"],
        source=cells["source"], price=money["price"], price_per_metre=money["price_per_metre"], touch=money["touch_cost"],
    )  # fmt: skip
