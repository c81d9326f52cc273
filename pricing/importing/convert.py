"""Converts cells of the shop's columns into cells of ours: units, fractions, words.

An ambiguous cell is refused; an assumption is reported. Nothing is guessed silently.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import NamedTuple

from pricing.catalogue.cells import Cell
from pricing.catalogue.schema import Column
from pricing.catalogue.threads import FINE
from pricing.importing.currencies import SIGN
from pricing.importing.grid import COVERED, DATE, ERROR, FORMULA, NO_VALUE, NUMBER
from pricing.importing.numbers import EACH, POINT, NoNumber, number
from pricing.importing.vocabulary import BLANKS, ON_REQUEST, code_of, has_ended, plain
from pricing.units import UNIT_OF


class ReadCell(NamedTuple):
    """A converted cell: our text, or a problem with advice on what to write; `assumed`: an assumption to be reported."""

    text: str = ""
    problem: str = ""
    assumed: str = ""


class ColumnFormat(NamedTuple):
    """How a column's cells are read: the unit of bare numbers (blank: none), the decimal separator, and the shop's words for our codes."""

    unit: str = ""
    decimal: str = ""
    words: Mapping[str, str] = {}


# Spelling of a unit -> (the table's unit, the power of ten to multiply by, the assumption made).
_FORCE = {"kn": ("kN", 0, ""), "n": ("N", 0, ""), "dan": ("N", 1, ""), "lbf": ("lbf", 0, ""), "kgf": ("kgf", 0, ""), "kp": ("kgf", 0, ""), "lb": ("lbf", 0, "pounds as pounds-force"), "lbs": ("lbf", 0, "pounds as pounds-force"), "kg": ("kgf", 0, "kilograms as kilograms-force"), "t": ("kgf", 3, "tonnes as tonnes-force"), "to": ("kgf", 3, "tonnes as tonnes-force")}  # fmt: skip
_MASS = {
    "kg": ("kg", 0, ""),
    "g": ("g", 0, ""),
    "gr": ("g", 0, ""),
    "gramm": ("g", 0, ""),
    "lb": ("lb", 0, ""),
    "lbs": ("lb", 0, ""),
    "oz": ("oz", 0, ""),
}
_PER_LENGTH = {"kg/100m": ("kg/100m", 0, ""), "kg/m": ("kg/m", 0, ""), "g/m": ("g/m", 0, ""), "kg/km": ("g/m", 0, ""), "lb/100ft": ("lb/100ft", 0, ""), "lbs/100ft": ("lb/100ft", 0, ""), "lb/ft": ("lb/ft", 0, "")}  # fmt: skip
_OTHER = {"gpa": "GPa", "mpa": "MPa", "n/mm2": "N/mm2", "n/mm²": "N/mm2", "ksi": "ksi", "kn/mm2": "GPa", "kn/mm²": "GPa", "mm2": "mm2", "mm²": "mm2", "in2": "in2", "in²": "in2", "min": "min", "min.": "min", "s": "s", "sec": "s", "h": "h", "std": "h", "um/m/k": "um/m/K", "µm/m/k": "um/m/K", "10^-6/k": "um/m/K", "uin/in/degf": "uin/in/degF"}  # fmt: skip
UNITS: dict[str, str] = {word: unit for word, unit in UNIT_OF.items() if word not in ("'", "′", "’")}
_MONTHS = "jan|feb|mar|mär|mrz|apr|may|mai|jun|jul|aug|sep|sept|oct|okt|nov|dec|dez"
_DATES = tuple(
    re.compile(each, re.IGNORECASE)
    for each in (
        r"[0-9]{1,2}\. ?[0-9]{1,2}\.(?: ?(?:19|20)?[0-9]{2})?", r"0[0-9]\.(?:0[0-9]|1[0-2])", rf"[0-9]{{1,2}}[-. /]{{1,2}}(?:{_MONTHS})[a-z]*\.?(?:[-. /]{{1,2}}[0-9]{{2,4}})?",
        rf"(?:{_MONTHS})[a-z]*[-. /]{{1,2}}[0-9]{{1,4}}", r"(?:19|20)[0-9]{2}-[0-9]{2}-[0-9]{2}(?: .*)?", r"[0-9]{1,2}/[0-9]{1,2}/[0-9]{2,4}",
    )
)  # fmt: skip
_BODY = re.compile(r"((?:[0-9]|[.,](?=[0-9]))[0-9.,'’ \u00a0/\u2044\-]*?|[0-9 ]*[¼½¾⅛⅜⅝⅞])\s*(\D*)")
_FRACTION = re.compile(r"(?:[0-9]+(?: ?- ?| +))?[0-9]+ ?[/\u2044] ?([0-9]+)|[0-9]* ?[¼½¾⅛⅜⅝⅞]")
_BINARY = frozenset({"2", "4", "8", "16", "32", "64"})
_MONEY_BESIDE = re.compile(rf" {SIGN.pattern}$", re.IGNORECASE)
_QUOTED = re.compile(r'="(.*)"')
_COMMA = re.compile(r"[0-9],[0-9]")
_DAY = re.compile(r"([0-9]{1,2})([./])([0-9]{1,2})\2([0-9]{4})")
_DAY_WITHIN = re.compile(r"(?<![0-9])(?:[0-9]{4}-[0-9]{2}-[0-9]{2}|[0-9]{1,2}([./])[0-9]{1,2}\1[0-9]{4})(?![0-9])")
_FROM_ON = ("from", "since", "ab", "seit")
_UNTIL = (
    "ended",
    "ends",
    "until",
    "sold until",
    "available until",
    "last day",
    "last sold",
    "bis",
    "lieferbar bis",
    "verfugbar bis",
    "letzter tag",
    "endet",
)
_GERMAN_SIZE = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?-?er")
_HAND = re.compile(r"(?<![a-z0-9])(lh|rh|links|rechts|left|right)\)?$", re.IGNORECASE)
_MOST = 300  # characters of any cell but free text: no size, word or price is longer
A_DATE_FOR_NUMBER = "a spreadsheet has made a date of a number: format the cell as text or as a number, and write it again, such as 12.50"
A_DATE_FOR_NAME = (
    "a spreadsheet has made a date of the article's number: format the column as text, and write it again as the supplier does"
)
A_DATE = "a spreadsheet has made a date of a fraction{which}: format the cell as text and write it again with its unit, such as '3/8 in'"


def reader(column: Column, column_format: ColumnFormat) -> Callable[[str, int], ReadCell]:
    """The function that reads a column's cell from its text and its kind (the bits of `grid`)."""

    def read(text: str, kind: int) -> ReadCell:
        if problem := _problem(text, kind, column):
            return ReadCell(problem=problem)
        cleaned = " ".join(text.split())
        if not cleaned or cleaned.casefold() in BLANKS:
            return ReadCell(assumed="" if not cleaned else f"{cleaned!r} is a blank")
        if column.cell.kind == "text" and kind & NUMBER:  # a currency from the number format is not part of an article number
            cleaned = _MONEY_BESIDE.sub("", cleaned)
        converted = _converted(cleaned, column, column_format, exact=bool(kind & NUMBER))
        return converted if converted.problem else _checked(converted, column)

    return read


