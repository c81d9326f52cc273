"""A cutting plan as a list for the bench (CSV as `cells.py` writes it), one row per cut, in cutting order.

Headings and the codes under `entry`, `source` and `outcome` are names for programs, the same in every language; `wire_name`, `length`, `start`,
`end` and `remark` are in the language asked for. Numbers (`*_mm`, `step`, `quantity`) have a decimal point and no unit. Text that a spreadsheet could take for a formula is prefixed with an
apostrophe. Control characters, which sheets cannot show, are left out.

| column | meaning |
|---|---|
| `entry` | `cut`; `remnant` after the last cut of a stock object; at the end of the list `unplanned` for pieces without a place, `left_out` for pieces that may not be cut, or are cut already |
| `wire` | the wire's stock-keeping unit |
| `wire_name` | the wire's name |
| `stock_object` | the object to cut from; empty for `unplanned` |
| `source` | `new`, `opened` (spools) or `offcut` |
| `step` | the cut's position in the order of its wire, from 1; the same number as in the drawing |
| `boat`, `label`, `quote` | the piece's boat, the assembly's tag, the quote it belongs to; empty if there is none |
| `quantity` | 1 for a cut; the number of equal pieces for `unplanned` |
| `length_mm`, `length` | length of the piece or remnant: mm, and text in the shop's units |
| `start_mm`, `start` | its first mark, from the end of the object as it was taken from stock |
| `end_mm`, `end` | its last mark, from the same end; the allowance of the cut lies between `end` and the next `start` |
| `outcome` | for a `remnant`: `kept`, `goes to the customer`, `scrap`, or `nothing left`; for an `unplanned` or `left_out` row, the plan's reason, such as `stock_exhausted` or `not_ready` |
| `kept_as` | the id under which the remnant goes back to stock |
| `remark` | for an `unplanned` or `left_out` row, why, and what to do; for a remnant, that it goes to the customer, who has paid for it |
"""

from __future__ import annotations

from collections.abc import Iterator

from pricing.stock.sentences import retold_left_out, retold_why
from service.documents.csv.cells import csv_table
from service.documents.cutting_plan import words
from service.documents.cutting_plan.folding import Document
from service.documents.speech import Speech, speech_in

COLUMNS = (
    "entry", "wire", "wire_name", "stock_object", "source", "step", "boat", "label", "quote", "quantity",
    "length_mm", "length", "start_mm", "start", "end_mm", "end", "outcome", "kept_as", "remark",
)  # fmt: skip
CUSTOMERS = "goes to the customer"
_NUMBERS = frozenset(name for name in COLUMNS if name.endswith("_mm")) | {"step", "quantity"}


def bench_list(document: Document, language: str = "en") -> bytes:
    """The plan `document` as CSV; equal documents give equal bytes."""
    return csv_table(COLUMNS, _NUMBERS, _rows(document, speech_in(language, document["display_units"])))


def _rows(document: Document, speech: Speech) -> Iterator[Document]:
    for wire in document["wires"]:
        for use in wire["uses"]:
            yield from ({**_named(wire, speech), **row} for row in _object(use, wire.get("for_quote"), speech))
    for wire in document["wires"]:
        yield from ({**_named(wire, speech), **_unplanned(row, speech)} for row in wire["unplanned"])
    for row in document.get("left_out", ()):
        asked = {name: row[name] for name in ("label", "quote", "quantity")}
        yield {"entry": "left_out", **asked, "outcome": row["reason"], "remark": retold_left_out(row, speech.shop)}


def _named(wire: Document, speech: Speech) -> Document:
    return {"wire": wire["wire"]["sku"], "wire_name": speech.named(wire["wire"]["name"])}


def _object(use: Document, quote: str | None, speech: Speech) -> Iterator[Document]:
    """The cuts of one stock object, then its remnant."""
    taken = {"stock_object": words.object_name(use, quote, speech), "source": use["source"]}
    for cut in use["cuts"]:
        asked = {name: cut[name] for name in ("step", "boat", "label", "quote")}
        yield {"entry": "cut", **taken, **asked, "quantity": 1, **_lengths(cut, speech)}
    marks = _lengths({"length": use["remnant"], "start": use["used"], "end": use["length"]}, speech)
    remnant = {"entry": "remnant", **taken, **marks, "outcome": _outcome(use), "kept_as": use["remnant_id"]}
    yield {**remnant, "quote": quote, "remark": speech.say("The customer paid for it.")} if remnant["outcome"] == CUSTOMERS else remnant


def _outcome(use: Document) -> str:
    if not float(use["remnant"]["mm"]):
        return "nothing left"
    return "kept" if use["remnant_kept"] else CUSTOMERS if use.get("remnant_goes_to") == "customer" else "scrap"


def _unplanned(row: Document, speech: Speech) -> Document:
    asked = {name: row.get(name) for name in ("boat", "label", "quote", "quantity")}
    return {
        "entry": "unplanned",
        **asked,
        **_measure("length", row["length"], speech),
        "outcome": row["reason"],
        "remark": retold_why(row, speech.shop),
    }


def _lengths(holder: Document, speech: Speech) -> Document:
    return {key: value for name in ("length", "start", "end") for key, value in _measure(name, holder[name], speech).items()}


def _measure(name: str, length: Document, speech: Speech) -> Document:
    return {f"{name}_mm": length["mm"], name: speech.local(length["text"])}
