"""Checks that need more than one cell: keys, references, rules of a family, prices. One check a function; CHECKS is the registry.

Each takes all sheets by table name and notes faults in the sheet that they belong to. A cell that could not be read is passed over here,
so that one mistake is told once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from itertools import pairwise, product
from typing import Any

from pricing.catalogue.cells import plain
from pricing.catalogue.reading import BAD, Sheet
from pricing.catalogue.schema import Rule
from pricing.catalogue.tables_prices import TERM_CELLS

Sheets = Mapping[str, Sheet]


def double_keys(sheets: Sheets) -> None:
    """No two rows of a table share the key; no two articles, of whatever table, a sku."""
    skus: dict[str, str] = {}
    for sheet in sheets.values():
        _no_double(sheet, sheet.table.key)
        if sheet.table.article:
            for line, sku, _ in sheet.cells("sku"):
                if sku in skus:
                    sheet.note(line, "sku", sku, f"a sku of its own: {skus[sku]} has it already")
                skus.setdefault(sku, f"{sheet.table.file} line {line}")


def _no_double(sheet: Sheet, key: tuple[str, ...]) -> None:
    if key == ("sku",):
        return  # told with the articles
    seen: dict[tuple[Any, ...], int] = {}
    for at, (line, values) in enumerate(_rows(sheet, key)):
        if BAD in values:
            continue
        if values in seen:
            found = " / ".join(sheet.text[name][at] for name in key)
            sheet.note(line, ", ".join(key), found, f"a row of its own: line {seen[values]} has the same")
        seen.setdefault(values, line)


def _rows(sheet: Sheet, columns: Iterable[str]) -> Iterable[tuple[int, tuple[Any, ...]]]:
    """(line, values) of the columns, for each row; nothing if the file lacks one of them."""
    wanted = [sheet.values.get(name) for name in columns]
    if any(values is None for values in wanted):
        return ()
    return zip(sheet.lines, zip(*(values for values in wanted if values is not None), strict=True), strict=True)


def references(sheets: Sheets) -> None:
    """Every value of a column that points into another table is found there."""
    for sheet in sheets.values():
        for column in sheet.table.columns:
            if column.to is not None:
                _found(sheet, column.name, column.to, sheets)


def _found(sheet: Sheet, name: str, to: tuple[str, str], sheets: Sheets) -> None:
    kind, key = to
    targets = [other for other in sheets.values() if (other.table.article if kind == "*" else other.table.kind == kind)]
    if not all(key in other.values for other in targets):
        return  # the missing file or column is told already
    known = {value for other in targets for value in other.values[key]}
    where = "an article of one of the tables" if kind == "*" else f"a {key} that {targets[0].table.file} has"
    for line, text, value in sheet.cells(name):
        missing = [one for one in (value if isinstance(value, tuple) else (value,)) if one not in known]
        if missing:
            sheet.note(line, name, text, where)


def family_rules(sheets: Sheets) -> None:
    """Columns that a family needs are filled, those that mean nothing for it are blank."""
    for sheet in sheets.values():
        for rule in sheet.table.rules:
            _apply(sheet, rule)


def _apply(sheet: Sheet, rule: Rule) -> None:
    for at, line in enumerate(sheet.lines):
        text = {name: column[at] for name, column in sheet.text.items()}
        if not rule.applies(text):
            continue
        because = " and ".join(f"{text[name]} {name}" if text[name] else f"no {name}" for name in rule.when)
        for name in rule.needs:
            if text.get(name) == "":
                sheet.note(line, name, "a blank cell", f"a value, since the row has {because}")
        for name in rule.leaves:
            if text.get(name):
                sheet.note(line, name, text[name], f"a blank cell, since the row has {because}")


def sizes_in_order(sheets: Sheets) -> None:
    """A hole is at least its pin, a ball more than its slot, and so on: `orders` of each table."""
    for sheet in sheets.values():
        for larger, smaller in sheet.table.orders:
            for at, (line, (big, small)) in enumerate(_rows(sheet, (larger, smaller))):
                if None not in (big, small) and BAD not in (big, small) and big < small:
                    sheet.note(line, larger, sheet.text[larger][at], f"at least the {smaller}, {sheet.text[smaller][at]}")


def compression_does_not_grow(sheets: Sheets) -> None:
    """A compression terminal's reach is as assembled: its growth is 0."""
    for line, (attachment, growth) in _rows(sheets["terminals"], ("attachment", "growth")):
        if attachment == "compression" and growth not in (None, BAD) and growth != 0:
            sheets["terminals"].note(line, "growth", f"{plain(growth)} mm", "0 mm for a compression terminal")