def _problem(text: str, kind: int, column: Column) -> str:
    cell = column.cell
    if kind & NO_VALUE:
        return "is a formula, and the file has no value of it: copy the column and paste it as values, then save"
    if kind & ERROR:
        return "is an error of the spreadsheet: write the value, or empty the cell"
    if kind & COVERED and not text:
        return "is covered by a merged cell: split it in the spreadsheet, and write the value in each row"
    if cell.kind == "text":
        return A_DATE_FOR_NAME if kind & DATE and column.name == "sku" else ""
    if len(text) > _MOST:
        return "is longer than any value of this column: check whether columns have shifted"
    if cell.kind == "day":
        return ""
    if kind & DATE or like_a_date(text):
        if cell.kind in ("decimal", "integer"):
            return A_DATE_FOR_NUMBER
        return A_DATE.format(which=_fractions(text))
    return ""


def like_a_date(text: str) -> bool:
    """Whether a text looks like what a spreadsheet turns a fraction into: 08.03., 3-Aug, Mar 08."""
    return any(each.fullmatch(text.strip()) for each in _DATES)


def _fractions(text: str) -> str:
    try:
        day = date.fromisoformat(text[:10])
    except ValueError:
        return ""
    return f" (it may have been {day.month}/{day.day} or {day.day}/{day.month})"


