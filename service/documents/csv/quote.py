"""A quote's lines and its bill of materials (CSV as `cells.py` writes it).

Numbers have a decimal point, no unit and no digit grouping. Text that a spreadsheet could take for a formula is prefixed with an
apostrophe. Control characters, which sheets cannot show, are left out. Assemblies on hold are in neither list.

Lines: a row for each priced line (`entry` is `line`), for each allowance (`allowance`, its `net` below zero) and charge on the document
(`charge`), with the reason as its `name`, and for each priced assembly (`assembly`): its share of the lines, which is in a column of its own, so that nothing is counted twice.

| column | meaning |
|---|---|
| `quote`, `revision` | the quote's number and which issue of it |
| `id`, `sku`, `name`, `note` | the line's number, its article, and how its quantity was determined |
| `group`, `rule` | wire, fitting, labour, waste, or extra for what the shop added by hand; the pricing rule that wrote it |
| `quantity`, `unit`, `unit_price` | m, each or hour; the price per unit before allowances |
| `amount` | quantity times price |
| `allowances`, `charges`, `reasons` | the sums subtracted from and added to the amount, and why |
| `net` | the amount less allowances plus charges, before tax; all rows together are the quote's total before tax |
| `tax_category`, `tax_rate` | UNCL5305 and per cent |
| `currency` | ISO 4217, of every amount in the row |
| `tag`, `assembly_price` | an assembly, and the cost of all its pieces before tax, without what is on the document; all assemblies add up to the net of the lines that are not extra |

Bill of materials: `quantity` in `unit` (m or each); `kept` is `yes` for the customer's own part, which is not priced.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import UNSET
from msgspec.structs import asdict

from pricing.model import Quote, Tax
from service.documents.csv.cells import csv_table
from service.documents.quoted import adjusted, reasons

Row = dict[str, object]
LINES = (
    "entry", "quote", "revision", "id", "sku", "name", "note", "group", "rule", "quantity", "unit", "unit_price",
    "amount", "allowances", "charges", "reasons", "net", "tax_category", "tax_rate", "currency", "tag", "assembly_price",
)  # fmt: skip
BILL = ("quote", "revision", "sku", "name", "quantity", "unit", "kept")
_NUMBERS = frozenset({"revision", "id", "quantity", "unit_price", "amount", "allowances", "charges", "net", "tax_rate", "assembly_price"})


def lines(quote: Quote) -> bytes:
    """The priced lines and the charges on the document; equal quotes give equal bytes."""
    return csv_table(LINES, _NUMBERS, _lines(quote))


def bill(quote: Quote) -> bytes:
    """The bill of materials; equal quotes give equal bytes."""
    rows = ({**asdict(row), "kept": "yes" if row.kept else "no", **_quote(quote)} for row in quote.bill_of_materials)
    return csv_table(BILL, _NUMBERS, rows)


def _quote(quote: Quote) -> Row:
    """Number and revision; a preview has none."""
    return {"quote": None if quote.number is UNSET else quote.number, "revision": None if quote.revision is UNSET else quote.revision}


def _lines(quote: Quote) -> Iterator[Row]:
    shared = {**_quote(quote), "currency": quote.currency}
    for line in quote.lines:
        sums = {"allowances": adjusted(line.allowances, quote.currency), "charges": adjusted(line.charges, quote.currency)}
        yield {"entry": "line", **shared, **asdict(line), **sums, "reasons": reasons(line), **_tax(line.tax)}
    for off in quote.allowances:
        yield {"entry": "allowance", **shared, "name": off.reason, "rule": off.rule, "net": -off.amount, **_tax(off.tax)}
    for charge in quote.charges:
        yield {"entry": "charge", **shared, "name": charge.reason, "rule": charge.rule, "net": charge.amount, **_tax(charge.tax)}
    for assembly in quote.assemblies:
        if assembly.price is not None:  # quotes of the first release have no price
            yield {
                "entry": "assembly",
                **shared,
                "tag": assembly.tag,
                "quantity": str(assembly.quantity),
                "assembly_price": assembly.price.net,
            }


def _tax(tax: Tax) -> Row:
    return {"tax_category": tax.category, "tax_rate": tax.rate}