def complete_tables(sheets: Sheets) -> None:
    """Values that must occur (a tax row for every group, every term), and exactly one edition."""
    for sheet in sheets.values():
        if sheet.table.complete is not None and sheet.present:
            column, wanted = sheet.table.complete
            for value in wanted:
                if column in sheet.text and value not in sheet.text[column]:
                    sheet.note(0, column, "no row", f"a row whose {column} is {value}")
    edition = sheets["edition"]
    if edition.present and len(edition.lines) != 1:
        edition.note(0, "", f"{len(edition.lines)} rows", "exactly one row")


def labour_classes(sheets: Sheets) -> None:
    """The diameter classes of one operation do not overlap."""
    by_operation: dict[str, list[tuple[Any, Any, int]]] = defaultdict(list)
    for line, values in _rows(sheets["labour"], ("operation", "over", "up_to")):
        if BAD not in values:
            by_operation[values[0]].append((values[1], values[2], line))
    for classes in by_operation.values():
        ordered = sorted(classes)
        for (_, end, first), (over, _, line) in pairwise(ordered):
            if over < end:
                sheets["labour"].note(line, "over", f"{plain(over)} mm", f"at least {plain(end)} mm, where the class of line {first} ends")


def one_thimble_and_sleeve_a_size(sheets: Sheets) -> None:
    """A wire has one thimble and one sleeve: the look-up gives a single row."""
    for kind, columns in (("thimbles", ("wire_sizes",)), ("sleeves", ("wire_sizes", "constructions"))):
        seen: dict[tuple[Any, ...], int] = {}
        for at, (line, values) in enumerate(_rows(sheets[kind], columns)):
            wires = [] if BAD in values else list(product(*values))
            double = next((wire for wire in wires if wire in seen), None)
            if double is not None:
                sheets[kind].note(line, "wire_sizes", sheets[kind].text["wire_sizes"][at], f"wires that line {seen[double]} has not")
            seen.update((wire, line) for wire in wires if wire not in seen)


def priced_articles(sheets: Sheets) -> None:
    """Every article has a price, in its own unit, and each day's prices begin at a quantity of 0 or 1."""
    prices = sheets["prices"]
    priced = set(prices.text.get("sku", ()))
    unit_of: dict[str, str] = {}
    for sheet in sheets.values():
        if sheet.table.article and prices.present and "sku" in prices.text:
            for line, sku, _ in sheet.cells("sku"):
                unit_of[sku] = sheet.table.unit
                if sku not in priced:
                    sheet.note(line, "sku", sku, "an article with at least one row in prices.csv")
    for line, (sku, unit) in _rows(prices, ("sku", "unit")):
        if unit is not BAD and unit != unit_of.get(sku, unit):
            prices.note(line, "unit", unit, f"{unit_of[sku]}, in which this article is sold")


def first_breaks(sheets: Sheets) -> None:
    """The quantity breaks of one article and day include a row from 0 or 1 on."""
    prices = sheets["prices"]
    least: dict[tuple[Any, Any], tuple[Any, int]] = {}
    for line, (sku, day, quantity) in _rows(prices, ("sku", "from_day", "from_quantity")):
        if BAD not in (sku, day, quantity):
            least[sku, day] = min(least.get((sku, day), (quantity, line)), (quantity, line))
    for (sku, day), (quantity, line) in least.items():
        if quantity > 1:
            prices.note(line, "from_quantity", plain(quantity), f"a row of {sku} from a quantity of 0 or 1 for {day}")


def terms_read(sheets: Sheets) -> None:
    """Each term's value and unit read as that term must."""
    terms = sheets["terms"]
    for line, (key, value, unit) in _rows(terms, ("key", "value", "unit")):
        if BAD in (key, value, unit):
            continue
        cell, wanted = TERM_CELLS[key]
        if wanted is not None and unit != wanted:
            terms.note(line, "unit", unit or "a blank cell", wanted or "a blank cell")
        try:
            cell.read(f"{value} {unit}" if wanted is None else value)
        except ValueError:
            terms.note(line, "value", f"{value} {unit}".strip(), f"{cell.expected} (for {key})")


CHECKS: tuple[Callable[[Sheets], None], ...] = (
    double_keys, references, family_rules, sizes_in_order, compression_does_not_grow, complete_tables, labour_classes,
    one_thimble_and_sleeve_a_size, priced_articles, first_breaks, terms_read,
)  # fmt: skip