def _checked(cell: ReadCell, column: Column) -> ReadCell:
    """The cell, or a problem if the table's own cell type would refuse its text."""
    if not cell.text:
        return cell
    try:
        column.cell.read(cell.text)
    except ValueError:
        return ReadCell(problem=f"is not {column.cell.expected}")
    return cell


def _converted(text: str, column: Column, column_format: ColumnFormat, *, exact: bool) -> ReadCell:
    cell = column.cell
    decimal = POINT if exact else column_format.decimal
    match cell.kind:
        case "choice":
            return _word(text, column.name, cell.names, column_format)
        case "length":
            return length(text, column_format.unit, decimal)
        case "listed":
            return _listed(text, column, column_format, decimal)
        case "quantity":
            return _quantity(text, cell.names, column_format.unit, decimal)
        case "decimal" | "integer":
            return _plain(text, decimal, cell)
        case "day":
            return _day(text)
        case "thread":
            return thread(text)
    if match := _QUOTED.fullmatch(text):
        return ReadCell(match[1], assumed='the spreadsheet\'s ="..." around it was taken off')
    return ReadCell(text)


def _word(text: str, name: str, names: tuple[str, ...], column_format: ColumnFormat) -> ReadCell:
    if text in column_format.words:
        code = column_format.words[text]
        return ReadCell(code) if code else ReadCell(problem=_unknown_word(name, names))
    known = code_of(name, text)
    return ReadCell(known) if known is not None and known in names else ReadCell(problem=_unknown_word(name, names))


def _unknown_word(name: str, names: tuple[str, ...]) -> str:
    return f"is not a known word for {name}: say in the mapping, under words, which of {', '.join(names)} it means"


def length(text: str, unit: str, decimal: str) -> ReadCell:
    """A length with its unit. A fraction without a unit is in inches; a bare number is refused unless the column has a `unit`."""
    bare = text.strip("øØ⌀ ")
    if match := _GERMAN_SIZE.fullmatch(bare):
        return ReadCell(f"{number(match[1], decimal)} mm", assumed=f"{text!r} is in millimetres")
    match = _BODY.fullmatch(bare)
    if match is None:
        return ReadCell(problem="is not a length: write a number with its unit, such as '5 mm' or '3/16 in'")
    body, word = match[1].strip(), match[2].strip().casefold()
    own = UNITS.get(word) or UNITS.get(word.rstrip("."))
    if word and own is None:
        return ReadCell(problem=f"has {match[2].strip()!r}, which is not a unit of length: write mm, cm, m, in or ft")
    if fraction := _FRACTION.fullmatch(body):
        if fraction[1] and fraction[1] not in _BINARY and own is None:
            return ReadCell(problem="is not a fraction of an inch rule, and has no unit: write it with its unit")
        if own in ("mm", "cm", "m"):
            return ReadCell(
                problem=f"is a fraction of {own}, which no rule has: write '{body} in', a decimal, or two sizes set apart as '4 mm; 5 mm'"
            )
        spelled = body.replace("\u2044", "/")
        return ReadCell(f"{spelled} {own or 'in'}", assumed="" if own else "a fraction without a unit is of inches")
    try:
        figure = number(body, decimal, thousands=False)
    except NoNumber as error:
        return ReadCell(problem=str(error))
    if own or unit:
        return ReadCell(f"{figure} {own or unit}")
    return ReadCell(
        problem=f"has no unit, and neither has the column: write '{figure} mm' or '{figure} in', or give the column's unit in the mapping"
    )


