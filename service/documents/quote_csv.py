"""A quote's lines and its bill of materials (CSV as `cells.py` writes it).

Numbers have a point, no unit and no grouping. A text that a spreadsheet could take for a formula has an apostrophe before it. Control
characters that no sheet can show are left out. Assemblies on hold are in neither list.

Lines: a row for each priced line (`entry` is `line`), for each charge on the document (`charge`), whose reason is its `name`, and for each
assembly that is priced (`assembly`): its share of the lines, which is in no other column, so that nothing is counted twice.

| column | meaning |
|---|---|
| `quote`, `revision` | the quote's number and which issue of it |
| `id`, `sku`, `name`, `note` | the line's number, its article, and how its quantity came about |
| `group`, `rule` | wire, fitting, labour or waste; the pricing rule that wrote it |
| `quantity`, `unit`, `unit_price` | m or each; the price of one before allowances |
| `amount` | quantity times price |
| `allowances`, `charges`, `reasons` | sums taken off the amount and added to it, and why |
| `net` | the amount less allowances plus charges, before tax; all rows together are the quote's total before tax |
| `tax_category`, `tax_rate` | UNCL5305 and per cent |
| `currency` | ISO 4217, of every amount in the row |
| `tag`, `assembly_price` | an assembly, and what all of its pieces together cost before tax, charges on the document aside; together the lines' net |

Bill of materials: `quantity` in `unit` (m or each); `kept` is `yes` for the customer's own part, which is not priced.
"""

from __future__ import annotations

from collections.abc import Iterator

from service.documents.cells import csv_table
from service.documents.quoted import Document, adjusted, reasons

LINES = (
    "entry", "quote", "revision", "id", "sku", "name", "note", "group", "rule", "quantity", "unit", "unit_price",
    "amount", "allowances", "charges", "reasons", "net", "tax_category", "tax_rate", "currency", "tag", "assembly_price",
)  # fmt: skip
BILL = ("quote", "revision", "sku", "name", "quantity", "unit", "kept")
_NUMBERS = frozenset({"revision", "id", "quantity", "unit_price", "amount", "allowances", "charges", "net", "tax_rate", "assembly_price"})


def lines(document: Document) -> bytes:
    """The priced lines and the charges on the document; equal documents give equal bytes."""
    return csv_table(LINES, _NUMBERS, _lines(document))


def bill(document: Document) -> bytes:
    """The bill of materials; equal documents give equal bytes."""
    rows = ({**row, "kept": "yes" if row["kept"] else "no", **_quote(document)} for row in document["bill_of_materials"])
    return csv_table(BILL, _NUMBERS, rows)


def _quote(document: Document) -> Document:
    return {"quote": document.get("number"), "revision": document.get("revision")}


def _lines(document: Document) -> Iterator[Document]:
    shared = {**_quote(document), "currency": document["currency"]}
    for line in document["lines"]:
        sums = {name: adjusted(line[name], document["currency"]) for name in ("allowances", "charges")}
        yield {"entry": "line", **shared, **line, **sums, "reasons": reasons(line), **_tax(line)}
    for charge in document["charges"]:
        yield {"entry": "charge", **shared, "name": charge["reason"], "rule": charge["rule"], "net": charge["amount"], **_tax(charge)}
    for assembly in document["assemblies"]:
        if price := assembly.get("price"):  # quotes of the first release have none
            yield {
                "entry": "assembly",
                **shared,
                "tag": assembly["tag"],
                "quantity": str(assembly["quantity"]),
                "assembly_price": price["net"],
            }


def _tax(taxed: Document) -> Document:
    return {"tax_category": taxed["tax"]["category"], "tax_rate": taxed["tax"]["rate"]}
