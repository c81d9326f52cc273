"""Shelf movements as documents, and stock counts, which need no plan and no request."""

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
    shelves: Shelves, seed: Rows, rows: Rows, said: MovementOrder, *, others_stay: bool = False, seen: int | None = None
) -> Document:
    """Replace the shelf's contents by what was counted, or with `others_stay` what it has under the ids that were counted. `seen`: the version
    of the shelf that was counted. Raises NotMoved.
    """
    found, named = tuple(row for row in rows if row.count), {row.id for row in rows}

    def change(before: Rows, _: Any) -> tuple[Rows, Document]:
        kept = tuple(row for row in before if others_stay and row.id not in named)
        removed = tuple((row, row.count) for row in before if row.count and not (others_stay and row.id not in named))
        return (*kept, *found), {**by(said), **document(Moved(removed, (), found, ()))}

    return shelves.move(COUNT, None, seed, change, seen)


def by(said: MovementOrder) -> Document:
    """Who made the movement."""
    return {"by": said.by, "note": said.note}


def document(moved: Moved) -> Document:
    """A movement as a document, as it is returned and stored."""
    return {
        "removed": [{**row_document(row), "count": many} for row, many in moved.removed],
        "bought": [_bought(spool, many) for spool, many in moved.bought],
        "added": [row_document(row) for row in moved.added],
        "kept_as": [{"remnant_id": remnant, "tag": tag} for remnant, tag in moved.kept_as],
    }


def row_document(row: StockRow) -> Document:
    """A row of the shelf as a document."""
    cells = {name: str(value) if isinstance(value, Decimal) else value for name, value in asdict(row).items()}
    touch = cells.pop("touch")
    return {**cells, "length": {"mm": cells["length"]}, "touch_cost": touch}


def _bought(spool: Spool, many: int) -> Document:
    return {"id": spool.id, "wire": spool.wire, "length": {"mm": str(spool.length)}, "price": str(spool.price), "count": many}


def of_document(said: Mapping[str, Any]) -> Moved:
    """The movement that a document describes."""
    return Moved(tuple((row := _read(each), row.count) for each in said["removed"]), (), tuple(map(_read, said["added"])), ())


def _read(cells: Mapping[str, Any]) -> StockRow:
    money = {name: None if cells[name] is None else Decimal(cells[name]) for name in ("price", "price_per_metre", "touch_cost")}
    return StockRow(
        id=cells["id"], wire=cells["wire"], kind=cells["kind"], length=Decimal(cells["length"]["mm"]), count=cells["count"],
        source=cells["source"], price=money["price"], price_per_metre=money["price_per_metre"], touch=money["touch_cost"],
    )  # fmt: skip
