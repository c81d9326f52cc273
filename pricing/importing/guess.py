"""Guesses how a sheet's columns map to ours: by their headers first, else by their contents. A guess is always shown before it is used."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from pricing.catalogue.schema import Column
from pricing.importing.convert import ColumnFormat, last_day_in, like_a_date, reader
from pricing.importing.grid import NUMBER, Grid
from pricing.importing.headers import Heading
from pricing.importing.mapping import KINDS, SheetMapping, targets
from pricing.importing.names import taken_apart
from pricing.importing.numbers import decides
from pricing.importing.vocabulary import (
    HEADERS,
    KIND,
    OF_ANY_LIST,
    PRICE,
    STATUS,
    code_of,
    ended_by,
    plain,
    status_ended,
    step_of,
    table_of,
)

if TYPE_CHECKING:
    import pandas

_SAMPLE = 300  # distinct texts of a column that are tried
_READABLE = 0.3  # share of them that must convert for a header to be believed
_RECOGNISED = 0.8  # share of them that must convert for a column to be recognised without a known header
_TELLING = ("family", "attachment", "constructions", "construction", "hand", "thread")


def guessed(grid: Grid, head: Heading, kind: str, kept: Sequence[int]) -> SheetMapping:
    """A guessed mapping of a sheet to the table `kind`. `kept`: positions of the rows that may be articles."""
    frame = grid.cells.iloc[list(kept)]
    mapping = SheetMapping(kind, grid.sheet, head.row)
    columns = {column.name: column for column in KINDS[kind].columns}
    claims = sorted(_claims(grid, head, kind, columns, frame), reverse=True)
    taken: dict[int, str] = {}
    for _, at, target in claims:
        if at not in taken and target not in taken.values():
            taken[at] = target
    for at, name in enumerate(head.names):
        if not name or at in grid.hidden_columns or not any(frame[at]):
            continue
        target = taken.get(at, "")
        mapping.columns[name] = target
        if target in columns:
            if head.units[at]:
                mapping.units[name] = head.units[at]
            _decimal(mapping, name, columns[target], _typed(grid, kept, at))
            _words(mapping, columns[target], frame[at])
        elif target == STATUS:
            mapping.ended = ended_by(head.bare[at], dict.fromkeys(frame[at]))
        elif target.startswith(PRICE):
            mapping.decimals[name] = decides(_typed(grid, kept, at))
    _split(mapping, head, columns, frame)
    return mapping


def _claims(grid: Grid, head: Heading, kind: str, columns: dict[str, Column], frame: pandas.DataFrame) -> Iterator[tuple[float, int, str]]:
    """(score, column position, target) for each possible target of a column; of equal columns the earlier scores slightly higher."""
    for at, bare in enumerate(head.bare):
        texts = [text for text in dict.fromkeys(frame[at]) if text]
        if not texts or at in grid.hidden_columns:
            continue
        sample = texts[:_SAMPLE]
        if (step := step_of(head.names[at])) and KINDS[kind].article:
            yield 4.0, at, step
        for target, score in _by_header(plain(bare), plain(head.names[at]), kind, columns):
            if _believed(target, columns, sample, head.units[at]) or (target == STATUS and ended_by(bare, sample)):
                yield score - at / 1000, at, target
        yield from ((0.5 - at / 1000, at, target) for target in _by_values(columns, sample, frame[at]))


def _by_header(bare: str, full_header: str, kind: str, columns: dict[str, Column]) -> Iterator[tuple[str, float]]:
    words = {name: HEADERS.get(name, ()) for name in columns}
    words |= {name: headers for name, headers in OF_ANY_LIST.items() if name in targets(kind)}
    for target, known in words.items():
        spelled = (plain(target), *known)
        if bare in spelled or full_header in spelled:
            yield target, 3.0 + (0.5 if plain(target) in (bare, full_header) else 0.0)
        else:
            tokens = set(bare.split())
            longest = max((len(each.split()) for each in spelled if len(each) > 2 and set(each.split()) <= tokens), default=0)
            if longest and len(tokens) <= longest + 2:
                yield target, 1.0 + longest / 10


def _believed(target: str, columns: dict[str, Column], texts: Sequence[str], unit: str) -> bool:
    """Whether enough of the column's texts convert to what its header promises."""
    if target == STATUS:
        return any(status_ended(text) or ("until" in columns and last_day_in(text)) for text in texts)
    if target == KIND:
        return any(table_of(text) for text in texts)
    if target not in columns:
        return True
    column = columns[target]
    if column.cell.kind == "choice" and not any(code_of(target, text) for text in texts):
        return False
    read = reader(column, ColumnFormat(unit or "mm" if column.cell.kind in ("length", "listed") else unit, decides(texts)))
    good = sum(not read(text, 0).problem for text in texts)
    return column.cell.kind in ("text", "choice", "quantity", "day", "decimal") or good >= len(texts) * _READABLE


def _by_values(columns: dict[str, Column], texts: Sequence[str], series: pandas.Series[str]) -> Iterator[str]:
    for name in _TELLING:
        if name in columns and len(texts) > 1:
            read = reader(columns[name], ColumnFormat())
            if sum(not (found := read(text, 0)).problem and bool(found.text) for text in texts) >= len(texts) * _RECOGNISED:
                yield name
    filled = [text for text in series if text]
    if "sku" in columns and len(filled) > 3 and len(set(filled)) > len(filled) * 0.95 and all(map(_like_a_number, filled)):
        yield "sku"


def _like_a_number(text: str) -> bool:
    """Whether a text looks like an article number: letters and digits without a space."""
    return " " not in text and any(map(str.isdigit, text)) and any(map(str.isalpha, text))


def _typed(grid: Grid, kept: Sequence[int], at: int) -> set[str]:
    """The column's texts that were typed as text: numbers stored by a workbook always have a point, so they do not show the separator used."""
    return {text for text, kind in zip(grid.cells[at].iloc[list(kept)], grid.kinds[list(kept), at], strict=True) if not kind & NUMBER}


def _decimal(mapping: SheetMapping, name: str, column: Column, texts: set[str]) -> None:
    if (column.cell.of or column.cell).kind in ("length", "quantity", "decimal"):
        mode = decides(text for text in texts if not like_a_date(text))
        if mode:
            mapping.decimals[name] = mode


def _words(mapping: SheetMapping, column: Column, series: pandas.Series[str]) -> None:
    """Records the shop's words in a column with a closed list, each with our code for it, or blank if it is unknown."""
    inner = column.cell.of or column.cell
    if inner.kind != "choice":
        return
    codes = {text: code_of(column.name, text) for text in dict.fromkeys(series) if text and text not in inner.names}
    if column.cell.of is not None:
        codes = {}  # cells that hold lists are split before their words are looked up
    mapping.words[column.name] = {word: code or "" for word, code in list(codes.items())[:200]}
    if not mapping.words[column.name]:
        del mapping.words[column.name]


def _split(mapping: SheetMapping, head: Heading, columns: dict[str, Column], frame: pandas.DataFrame) -> None:
    """Marks the name column of terminals for splitting if its names hold sizes or codes."""
    if mapping.kind != "terminals":
        return
    name = next((header for header, target in mapping.columns.items() if target == "name"), None)
    if name is None:
        return
    texts = list(dict.fromkeys(frame[head.names.index(name)]))[:_SAMPLE]
    if any(taken_apart(text).found for text in texts):
        mapping.split = (name,)
