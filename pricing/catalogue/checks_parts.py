"""Checks on rows and what they point at: keys, references, a family's columns, sizes that must be in order."""

from __future__ import annotations

from typing import Any

from pricing.catalogue.cells import plain
from pricing.catalogue.reading import BAD, Sheet, Sheets
from pricing.catalogue.schema import Rule


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
    for at, (line, values) in enumerate(sheet.rows(key)):
        if BAD in values:
            continue
        if values in seen:
            found = " / ".join(sheet.text[name][at] for name in key)
            sheet.note(line, ", ".join(key), found, f"a row of its own: line {seen[values]} has the same")
        seen.setdefault(values, line)


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
    if BAD in known:
        return  # what stands in the unreadable cell may be just what is looked for
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
            for at, (line, (big, small)) in enumerate(sheet.rows((larger, smaller))):
                if None not in (big, small) and BAD not in (big, small) and big < small:
                    sheet.note(line, larger, sheet.text[larger][at], f"at least the {smaller}, {sheet.text[smaller][at]}")


def compression_does_not_grow(sheets: Sheets) -> None:
    """A compression terminal's reach is as assembled: its growth is 0."""
    for line, (attachment, growth) in sheets["terminals"].rows(("attachment", "growth")):
        if attachment == "compression" and growth not in (None, BAD) and growth != 0:
            sheets["terminals"].note(line, "growth", f"{plain(growth)} mm", "0 mm for a compression terminal")
