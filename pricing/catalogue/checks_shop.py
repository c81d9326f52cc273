"""Checks that a shop can sell from these tables: every article is priced, every term is present, and classes do not overlap."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise, product
from typing import Any

from pricing.catalogue.cells import plain
from pricing.catalogue.checks_parts import last_day, succeeds, unless_succeeding
from pricing.catalogue.reading import BAD, Sheets
from pricing.catalogue.tables import COUNTED_BY
from pricing.catalogue.tables_prices import MAY_BE_BLANK, TERM_CELLS
from pricing.nearest import nearest
from pricing.rows import OPERATIONS


def complete_tables(sheets: Sheets) -> None:
    """Required values are present (a tax row for every group, every term), and there is exactly one edition."""
    for sheet in sheets.values():
        if sheet.table.complete is not None and sheet.present:
            column, wanted = sheet.table.complete
            for value in wanted:
                if column in sheet.values and value not in sheet.values[column]:
                    sheet.note(0, column, "no row", f"a row whose {column} is {value}")
    edition = sheets["edition"]
    if edition.present and len(edition.lines) != 1:
        edition.note(0, "", f"{len(edition.lines)} rows", "exactly one row")


def labour_classes(sheets: Sheets) -> None:
    """The diameter classes of an operation do not overlap. The shop's own kinds of work have no classes."""
    by_operation: dict[str, list[tuple[Any, Any, int]]] = defaultdict(list)
    for line, values in sheets["labour"].rows(("operation", "over", "up_to")):
        if BAD not in values and None not in values:
            by_operation[values[0]].append((values[1], values[2], line))
    for classes in by_operation.values():
        ordered = sorted(classes)
        for (_, end, first), (over, _, line) in pairwise(ordered):
            if over < end:
                sheets["labour"].note(line, "over", f"{plain(over)} mm", f"at least {plain(end)} mm, where the class of line {first} ends")


def labour_kinds(sheets: Sheets) -> None:
    """An operation unknown to the engine is one of the shop's own kinds of work, and must say what it is counted by."""
    for line, (operation, counted_by) in sheets["labour"].rows(("operation", "counted_by")):
        if operation is not BAD and operation not in OPERATIONS and counted_by is None:
            meant = nearest(operation, OPERATIONS)
            found = f"{operation}, not counted by anything" + (f" (did you mean {meant}?)" if meant else "")
            words = f"counted_by {', '.join(COUNTED_BY)} beside it, if it is a kind of work of your own; what the engine counts is {', '.join(OPERATIONS)}"
            sheets["labour"].note(line, "operation", found, words)


def one_for_each_wire(sheets: Sheets) -> None:
    """Each wire has only one thimble, one sleeve, one cone and one backing plate on a day, since the look-up returns a single row."""
    materials = {each for each in sheets["wires"].values.get("material", ()) if each is not BAD}
    for kind, columns in (
        ("thimbles", ("wire_sizes", "materials")), ("sleeves", ("wire_sizes", "constructions", "materials")), ("cones", ("wire_sizes", "constructions")),
        ("backing_plates", ("wire_sizes",)),
    ):  # fmt: skip
        seen: dict[tuple[Any, ...], tuple[int, Any]] = {}
        for at, (line, values) in enumerate(sheets[kind].rows(columns)):
            until = last_day(sheets[kind], at)
            wires = [] if BAD in values else list(product(*(materials if value is None else value for value in values)))
            double = next((wire for wire in wires if wire in seen and not succeeds(until, seen[wire][1])), None)
            if double is not None:
                words = f"wires that line {seen[double][0]} has not{unless_succeeding(sheets[kind])}"
                sheets[kind].note(line, "wire_sizes", sheets[kind].text["wire_sizes"][at], words)
            seen.update((wire, (line, until)) for wire in wires if wire not in seen or succeeds(until, seen[wire][1]))


def priced_articles(sheets: Sheets) -> None:
    """Every article has a price in its own unit."""
    prices = sheets["prices"]
    by_hour = {sku for _, (sku, by) in sheets["labour"].rows(("sku", "counted_by")) if by == "hour"}
    priced = set(prices.text.get("sku", ()))
    unit_of: dict[str, str] = {}
    for sheet in sheets.values():
        if sheet.table.article and prices.present and "sku" in prices.text:
            own = sheet.values.get("unit")  # only-sold articles name their own unit
            for at, (line, (sku,)) in enumerate(sheet.rows(("sku",))):
                if sku is BAD or not sku:
                    continue
                unit_of[sku] = "hour" if sku in by_hour else sheet.table.unit if own is None else own[at]
                if sku not in priced:
                    sheet.note(line, "sku", sku, "an article with at least one row in prices.csv")
    for line, (sku, unit) in prices.rows(("sku", "unit")):
        if BAD not in (unit, unit_of.get(sku)) and unit != unit_of.get(sku, unit):
            prices.note(line, "unit", unit, f"{unit_of[sku]}, in which this article is sold")


def first_breaks(sheets: Sheets) -> None:
    """The quantity breaks of each article and day start at a quantity of 0 or 1."""
    prices = sheets["prices"]
    least: dict[tuple[Any, Any], tuple[Any, int]] = {}
    unclear: set[Any] = set()
    for line, (sku, day, quantity) in prices.rows(("sku", "from_day", "from_quantity")):
        if BAD in (sku, day, quantity):
            unclear.add(sku)
        else:
            least[sku, day] = min(least.get((sku, day), (quantity, line)), (quantity, line))
    for (sku, day), (quantity, line) in least.items():
        if quantity > 1 and sku not in unclear:
            prices.note(line, "from_quantity", plain(quantity), f"a row of {sku} from a quantity of 0 or 1 for {day}")


def terms_read(sheets: Sheets) -> None:
    """Each term's value and unit are of the type that the term requires."""
    terms = sheets["terms"]
    for line, (key, value, unit) in terms.rows(("key", "value", "unit")):
        if BAD in (key, value, unit):
            continue
        cell, wanted = TERM_CELLS[key]
        if not value and key in MAY_BE_BLANK and not unit:
            continue
        if wanted is not None and unit != wanted:
            terms.note(line, "unit", unit or "a blank cell", wanted or "a blank cell")
        if not value:
            terms.note(line, "value", "a blank cell", f"{cell.expected} (for {key})")
            continue
        try:
            cell.read(f"{value} {unit}" if wanted is None else value)
        except ValueError:
            terms.note(line, "value", f"{value} {unit}".strip(), f"{cell.expected} (for {key})")
