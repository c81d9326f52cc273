"""Slips of the pen in single cells of tables: another power of ten, another unit, digits or columns exchanged."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterable, Iterator
from copy import copy
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from pricing.catalogue.crosschecks import CHECKS as FAULTS
from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.registry import CHECKS
from pricing.catalogue.reading import BAD, Sheet, Sheets, convert

NUMBER = re.compile(r"^(-?[0-9]+ [0-9]+/[0-9]+|-?[0-9]+/[0-9]+|-?[0-9]+(?:\.[0-9]+)?)( ?[A-Za-z][\w/%]*)?$")
UNITS = {
    "mm": "in", "in": "mm", "ft": "m", "m": "ft", "kg": "g", "g": "kg", "kN": "lbf", "lbf": "kN", "lb/100ft": "kg/100m", "kg/100m": "lb/100ft", "GPa": "ksi",
    "mm2": "in2", "um/m/K": "uin/in/degF", "min": "h",
}  # fmt: skip


@dataclass(frozen=True)
class Slip:
    """A slip in one cell, or in two cells of a row: the correct text and the text as mistyped."""

    kind: str
    table: str
    line: int
    column: str
    was: str
    now: str
    also: tuple[str, str] = ("", "")  # the other column of two that were exchanged, and what stands there now


def _number(text: str) -> tuple[Fraction, str] | None:
    found = NUMBER.match(text)
    if not found:
        return None
    return sum((Fraction(part) for part in found[1].split()), Fraction(0)), found[2] or ""


def _by(factor: Fraction) -> Callable[[str], str | None]:
    def slip(text: str) -> str | None:
        read = _number(text)
        if read is None or not read[0]:
            return None
        value, unit = read[0] * factor, read[1]
        if "." not in text and "/" not in text and value.denominator == 1:
            return f"{value}{unit}"
        return f"{float(value):.6f}".rstrip("0").rstrip(".") + unit

    return slip


def _unit(text: str) -> str | None:
    read = _number(text)
    if read is None or not read[0] or read[1].strip() not in UNITS:
        return None
    return text.replace(read[1].strip(), UNITS[read[1].strip()])


def _digits(text: str) -> str | None:
    read = _number(text)
    if read is None or not read[0]:
        return None
    for at in range(len(text) - 1):
        if text[at].isdigit() and text[at + 1].isdigit() and text[at] != text[at + 1]:
            return text[:at] + text[at + 1] + text[at] + text[at + 2 :]
    return None


ONE_CELL: dict[str, Callable[[str], str | None]] = {
    "x 10": _by(Fraction(10)), "/ 10": _by(Fraction(1, 10)), "x 25.4": _by(Fraction(254, 10)), "/ 25.4": _by(Fraction(10, 254)), "unit": _unit, "digits": _digits,
}  # fmt: skip
LEFT_OUT = {"from_day", "until", "day", "sku", "name", "source", "id", "material", "supplier", "order_number"}  # no numbers


def slips(sheets: Sheets, kind: str, among: Iterable[str] = ()) -> Iterator[Slip]:
    """Every slip of one kind that these tables allow, or the tables `among` them."""
    for table in among or sheets:
        sheet = sheets[table]
        columns = [column.name for column in sheet.table.columns if column.name not in LEFT_OUT]
        for at, line in enumerate(sheet.lines):
            numbers = {name: sheet.text[name][at] for name in columns if _number(sheet.text[name][at])}
            if kind == "columns":
                names = list(numbers)
                for one, other in pairwise(names):
                    if numbers[one] != numbers[other] and _fits(sheet, one, numbers[other]) and _fits(sheet, other, numbers[one]):
                        yield Slip(kind, table, line, one, numbers[one], numbers[other], (other, numbers[one]))
                continue
            for name, text in numbers.items():
                now = ONE_CELL[kind](text)
                if now is not None and now != text:
                    yield Slip(kind, table, line, name, text, now)
            for text in [sheet.text["wire_sizes"][at]] if "wire_sizes" in sheet.text else []:
                first, *rest = text.split(";")
                now = ONE_CELL[kind](first)
                if now is not None:
                    yield Slip(kind, table, line, "wire_sizes", text, ";".join([now, *rest]))


def _fits(sheet: Sheet, column: str, text: str) -> bool:
    """Whether a column's cell can be read with this text: an exchange that cannot be read is no feat to notice."""
    cell = next(each.cell for each in sheet.table.columns if each.name == column)
    try:
        cell.read(text)
    except ValueError:
        return False
    return True


def drawn(sheets: Sheets, kind: str, many: int, seed: int, *, by_table: bool = True) -> list[Slip]:
    """Slips of one kind at random: each table as likely as the others, or each cell."""
    draw = random.Random(f"{seed} {kind}")
    if not by_table:
        every = list(slips(sheets, kind))
        return draw.sample(every, min(many, len(every)))
    of: dict[str, list[Slip]] = {}  # found for a table when it is drawn
    found: list[Slip] = []
    while len(found) < many:
        table = draw.choice(list(sheets))
        if table not in of:
            of[table] = list(slips(sheets, kind, [table]))
        if of[table]:
            found.append(draw.choice(of[table]))
    return found


def with_slip(sheets: Sheets, slip: Slip) -> dict[str, Sheet]:
    """The tables with one slip, as if read from files; their faults are noted."""
    changed = {kind: _clean(sheet) for kind, sheet in sheets.items()}
    sheet = changed[slip.table]
    at = list(sheet.lines).index(slip.line)
    for column, text in ((slip.column, slip.now), slip.also):
        if column:
            texts = [*sheet.text[column]]
            texts[at] = text
            convert(sheet, next(each for each in sheet.table.columns if each.name == column), texts)
    return changed


def _clean(sheet: Sheet) -> Sheet:
    other = copy(sheet)
    other.text, other.values, other.faults = dict(sheet.text), dict(sheet.values), []
    return other


def noticed(sheets: Sheets, slip: Slip) -> str:
    """How a slip is noticed: by a `fault`, by a `doubt` about its row, by one `elsewhere`, or not (empty)."""
    changed = with_slip(sheets, slip)
    for check in FAULTS:
        if any(sheet.faults for sheet in changed.values()):
            return "fault"
        check(changed)
    if any(sheet.faults for sheet in changed.values()):
        return "fault"
    assert not any(value is BAD for values in changed[slip.table].values.values() for value in values)
    examined, elsewhere = Examined(changed), ""
    for check in sorted(CHECKS, key=lambda check: check.__name__ != slip.table):  # the table's own first, to be done sooner
        for doubt in check(examined):
            if (doubt.file, doubt.line) == (changed[slip.table].table.file, slip.line):
                return "doubt"
            elsewhere = "elsewhere"
    return elsewhere