def _listed(text: str, column: Column, column_format: ColumnFormat, decimal: str) -> ReadCell:
    """Several values in one cell, separated by semicolons, bars, brackets or words; a slash needs spaces, since it also makes fractions."""
    inner = column.cell.of
    if inner is None:
        return ReadCell(text)
    parts = [part.strip() for part in re.split(r"[;|+&]|\s/\s|\s(?:und|and|oder|or|u\.)\s|,\s|\n|(?<=mm)/|[()]", text) if part.strip()]
    if inner.kind == "length" and decimal in (POINT, EACH) and _COMMA.search(text):
        return ReadCell(problem="may be two sizes or one with a decimal comma, in a column with decimal points: set sizes apart by ';'")
    texts: dict[str, None] = {}
    last = _unit_of_last(parts) if inner.kind == "length" and any("/" not in part for part in parts[:-1]) else ""
    if last and column_format.unit and last != column_format.unit:
        return ReadCell(problem=f"has {last} at its end, in a column of {column_format.unit}: write the unit after each size")
    assumed = f"the unit at the end is that of all: {last}" if last and not column_format.unit else ""
    for part in parts:
        match inner.kind:
            case "length":
                read = length(part, column_format.unit or last, decimal)
            case "choice":
                read = _word(part, column.name, inner.names, column_format)
            case _:
                read = ReadCell(part)
        if read.problem:
            return ReadCell(problem=read.problem if len(parts) == 1 else f"{part!r} {read.problem}")
        assumed = assumed or read.assumed
        texts[read.text] = None
    return ReadCell(";".join(texts), assumed=assumed)


def _unit_of_last(parts: list[str]) -> str:
    """The unit at the end of '3; 4; 5 mm', which applies to all parts if no other has one; else blank."""
    units = [UNITS.get(match[2].strip().casefold(), "") if (match := _BODY.fullmatch(part)) else "" for part in parts]
    return units[-1] if units and not any(units[:-1]) else ""


def _quantity(text: str, names: tuple[str, ...], unit: str, decimal: str) -> ReadCell:
    match = re.fullmatch(r"([0-9.,'’ \u00a0]*[0-9])\s*(\D?.*)", text)
    if match is None:
        return ReadCell(problem=f"is not a number with a unit: write one of {', '.join(names)} after the number")
    word = match[2].strip() or unit
    if not word:
        return ReadCell(
            problem=f"has no unit, and neither has the column: write one of {', '.join(names)}, or give the column's unit in the mapping"
        )
    known_unit = unit_of(word, names)
    if known_unit is None:
        return ReadCell(problem=f"has the unit {word!r}: write one of {', '.join(names)}")
    target, power, assumed = known_unit
    try:
        figure = _shifted(number(match[1], decimal), power)
    except NoNumber as error:
        return ReadCell(problem=str(error))
    return ReadCell(f"{figure} {target}", assumed=assumed)


def unit_of(word: str, names: tuple[str, ...]) -> tuple[str, int, str] | None:
    """(table's unit, power of ten to multiply by, assumption made) for a spelling; None if it is unknown."""
    if word in names:
        return word, 0, ""
    spelling = word.casefold().replace(" ", "")
    table: dict[str, tuple[str, int, str]] = (
        _FORCE if "kN" in names else _PER_LENGTH if "kg/100m" in names else _MASS if "oz" in names else {}
    )
    known_unit = table.get(spelling) or ((_OTHER[spelling], 0, "") if spelling in _OTHER else None)
    return known_unit if known_unit is not None and known_unit[0] in names else None


def _shifted(figure: str, power: int) -> str:
    if not power:
        return figure
    whole, _, rest = figure.partition(".")
    rest = rest.ljust(power, "0")
    return f"{whole}{rest[:power]}.{rest[power:]}".rstrip(".").lstrip("0") or "0"


