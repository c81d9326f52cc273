"""Checks on purchases: amounts in the article's own unit, costs in the shop's currency, and one supplier to order from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import NamedTuple

from pricing.catalogue.reading import BAD, Sheet, Sheets
from pricing.rows import Amount

AMOUNTS = ("pack_size", "minimum_order", "reorder_below")
_WORDS = {
    "m": "a length, since wire is bought by length",
    "each": "a number of pieces such as '10 each', since the article is bought by the piece",
}


def purchase_units(sheets: Sheets) -> None:
    """Wire is bought by length and everything else by the piece; only wire has stock that could run low."""
    sheet = sheets["purchases"]
    wires = set(sheets["wires"].values.get("sku", ()))
    by_metre = {sku for _, (sku, unit) in sheets["sold_only"].rows(("sku", "unit")) if unit == "m"}
    articles = {sku for each in sheets.values() if each.table.article for sku in each.values.get("sku", ())}
    for at, sku in enumerate(sheet.values.get("sku", ())):
        if sku not in articles:
            continue  # reported as unknown
        unit = "m" if sku in wires or sku in by_metre else "each"
        for column in AMOUNTS:
            value = sheet.values[column][at] if column in sheet.values else None
            if not isinstance(value, Amount):
                continue
            if column == "reorder_below" and sku not in wires:
                sheet.note(sheet.lines[at], column, sheet.text[column][at], "a blank cell: stock is kept of wire alone")
            elif value.unit != unit:
                sheet.note(sheet.lines[at], column, sheet.text[column][at], _WORDS[unit])


def purchase_currency(sheets: Sheets) -> None:
    """Costs are in the shop's currency: nothing is converted."""
    codes = {value for _, (key, value) in sheets["terms"].rows(("key", "value")) if key == "currency"}
    for line, text, value in sheets["purchases"].cells("currency"):
        if codes and value not in codes:
            shops = " or ".join(sorted(codes))
            sheets["purchases"].note(
                line, "currency", text, f"{shops}, the shop's own, or a blank cell: costs in another currency are not converted"
            )


class _Offer(NamedTuple):
    at: int
    supplier: str
    order_number: str
    from_day: date
    until: date | None
    preferred: bool
    reorder_below: Amount | None


def suppliers_decided(sheets: Sheets) -> None:
    """On any day an article has one supplier to order from and one reorder level, and no row ends before it begins."""
    sheet = sheets["purchases"]
    columns = ("supplier", "order_number", "from_day", "until", "preferred", "reorder_below")
    if not all(name in sheet.values for name in (*columns, "sku")):
        return
    by_sku: dict[str, list[_Offer]] = {}
    for at, cells in enumerate(zip(*(sheet.values[name] for name in columns), strict=True)):
        if BAD in cells or sheet.values["sku"][at] is BAD:
            continue
        supplier, number, day, until, preferred, below = cells
        if until is not None and until < day:
            sheet.note(sheet.lines[at], "until", sheet.text["until"][at], f"{day} or a later day, since the row counts from then")
        by_sku.setdefault(sheet.values["sku"][at], []).append(_Offer(at, supplier, number, day, until, preferred == "yes", below))
    for sku, offers in by_sku.items():
        noted: set[tuple[int, str]] = set()
        for day in sorted({day for each in offers for day in _days(each)}):
            for at, column, expected in _undecided(sku, day, list(_in_force(offers, day))):
                if (at, column) not in noted:
                    noted.add((at, column))
                    sheet.note(sheet.lines[at], column, _text(sheet, column, at), expected)


def _days(offer: _Offer) -> Iterator[date]:
    """The days on which a row changes what is in force: its first day, and the day after its last."""
    yield offer.from_day
    if offer.until is not None and offer.until < date.max:
        yield offer.until + timedelta(days=1)


def _text(sheet: Sheet, column: str, at: int) -> str:
    return sheet.text[column][at] or "a blank cell"


def _in_force(offers: Iterable[_Offer], day: date) -> Iterator[_Offer]:
    newest: dict[tuple[str, str], _Offer] = {}
    for each in offers:
        key = each.supplier, each.order_number
        if each.from_day <= day and (key not in newest or newest[key].from_day < each.from_day):
            newest[key] = each
    return (each for each in newest.values() if each.until is None or each.until >= day)


def _undecided(sku: str, day: date, offers: list[_Offer]) -> Iterator[tuple[int, str, str]]:
    suppliers = list(dict.fromkeys(each.supplier for each in offers))
    chosen = list(dict.fromkeys(each.supplier for each in offers if each.preferred))
    if len(suppliers) > 1 and not chosen:
        yield offers[-1].at, "preferred", f"yes in the rows of one of {', '.join(suppliers)}, who all sell {sku} on {day}"
    if len(chosen) > 1:
        late = next(each for each in reversed(offers) if each.preferred)
        yield late.at, "preferred", f"yes for one supplier of {sku} alone on {day}, not for {' and '.join(chosen)}"
    below = list(dict.fromkeys(each.reorder_below for each in offers if each.reorder_below is not None))
    if len(below) > 1:
        late = next(each for each in reversed(offers) if each.reorder_below == below[-1])
        yield late.at, "reorder_below", f"the same length in all rows of {sku} on {day}, or blank cells in all but one"
