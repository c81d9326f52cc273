"""The mapping: how the columns, units and words of a shop's list become ours. Guessed, shown, kept as a file, and taken again.

Kept as TOML. A person of the shop edits it: quotation marks make plain what is text, comments are allowed, and the standard library reads it.
YAML was refused since it makes numbers and truth values of bare words (a size `1_0`, the word `no`, `08` or a time `5:16` change in silence);
JSON since it has no comments and one comma too many spoils it. The standard library writes no TOML: the few shapes used here are written below.
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
# A key of nine parts or more, which means nothing here: of thousands of parts, the standard library takes minutes and gigabytes
_KEY = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')"""
_DEEP = re.compile(rf"(?:^|[\[{{,])[ \t]*{_KEY}(?:[ \t]*\.[ \t]*{_KEY}){{8}}", re.MULTILINE)
KINDS = {table.kind: table for table in TABLES if table is not ACCEPTED_DOUBTS}  # what a shop accepts is no list of anybody
OF_THE_LIST = frozenset({"from_day", CURRENCY})  # constants of any list: from when its prices count, and in what they are
_FIELDS = ("as", "sheet", "header_row", "rows_of", "columns", "units", "decimals", "words", "constants", "split", "ended")


@dataclass(slots=True)
class Part:
    """How one table is made of one sheet. Keys of `columns`, `units` and `decimals` are the shop's headers, of `words` and `constants` our columns.

    `columns` maps to our column, to 'price', 'price from N', 'not sold from', 'status' or 'kind of row', or to '' for what is not taken. `rows_of`: which words
    in the column of kinds mean this table; blank for all rows. `split`: headers of names that are taken apart. `ended`: further words of the
    status that say that an article is no longer sold.
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
    """A file's mapping: its charset and delimiter, blank where they are found anew, and its parts."""

    parts: list[Part] = field(default_factory=list)
    charset: str = ""
    delimiter: str = ""


def written(mapping: ShopMapping, file: str) -> str:
    """The mapping as a file."""
    return "\n".join(_lines(mapping, file)) + "\n"


def _lines(mapping: ShopMapping, file: str) -> Iterator[str]:
    yield f"# How the columns of {json.dumps(file, ensure_ascii=False)} become ours: change what is wrong, and import again with --mapping and this file."
    yield '# The left side is the shop\'s, the right side ours. A column that becomes "" is not taken.'
    yield f"format = {FORMAT}"
    if mapping.charset:
        yield f"charset = {_text(mapping.charset)}"
    if mapping.delimiter:
        yield f"delimiter = {_text(mapping.delimiter)}"
    for part in mapping.parts:
        yield from _part(part)


def _part(part: Part) -> Iterator[str]:
    yield ""
    yield "[[table]]"
    yield f"as = {_text(part.kind)}"
    if part.sheet:
        yield f"sheet = {_text(part.sheet)}"
    yield f"header_row = {part.header_row}"
    for name, texts, why in (
        ("rows_of", part.rows_of, "words in the column 'kind of row' that mean this table"),
        ("split", part.split, "columns whose names are taken apart into family, wire, pin and so on"),
        ("ended", part.ended, "further words of the status that say that an article is no longer sold"),
    ):
        if texts:
            yield f"{name} = [{', '.join(map(_text, texts))}]  # {why}"
    for name, entries, why in (
        ("columns", part.columns, "a column of ours, 'price', 'price from 10', 'not sold from', 'status' or 'kind of row'"),
        ("units", part.units, "of numbers that are written without one"),
        ("decimals", part.decimals, "'comma' or 'point'"),
        ("constants", part.constants, "the same in every row that does not say otherwise"),
    ):
        yield from _table(f"table.{name}", entries, why)
    for column, words in part.words.items():
        yield from _table(f"table.words.{column}", words, 'the shop\'s word = ours; "" is not known yet')


