"""Guesses how a sheet's columns become ours, by their headers first and else by what stands in them. Nothing of it counts before it is shown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from pricing.catalogue.schema import Column
from pricing.importing.convert import Way, last_day_in, like_a_date, reader
from pricing.importing.grid import NUMBER, Grid
from pricing.importing.headers import Heading
from pricing.importing.mapping import KINDS, Part, targets
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

_SAMPLE = 300  # different texts of a column that are tried
_READABLE = 0.3  # of them that must be read for a header to be believed
_TOLD = 0.8  # of them that must be words of a list for a column without a known header
_TELLING = ("family", "attachment", "constructions", "construction", "hand", "thread")


def guessed(grid: Grid, head: Heading, kind: str, kept: Sequence[int]) -> Part:
    """The mapping of a sheet to one table."""
    frame = grid.cells.iloc[list(kept)]
    part = Part(kind, grid.sheet, head.row)
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
        part.columns[name] = target
        if target in columns:
            if head.units[at]:
                part.units[name] = head.units[at]
            _decimal(part, name, columns[target], _typed(grid, kept, at))
            _words(part, columns[target], frame[at])
        elif target == STATUS:
            part.ended = ended_by(head.bare[at], dict.fromkeys(frame[at]))
        elif target.startswith(PRICE):
            part.decimals[name] = decides(_typed(grid, kept, at))
    _split(part, head, columns, frame)
    return part


def _claims(grid: Grid, head: Heading, kind: str, columns: dict[str, Column], frame: pandas.DataFrame) -> Iterator[tuple[float, int, str]]:
    """(score, column, what it may become); the earlier of two equal columns is a little better."""
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


def _by_header(bare: str, whole: str, kind: str, columns: dict[str, Column]) -> Iterator[tuple[str, float]]:
    words = {name: HEADERS.get(name, ()) for name in columns}
    words |= {name: said for name, said in OF_ANY_LIST.items() if name in targets(kind)}
    for target, known in words.items():
        spelled = (plain(target), *known)
        if bare in spelled or whole in spelled:
            yield target, 3.0 + (0.5 if plain(target) in (bare, whole) else 0.0)
        else:
            tokens = set(bare.split())
            longest = max((len(each.split()) for each in spelled if len(each) > 2 and set(each.split()) <= tokens), default=0)
            if longest and len(tokens) <= longest + 2:
                yield target, 1.0 + longest / 10


def _believed(target: str, columns: dict[str, Column], texts: Sequence[str], unit: str) -> bool:
    """Whether enough of the column's texts can be read as what its header says."""
    if target == STATUS:
        return any(status_ended(text) or ("until" in columns and last_day_in(text)) for text in texts)
    if target == KIND:
        return any(table_of(text) for text in texts)
    if target not in columns:
        return True
    column = columns[target]
    if column.cell.kind == "choice" and not any(code_of(target, text) for text in texts):
        return False
    read = reader(column, Way(unit or "mm" if column.cell.kind in ("length", "listed") else unit, decides(texts)))
    good = sum(not read(text, 0).problem for text in texts)
    return column.cell.kind in ("text", "choice", "quantity", "day", "decimal") or good >= len(texts) * _READABLE


def _by_values(columns: dict[str, Column], texts: Sequence[str], series: pandas.Series[str]) -> Iterator[str]:
    for name in _TELLING:
        if name in columns and len(texts) > 1:
            read = reader(columns[name], Way())
            if sum(not (found := read(text, 0)).problem and bool(found.text) for text in texts) >= len(texts) * _TOLD:
                yield name
    filled = [text for text in series if text]
    if "sku" in columns and len(filled) > 3 and len(set(filled)) > len(filled) * 0.95 and all(map(_like_a_number, filled)):
        yield "sku"


def _like_a_number(text: str) -> bool:
    """Whether a text may be an article's number: letters and digits without a space."""
    return " " not in text and any(map(str.isdigit, text)) and any(map(str.isalpha, text))


def _typed(grid: Grid, kept: Sequence[int], at: int) -> set[str]:
    """The texts of a column that somebody typed as text: a workbook's numbers have no comma, and say nothing of what divides decimals there."""
    return {text for text, kind in zip(grid.cells[at].iloc[list(kept)], grid.kinds[list(kept), at], strict=True) if not kind & NUMBER}


def _decimal(part: Part, name: str, column: Column, texts: set[str]) -> None:
    if (column.cell.of or column.cell).kind in ("length", "quantity", "decimal"):
        mode = decides(text for text in texts if not like_a_date(text))
        if mode:
            part.decimals[name] = mode


def _words(part: Part, column: Column, series: pandas.Series[str]) -> None:
    """The words of a column with a closed list, with the code that each is taken for, or blank."""
    inner = column.cell.of or column.cell
    if inner.kind != "choice":
        return
    found = {text: code_of(column.name, text) for text in dict.fromkeys(series) if text and text not in inner.names}
    if column.cell.of is not None:
        found = {}  # lists are taken apart before their words are looked up
    part.words[column.name] = {word: code or "" for word, code in list(found.items())[:200]}
    if not part.words[column.name]:
        del part.words[column.name]


def _split(part: Part, head: Heading, columns: dict[str, Column], frame: pandas.DataFrame) -> None:
    """Names are taken apart where they tell more than the columns do."""
    if part.kind != "terminals":
        return
    name = next((header for header, target in part.columns.items() if target == "name"), None)
    if name is None:
        return
    texts = list(dict.fromkeys(frame[head.names.index(name)]))[:_SAMPLE]
    if any(taken_apart(text).found for text in texts):
        part.split = (name,)
