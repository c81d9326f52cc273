"""The mapping from the columns, units and words of a shop's list to ours: guessed, shown, saved to a file, and reused.

The file is TOML, since people at the shop edit it: quotation marks show what is text, comments are allowed, and the standard library reads
it. YAML silently turns bare words into numbers and booleans (`1_0`, `no`, `08`, `5:16`); JSON has no comments, and one comma too many breaks
it. The standard library does not write TOML, so the few shapes used here are written below.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from pricing.catalogue.tables import ACCEPTED_DOUBTS, TABLES
from pricing.importing.currencies import CURRENCY
from pricing.importing.grid import Note, Place, Unreadable
from pricing.importing.numbers import COMMA, EACH, OPEN, POINT
from pricing.importing.vocabulary import KIND, NOT_FROM, PRICE, PRICE_FROM, STATUS

FORMAT = 1
MOST_OF_A_MAPPING = 250_000  # bytes; one with 250 columns and all words of its lists has some 30,000
# A dotted key of nine parts or more is refused: it has no meaning here, and with thousands of parts tomllib takes minutes and gigabytes
_KEY = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')"""
_DEEP = re.compile(rf"(?:^|[\[{{,])[ \t]*{_KEY}(?:[ \t]*\.[ \t]*{_KEY}){{8}}", re.MULTILINE)
KINDS = {table.kind: table for table in TABLES if table is not ACCEPTED_DOUBTS}  # acceptances are the shop's own, never imported
OF_THE_LIST = frozenset({"from_day", CURRENCY})  # constants of a whole list: the first day of its prices, and their currency
_FIELDS = ("as", "sheet", "header_row", "rows_of", "columns", "units", "decimals", "words", "constants", "split", "ended")


@dataclass(slots=True)
class SheetMapping:
    """How one sheet is mapped to the table `kind`. `columns`, `units` and `decimals` are keyed by the shop's headers, `words` and `constants` by
    our columns.

    `columns` maps to one of our columns, to 'price', 'price from N', 'not sold from', 'status' or 'kind of row', or to '' for a column that
    is ignored. `rows_of`: words in the column of kinds that mean this table; empty for all rows. `split`: headers of names that hold several
    columns in one. `ended`: further words in the status column that mean discontinued.
    """

    kind: str
    sheet: str = ""
    header_row: int = 0
    rows_of: tuple[str, ...] = ()
    columns: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    decimals: dict[str, str] = field(default_factory=dict)
    words: dict[str, dict[str, str]] = field(default_factory=dict)
    constants: dict[str, str] = field(default_factory=dict)
    split: tuple[str, ...] = ()
    ended: tuple[str, ...] = ()


@dataclass(slots=True)
class ShopMapping:
    """The mapping of a file: one part per sheet and table, and its charset and delimiter (blank: to be detected)."""

    sheets: list[SheetMapping] = field(default_factory=list)
    charset: str = ""
    delimiter: str = ""


def written(mapping: ShopMapping, file: str) -> str:
    """The mapping as the text of a TOML file; `file` is the list's name."""
    return "\n".join(_file_lines(mapping, file)) + "\n"


def _file_lines(mapping: ShopMapping, file: str) -> Iterator[str]:
    yield f"# How the columns of {json.dumps(file, ensure_ascii=False)} become ours: change what is wrong, and import again with --mapping and this file."
    yield '# The left side is the shop\'s, the right side ours. A column that becomes "" is not taken.'
    yield f"format = {FORMAT}"
    if mapping.charset:
        yield f"charset = {_text(mapping.charset)}"
    if mapping.delimiter:
        yield f"delimiter = {_text(mapping.delimiter)}"
    for sheet in mapping.sheets:
        yield from _table_lines(sheet)


def _table_lines(mapping: SheetMapping) -> Iterator[str]:
    yield ""
    yield "[[table]]"
    yield f"as = {_text(mapping.kind)}"
    if mapping.sheet:
        yield f"sheet = {_text(mapping.sheet)}"
    yield f"header_row = {mapping.header_row}"
    for name, texts, why in (
        ("rows_of", mapping.rows_of, "words in the column 'kind of row' that mean this table"),
        ("split", mapping.split, "columns whose names are taken apart into family, wire, pin and so on"),
        ("ended", mapping.ended, "further words of the status that say that an article is no longer sold"),
    ):
        if texts:
            yield f"{name} = [{', '.join(map(_text, texts))}]  # {why}"
    for name, entries, why in (
        ("columns", mapping.columns, "a column of ours, 'price', 'price from 10', 'not sold from', 'status' or 'kind of row'"),
        ("units", mapping.units, "of numbers that are written without one"),
        ("decimals", mapping.decimals, "'comma' or 'point'"),
        ("constants", mapping.constants, "the same in every row that does not say otherwise"),
    ):
        yield from _table(f"table.{name}", entries, why)
    for column, words in mapping.words.items():
        yield from _table(f"table.words.{column}", words, 'the shop\'s word = ours; "" is not known yet')


