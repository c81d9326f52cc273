"""Checks within rows and on their references: unique keys, references, columns a family requires, and sizes in order."""

from __future__ import annotations

from typing import Any

from pricing.catalogue.cells import plain
from pricing.catalogue.reading import BAD, Sheet, Sheets
from pricing.catalogue.schema import Rule


def double_keys(sheets: Sheets) -> None:
    """No two rows of a table share a key, and no two articles share a SKU, even across tables."""
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
        return  # reported with the articles
    seen: dict[tuple[Any, ...], tuple[int, Any]] = {}
    for at, (line, values) in enumerate(sheet.rows(key)):
        if BAD in values:
            continue
        until = last_day(sheet, at)
        if values in seen and not succeeds(until, seen[values][1]):
            key_text = " / ".join(sheet.text[name][at] for name in key)
            sheet.note(line, ", ".join(key), key_text, f"a row of its own: line {seen[values][0]} has the same{unless_succeeding(sheet)}")
        else:
            seen[values] = line, until


def last_day(sheet: Sheet, at: int) -> Any:
    """The last day on which a row's article is sold; None if there is none."""
    return sheet.values["until"][at] if "until" in sheet.values and sheet.table.ends else None


def succeeds(until: Any, before: Any) -> bool:
    """Whether a row with the last day `until` succeeds an earlier row with the last day `before`, so that only one is sold on any day."""
    return before is not None and BAD not in (until, before) and (until is None or until > before)


def unless_succeeding(sheet: Sheet) -> str:
    """An addition to the fault of two rows with one key, for tables with last days: the later row does not succeed the earlier."""
    return "" if "until" in sheet.lacks or not sheet.table.ends else ", and its last day is not before this one's"


def references(sheets: Sheets) -> None:
    """Every value in a reference column exists in the table it refers to."""
    for sheet in sheets.values():
        for column in sheet.table.columns:
            if column.to is not None:
                _check_reference(sheet, column.name, column.to, sheets)


def _check_reference(sheet: Sheet, name: str, to: tuple[str, str], sheets: Sheets) -> None:
    kind, key = to
    targets = [other for other in sheets.values() if (other.table.article if kind == "*" else other.table.kind == kind)]
    if not all(key in other.values for other in targets):
        return  # a missing file or column has already been reported
    known = {value for other in targets for value in other.values[key]}
    if BAD in known:
        return  # an unreadable cell may hold the value being looked for
    where = "an article of one of the tables" if kind == "*" else f"a {key} that {targets[0].table.file} has"
    for line, text, value in sheet.cells(name):
        missing = [one for one in (value if isinstance(value, tuple) else (value,)) if one not in known]
        if missing:
            sheet.note(line, name, text, where)


def family_rules(sheets: Sheets) -> None:
    """Columns that a family requires are filled, and those that do not apply to it are blank."""
    for sheet in sheets.values():
        for rule in sheet.table.rules:
            _check_rule(sheet, rule)


def _check_rule(sheet: Sheet, rule: Rule) -> None:
    if not all(name in sheet.text for name in rule.when):
        return
    when = [(sheet.text[name], frozenset(texts)) for name, texts in rule.when.items()]
    for at, line in enumerate(sheet.lines):
        if not all(column[at] in texts for column, texts in when):
            continue
        text = {name: column[at] for name, column in sheet.text.items()}
        because = " and ".join(f"{text[name]} {name}" if text[name] else f"no {name}" for name in rule.when)
        for name in rule.needs:
            if text.get(name) == "":
                sheet.note(line, name, "a blank cell", f"a value, since the row has {because}")
        for name in rule.leaves:
            if text.get(name):
                sheet.note(line, name, text[name], f"a blank cell, since the row has {because}")


def sizes_in_order(sheets: Sheets) -> None:
    """Sizes are in the order given by each table's `orders`: a hole is at least its pin, a ball larger than its slot, and so on."""
    for sheet in sheets.values():
        for larger, smaller in sheet.table.orders:
            for at, (line, (big, small)) in enumerate(sheet.rows((larger, smaller))):
                if None not in (big, small) and BAD not in (big, small) and big < small:
                    sheet.note(line, larger, sheet.text[larger][at], f"at least the {smaller}, {sheet.text[smaller][at]}")


def compression_does_not_grow(sheets: Sheets) -> None:
    """A compression terminal's reach is given as assembled, so its growth is 0."""
    for line, (attachment, growth) in sheets["terminals"].rows(("attachment", "growth")):
        if attachment == "compression" and growth not in (None, BAD) and growth != 0:
            sheets["terminals"].note(line, "growth", f"{plain(growth)} mm", "0 mm for a compression terminal")


def growths_of_their_terminals(sheets: Sheets) -> None:
    """A growth row refers to a swaged terminal and a wire that the terminal takes."""
    takes = {sku: rest for _, (sku, *rest) in sheets["terminals"].rows(("sku", "attachment", "constructions", "wire_sizes"))}
    for line, (terminal, construction, size) in sheets["growths"].rows(("terminal", "construction", "wire_size")):
        taken_sizes = takes.get(terminal)
        if taken_sizes is None or BAD in (construction, size, *taken_sizes):
            continue
        attachment, constructions, sizes = taken_sizes
        if attachment != "swage":
            sheets["growths"].note(line, "terminal", terminal, "a swaged terminal: nothing else grows")
        elif construction not in constructions or size not in sizes:
            sheets["growths"].note(line, "wire_size", f"{construction}, {plain(size)} mm", f"a wire that {terminal} takes")


def cotter_holes_placed(sheets: Sheets) -> None:
    """A hole for a locking cotter pin has both a diameter and a position, or neither."""
    for kind in ("terminals", "screws"):
        for line, (hole, place) in sheets[kind].rows(("cotter_hole", "cotter_at")):
            if BAD not in (hole, place) and (hole is None) != (place is None):
                column = "cotter_at" if place is None else "cotter_hole"
                sheets[kind].note(line, column, "a blank cell", "both cotter_hole and cotter_at, or neither")
