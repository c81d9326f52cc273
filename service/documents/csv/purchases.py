"""What to buy, as a list (CSV as `cells.py` writes it), one row an article to order, by supplier.

Headings and the codes under `entry` and `reasons` are names for programs. Numbers have a decimal point and no unit; quantities are metres of wire, else pieces.

| column | meaning |
|---|---|
| `entry` | `order`; `without_supplier` for an article that nobody sells; `without_a_place` for pieces of wire that no shelf and no reel holds; `left_out` for pieces that may not be cut, or are cut already; `ended` for a quote of which nothing is bought; `wire` for what is left of a wire |
| `supplier`, `order_number` | from whom, and the supplier's own number |
| `sku`, `name`, `unit` | the article; `m` or `each` |
| `reasons` | `quotes`, `low_stock`, or both |
| `needed`, `off_shelf` | for the quotes, and what of it the shelf has |
| `pack_size`, `packs`, `quantity` | whole packs, and what they hold; without a supplier, what is to be bought |
| `unit_cost`, `cost`, `currency` | of a metre or piece, and of all packs |
| `lead_time_days`, `needed_by`, `order_by`, `late` | calendar days; the day of the earliest promise; the last day to order; `yes` if that is over |
| `quotes` | the numbers of those that need it |
| `left`, `reorder_below` | of a wire: metres on the shelf once the quotes are cut, and below which the shop reorders |
| `label` | of pieces: the assembly's tag |
| `remark` | what else there is to know |
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from service.documents.csv.cells import csv_table

COLUMNS = (
    "entry", "supplier", "order_number", "sku", "name", "unit", "reasons", "needed", "off_shelf", "pack_size", "packs", "quantity", "unit_cost", "cost", "currency",
    "lead_time_days", "needed_by", "order_by", "late", "quotes", "left", "reorder_below", "label", "remark",
)  # fmt: skip
_NUMBERS = frozenset(
    {"needed", "off_shelf", "pack_size", "packs", "quantity", "unit_cost", "cost", "lead_time_days", "left", "reorder_below"}
)
Document = Mapping[str, Any]


def purchases(document: Document) -> bytes:
    """The list as CSV; equal documents give equal bytes."""
    return csv_table(COLUMNS, _NUMBERS, _rows(document))


def _rows(document: Document) -> Iterator[Document]:
    for order in document["suppliers"]:
        for line in order["lines"]:
            late = "yes" if line["late"] else "no"
            head = {"entry": "order", "supplier": order["supplier"], "currency": document["currency"], "remark": line["note"]}
            yield {**line, **_lists(line), **head, "late": late}
    for line in document["without_supplier"]:
        reels = ", ".join(f"{each['count']} x {each['metres']} m" for each in line["reels"])
        yield {**line, **_lists(line), "entry": "without_supplier", "quantity": line["to_buy"], "remark": reels}
    for piece in document["without_a_place"]:
        named = {"sku": piece["sku"], "unit": "each", "quantity": piece["quantity"], "quotes": piece["quote"], "label": piece["label"]}
        yield {"entry": "without_a_place", **named, "remark": f"{piece['length']['mm']} mm. {piece['message']}"}
    for piece in document["left_out"]:
        named = {"quantity": piece["quantity"], "quotes": piece["quote"], "label": piece["label"]}
        yield {"entry": "left_out", "unit": "each", **named, "remark": piece["message"]}
    for quote in document["ended"]:
        yield {"entry": "ended", "quotes": quote["number"], "remark": quote["status"]}
    for wire in document["wires"]:
        yield {**wire, "entry": "wire", "unit": "m", "reasons": "low_stock" if wire["low"] else ""}


def _lists(line: Document) -> Document:
    return {"reasons": " ".join(line["reasons"]), "quotes": " ".join(line["quotes"])}
