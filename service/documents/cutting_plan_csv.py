"""A cutting plan as a list for the bench (CSV as `cells.py` writes it), a row for each cut in cutting order.

Numbers (`*_mm`, `step`, `quantity`) have a point and no unit. A text that a spreadsheet could take for a formula has an apostrophe before it.
Control characters that no sheet can show are left out.

| column | meaning |
|---|---|
| `entry` | `cut`; `rest` after the last cut of a stock object; `unplanned` for pieces without a place, at the end of the list |
| `wire` | the wire's stock-keeping unit |
| `wire_name` | the wire's name |
| `stock_object` | the object to cut from; empty for `unplanned` |
| `source` | `new`, `opened` (spools) or `offcut` |
| `step` | the cut's place in the order of its wire, from 1; the number that the drawing shows |
| `boat`, `label`, `quote` | whose piece it is, the assembly's tag, the quote it belongs to; empty where there is none |
| `quantity` | 1 for a cut; the number of equal pieces for `unplanned` |
| `length_mm`, `length` | length of the piece or rest: mm, and text in the shop's units |
| `start_mm`, `start` | its first mark, from the end of the object as it was taken from stock |
| `end_mm`, `end` | its last mark, from the same end; the allowance of the cut lies between `end` and the next `start` |
| `outcome` | of a `rest`: `kept`, `goes to the customer`, `scrap`, or `nothing left`; of an `unplanned` row the plan's reason, such as `stock_exhausted` |
| `kept_as` | the id under which the rest goes back to stock |
| `remark` | of an `unplanned` row why there is no place, and what to do; of a rest that goes to the customer, who paid for it, that it does |
"""

from __future__ import annotations

from collections.abc import Iterator

from service.documents.cells import csv_table
from service.documents.cutting.folding import Document

COLUMNS = (
    "entry", "wire", "wire_name", "stock_object", "source", "step", "boat", "label", "quote", "quantity",
    "length_mm", "length", "start_mm", "start", "end_mm", "end", "outcome", "kept_as", "remark",
)  # fmt: skip
CUSTOMERS = "goes to the customer"
_NUMBERS = frozenset(name for name in COLUMNS if name.endswith("_mm")) | {"step", "quantity"}


def bench_list(document: Document) -> bytes:
    """The plan `document` as CSV; equal documents give equal bytes."""
    return csv_table(COLUMNS, _NUMBERS, _rows(document))


def _rows(document: Document) -> Iterator[Document]:
    for wire in document["wires"]:
        named = {"wire": wire["wire"]["sku"], "wire_name": wire["wire"]["name"]}
        for use in wire["uses"]:
            yield from ({**named, **row} for row in _object(use, wire.get("for_quote")))
    for wire in document["wires"]:
        named = {"wire": wire["wire"]["sku"], "wire_name": wire["wire"]["name"]}
        yield from ({**named, **_unplanned(row)} for row in wire["unplanned"])


def _object(use: Document, quote: str | None) -> Iterator[Document]:
    """The cuts of one stock object, then its rest."""
    taken = {"stock_object": use["object"], "source": use["source"]}
    for cut in use["cuts"]:
        asked = {name: cut[name] for name in ("step", "boat", "label", "quote")}
        yield {"entry": "cut", **taken, **asked, "quantity": 1, **_length("length", cut), **_length("start", cut), **_length("end", cut)}
    marks = {**_measure("length", use["rest"]), **_measure("start", use["used"]), **_measure("end", use["length"])}
    rest = {"entry": "rest", **taken, **marks, "outcome": _outcome(use), "kept_as": use["rest_id"]}
    yield {**rest, "quote": quote, "remark": "The customer paid for it."} if rest["outcome"] == CUSTOMERS else rest


def _outcome(use: Document) -> str:
    if not float(use["rest"]["mm"]):
        return "nothing left"
    return "kept" if use["rest_kept"] else CUSTOMERS if use.get("rest_goes_to") == "customer" else "scrap"


def _unplanned(row: Document) -> Document:
    asked = {name: row.get(name) for name in ("boat", "label", "quote", "quantity")}
    return {"entry": "unplanned", **asked, **_length("length", row), "outcome": row["reason"], "remark": row["message"]}


def _length(name: str, holder: Document) -> Document:
    return _measure(name, holder[name])


def _measure(name: str, length: Document) -> Document:
    return {f"{name}_mm": length["mm"], name: length["text"]}
