"""Movements of the shelf as documents, and a count of it, which needs no plan and no request."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal
from typing import Any

from pricing.bench.taking import Moved
from pricing.catalogue.rows import Spool, StockRow
from service.life.said import Taking
from service.storage import Shelves

Document = dict[str, Any]
Rows = tuple[StockRow, ...]


def count_of(shelves: Shelves, seed: Rows, rows: Rows, said: Taking) -> Document:
    """Replace the shelf by what was counted."""
    found = tuple(row for row in rows if row.count)

    def change(before: Rows, _: Any) -> tuple[Rows, Document]:
        out = tuple((row, row.count) for row in before if row.count)
        return found, {**by(said), **document(Moved(out, (), found, ()))}

    return shelves.move("counted", None, seed, change)


def by(said: Taking) -> Document:
    """Who moved it."""
    return {"by": said.by, "note": said.note}


def document(moved: Moved) -> Document:
    """A movement as it is answered and kept."""
    return {
        "out": [{**row_document(row), "count": many} for row, many in moved.out],
        "bought": [_bought(spool, many) for spool, many in moved.bought],
        "came": [row_document(row) for row in moved.came],
        "kept_as": [{"rest_id": rest, "tag": tag} for rest, tag in moved.kept_as],
    }


def row_document(row: StockRow) -> Document:
    """A row of the shelf."""
    cells = {name: str(value) if isinstance(value, Decimal) else value for name, value in asdict(row).items()}
    return {**cells, "length": {"mm": cells["length"]}}


def _bought(spool: Spool, many: int) -> Document:
    return {"id": spool.id, "wire": spool.wire, "length": {"mm": str(spool.length)}, "price": str(spool.price), "count": many}


def of_document(said: Mapping[str, Any]) -> Moved:
    """The movement that was answered so."""
    return Moved(tuple((row := _read(each), row.count) for each in said["out"]), (), tuple(map(_read, said["came"])), ())


def _read(cells: Mapping[str, Any]) -> StockRow:
    money = {name: None if cells[name] is None else Decimal(cells[name]) for name in ("price", "price_per_metre", "touch")}
    return StockRow(
        id=cells["id"], wire=cells["wire"], kind=cells["kind"], length=Decimal(cells["length"]["mm"]), count=cells["count"],
        source=cells["source"], **money,
    )  # fmt: skip