def _table(name: str, entries: Mapping[str, str], why: str) -> Iterator[str]:
    if entries:
        yield ""
        yield f"[{name}]  # {why}"
        yield from (f"{_text(key)} = {_text(value)}" for key, value in entries.items())


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def read_mapping(body: bytes, file: str) -> ShopMapping:
    """A mapping's file. Raises Unreadable with every fault."""
    document = _document(body, file)
    faults: list[str] = []
    tables = document.get("table")
    if document.get("format") != FORMAT or not isinstance(tables, list) or not tables:
        faults.append(
            f"the mapping has 'format = {FORMAT}' at its top and a [[table]] for each table: import without it, and save a new one"
        )
        tables = []
    parts = [part for place, each in enumerate(tables, 1) if (part := _read_part(each, f"table {place}", faults)) is not None]
    if faults:
        raise Unreadable(*(Note("mapping", Place(file), "", fault) for fault in faults))
    return ShopMapping(parts, str(document.get("charset", "")), str(document.get("delimiter", "")))


def _document(body: bytes, file: str) -> dict[str, Any]:
    """The file as TOML. Raises Unreadable, in little time and memory, whatever the file is."""
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


def _read_part(found: Any, where: str, faults: list[str]) -> Part | None:
    if not isinstance(found, dict):
        faults.append(f"{where} is no [[table]]")
        return None
    faults += [f"{where} has {name!r}, which is none of {', '.join(_FIELDS)}" for name in found if name not in _FIELDS]
    kind = found.get("as")
    if kind not in KINDS:
        faults.append(f"{where}: 'as' is none of {', '.join(KINDS)}")
        return None
    if not isinstance(found.get("header_row", 0), int):
        faults.append(f"{where}: 'header_row' is a row's number")
        return None
    words = found.get("words", {})
    columns, units, decimals, constants = (
        _entries(found.get(name, {}), f"{where}, {name}", faults) for name in ("columns", "units", "decimals", "constants")
    )
    part = Part(
        kind,
        str(found.get("sheet", "")),
        found.get("header_row", 0),
        _texts(found, "rows_of", where, faults),
        columns,
        units,
        decimals,
        {name: _entries(each, f"{where}, words.{name}", faults) for name, each in (words if isinstance(words, dict) else {}).items()},
        constants,
        _texts(found, "split", where, faults),
        _texts(found, "ended", where, faults),
    )
    faults += [f"{where}: {fault}" for fault in part_faults(part)]
    return part


def _entries(found: Any, where: str, faults: list[str]) -> dict[str, str]:
    if not isinstance(found, dict) or not all(isinstance(value, str) for value in found.values()):
        faults.append(f'{where}: each line is "the shop\'s" = "ours", both in quotation marks')
        return {}
    return found


def _texts(found: Mapping[str, Any], name: str, where: str, faults: list[str]) -> tuple[str, ...]:
    texts = found.get(name, [])
    if not isinstance(texts, list) or not all(isinstance(each, str) for each in texts):
        faults.append(f'{where}: {name} is a list such as ["one", "another"]')
        return ()
    return tuple(texts)


def targets(kind: str) -> tuple[str, ...]:
    """What a header of a list for this table may become."""
    table = KINDS[kind]
    return (
        *(column.name for column in table.columns),
        *((PRICE,) if table.article else ()),
        *((NOT_FROM,) if table.ends else ()),
        STATUS,
        KIND,
    )


def part_faults(part: Part) -> Iterator[str]:
    """What is wrong with a part by itself, whatever file it is used on."""
    known = targets(part.kind)
    for header, target in part.columns.items():
        step = target.removeprefix(PRICE_FROM)
        if target and target not in known and not (PRICE in known and target.startswith(PRICE_FROM) and step.isdigit()):
            yield f"columns: {header!r} becomes {target!r}, which is none of {', '.join(known)}"
    for target in {each for each in part.columns.values() if each}:
        twice = [header for header, each in part.columns.items() if each == target]
        if len(twice) > 1:
            yield f"columns: {' and '.join(map(repr, twice))} both become {target!r}: leave one"
    for header, mode in part.decimals.items():
        if mode not in (COMMA, POINT, EACH, OPEN):
            yield f"decimals: {header!r} has {mode!r}: write 'comma' or 'point'"
    names = {column.name for column in KINDS[part.kind].columns}
    yield from (f"words: {name!r} is no column of {part.kind}" for name in part.words if name not in names)
    yield from (f"constants: {name!r} is no column of {part.kind}" for name in part.constants if name not in names | OF_THE_LIST)