def _plain(text: str, decimal: str, cell: Cell) -> ReadCell:
    if text.casefold() in ON_REQUEST:
        return ReadCell(assumed=f"{text!r} is not a price: the article has none")
    if "%" in text and "percentage" not in cell.expected:
        return ReadCell(problem="is a percentage, which this column has none of: write the number itself, and correct the cell's format")
    bare = SIGN.sub("", text.replace("%", "")).strip().removesuffix(",-").removesuffix(".-").strip()
    try:
        figure = number(bare, decimal)
    except NoNumber as error:
        return ReadCell(
            problem=f"{error}: write digits with a decimal point, such as 12.50" if str(error) == "is not a number" else str(error)
        )
    if cell.kind == "integer":
        whole, _, rest = figure.partition(".")
        figure = whole if not rest.strip("0") else figure
    money = SIGN.search(text)
    return ReadCell(figure, assumed=f"{money[0]} is taken for the currency of the shop's terms" if money else "")


def _day(text: str) -> ReadCell:
    match = _DAY.fullmatch(text)
    if match is None:
        return ReadCell(text[:10] if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2} 00:00:00", text) else text)
    first, mark, second, year = int(match[1]), match[2], int(match[3]), match[4]
    if mark == "/" and first <= 12 and second <= 12 and first != second:
        return ReadCell(problem=f"may be {year}-{first:02}-{second:02} or {year}-{second:02}-{first:02}: write the day as YYYY-MM-DD")
    day, month = (first, second) if mark == "." or first > 12 else (second, first)
    return ReadCell(f"{year}-{month:02}-{day:02}", assumed="day and month by the country's order" if first != second else "")


def day_before(text: str) -> ReadCell:
    """The day before the one written: the last day of sale for an article 'not sold from' that day."""
    read = _day(text)
    if read.problem:
        return read
    try:
        day = date.fromisoformat(read.text) - timedelta(days=1)
    except (ValueError, OverflowError):
        return ReadCell(problem="is not a day: write it as YYYY-MM-DD")
    return ReadCell(day.isoformat(), assumed="the day before is the last on which it is sold")


def last_day_in(text: str) -> ReadCell | None:
    """The last day of sale in a status: 'discontinued 31.12.2026', 'sold until 2026-12-31', 'discontinued from 2027-01-01'.

    None if it names no day, or if nothing marks that day as an end.
    """
    match = _DAY_WITHIN.search(text)
    if match is None:
        return None
    words = plain(text[: match.start()])
    if words.split()[-1:] and words.split()[-1] in _FROM_ON:
        return day_before(match[0]) if has_ended(words) else None
    if not has_ended(words) and words not in _UNTIL:
        return None
    read = _day(match[0])
    return read if read.problem else read._replace(assumed="the day in it is the last on which it is sold")


def thread(text: str) -> ReadCell:
    """A thread in the tables' notation; an inch size of the fine series gets its threads per inch."""
    designation = _HAND.sub("", re.sub(r"^(?:gewinde|thread)\s+", "", text, flags=re.IGNORECASE)).strip(" ,(-")
    if match := re.fullmatch(r'([0-9]{1,2}(?:/[0-9]{1,2})?) ?(?:"|in)? ?UNF', designation, re.IGNORECASE):
        per_inch = FINE.get(match[1])
        if per_inch:
            return ReadCell(f"{match[1]}-{per_inch} UNF", assumed=f"{designation!r} has {per_inch} threads per inch (ASME B1.1)")
    metric = re.fullmatch(r"M ?([0-9]+)", designation, re.IGNORECASE)
    return ReadCell(designation, assumed=f"{designation!r} has the coarse pitch (ISO 261)" if metric else "")


def hand_in(text: str) -> str | None:
    """The hand written after a thread (right or left), or None."""
    match = _HAND.search(text)
    return code_of("hand", match[1]) if match else None


def formula(kind: int) -> bool:
    """Whether a cell is a formula with a stored value."""
    return bool(kind & FORMULA) and not kind & NO_VALUE