def _table(name: str, entries: Mapping[str, str], why: str) -> Iterator[str]:
    if entries:
        yield ""
        yield f"[{name}]  # {why}"
        yield from (f"{_text(key)} = {_text(value)}" for key, value in entries.items())


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def read_mapping(body: bytes, file: str) -> ShopMapping:
    """The mapping in a file. Raises Unreadable with every fault."""
    document = _document(body, file)
    faults: list[str] = []
    tables = document.get("table")
    if document.get("format") != FORMAT or not isinstance(tables, list) or not tables:
        faults.append(
            f"the mapping has 'format = {FORMAT}' at its top and a [[table]] for each table: import without it, and save a new one"
        )
        tables = []
    sheets = [sheet for place, each in enumerate(tables, 1) if (sheet := _read_sheet_mapping(each, f"table {place}", faults)) is not None]
    if faults:
        raise Unreadable(*(Note("mapping", Place(file), "", fault) for fault in faults))
    return ShopMapping(sheets, str(document.get("charset", "")), str(document.get("delimiter", "")))


def _document(body: bytes, file: str) -> dict[str, Any]:
    """The file parsed as TOML. Raises Unreadable, quickly and in little memory, whatever the file contains."""
    trouble = ""
    try:
        if len(body) > MOST_OF_A_MAPPING:
            trouble = f"it has more than {MOST_OF_A_MAPPING // 1000} kB"
        elif _DEEP.search(text := body.decode("utf-8-sig")):
            trouble = "its tables are nested too deep"
        else:
            return tomllib.loads(text)
    except RecursionError:
        trouble = "its lists or tables are nested too deep"
    except ValueError as error:  # no UTF-8, no TOML, or a number of thousands of digits
        trouble = str(error)[:200]
    words = f"the mapping cannot be read ({trouble}): correct it there, or import without it and save a new one"
    raise Unreadable(Note("mapping", Place(file), "", words))


def _read_sheet_mapping(table: Any, where: str, faults: list[str]) -> SheetMapping | None:
    if not isinstance(table, dict):
        faults.append(f"{where} is no [[table]]")
        return None
    faults += [f"{where} has {name!r}, which is none of {', '.join(_FIELDS)}" for name in table if name not in _FIELDS]
    kind = table.get("as")
    if kind not in KINDS:
        faults.append(f"{where}: 'as' is none of {', '.join(KINDS)}")
        return None
    if not isinstance(table.get("header_row", 0), int):
        faults.append(f"{where}: 'header_row' is a row's number")
        return None
    words = table.get("words", {})
    columns, units, decimals, constants = (
        _entries(table.get(name, {}), f"{where}, {name}", faults) for name in ("columns", "units", "decimals", "constants")
    )
    mapping = SheetMapping(
        kind,
        str(table.get("sheet", "")),
        table.get("header_row", 0),
        _texts(table, "rows_of", where, faults),
        columns,
        units,
        decimals,
        {name: _entries(each, f"{where}, words.{name}", faults) for name, each in (words if isinstance(words, dict) else {}).items()},
        constants,
        _texts(table, "split", where, faults),
        _texts(table, "ended", where, faults),
    )
    faults += [f"{where}: {fault}" for fault in sheet_mapping_faults(mapping)]
    return mapping


def _entries(table: Any, where: str, faults: list[str]) -> dict[str, str]:
    if not isinstance(table, dict) or not all(isinstance(value, str) for value in table.values()):
        faults.append(f'{where}: each line is "the shop\'s" = "ours", both in quotation marks')
        return {}
    return table


def _texts(table: Mapping[str, Any], name: str, where: str, faults: list[str]) -> tuple[str, ...]:
    texts = table.get(name, [])
    if not isinstance(texts, list) or not all(isinstance(each, str) for each in texts):
        faults.append(f'{where}: {name} is a list such as ["one", "another"]')
        return ()
    return tuple(texts)


def targets(kind: str) -> tuple[str, ...]:
    """The possible targets of a header in a list for this table."""
    table = KINDS[kind]
    return (
        *(column.name for column in table.columns),
        *((PRICE,) if table.article else ()),
        *((NOT_FROM,) if table.ends else ()),
        STATUS,
        KIND,
    )


def sheet_mapping_faults(mapping: SheetMapping) -> Iterator[str]:
    """Faults of a sheet mapping that can be seen without the sheet."""
    known = targets(mapping.kind)
    for header, target in mapping.columns.items():
        step = target.removeprefix(PRICE_FROM)
        if target and target not in known and not (PRICE in known and target.startswith(PRICE_FROM) and step.isdigit()):
            yield f"columns: {header!r} becomes {target!r}, which is none of {', '.join(known)}"
    for target in {each for each in mapping.columns.values() if each}:
        twice = [header for header, each in mapping.columns.items() if each == target]
        if len(twice) > 1:
            yield f"columns: {' and '.join(map(repr, twice))} both become {target!r}: leave one"
    for header, mode in mapping.decimals.items():
        if mode not in (COMMA, POINT, EACH, OPEN):
            yield f"decimals: {header!r} has {mode!r}: write 'comma' or 'point'"
    names = {column.name for column in KINDS[mapping.kind].columns}
    yield from (f"words: {name!r} is not a column of {mapping.kind}" for name in mapping.words if name not in names)
    yield from (f"constants: {name!r} is not a column of {mapping.kind}" for name in mapping.constants if name not in names | OF_THE_LIST)
