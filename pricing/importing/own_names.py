"""A file whose headers are the names of our own columns, in any order: nothing is guessed but how it was saved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pricing.importing.grid import NUMBER, Grid, Note, Unreadable
from pricing.importing.headers import Heading
from pricing.importing.mapping import KINDS, Part
from pricing.importing.numbers import decides
from pricing.importing.vocabulary import plain


def by_own_names(grid: Grid, head: Heading, kind: str, given: Mapping[str, str]) -> Part:
    """The mapping of a sheet to the table that it is laid out as; `given`: columns that are said apart, for all rows. Raises Unreadable with every
    column that is not ours, and with what lacks.
    """
    ours = {plain(column.name): column.name for column in KINDS[kind].columns if column.name not in given}
    part = Part(kind, grid.sheet, head.row)
    for at, name in enumerate(head.names):
        if name and at not in grid.hidden_columns and (target := ours.get(plain(name))):
            part.columns[name] = target
            part.decimals[name] = decides(_typed(grid, head, at))
    if notes := list(_faults(grid, head, part, given)):
        raise Unreadable(*notes)
    return part


def _faults(grid: Grid, head: Heading, part: Part, given: Mapping[str, str]) -> Iterator[Note]:
    columns = [column.name for column in KINDS[part.kind].columns if column.name not in given]
    for at, name in enumerate(head.names):
        if name and name not in part.columns:
            words = f"is no column that is read here: take it out, or call it one of {', '.join(columns)}"
            if at in grid.hidden_columns:
                words = "is hidden in the spreadsheet: show it there, or take it out"
            elif plain(name) in map(plain, given):
                words = "is said for the whole file already: take the column out"
            yield Note("no_such_column", grid.place(grid.rows.index(head.row), at, name), "", words)
    wanted = [column.name for column in KINDS[part.kind].columns if not column.blank and not column.later and column.name not in given]
    lacking = [name for name in wanted if name not in part.columns.values() and name != "source"]
    if lacking:
        words = f"the header lacks {' and '.join(lacking)}: it has the columns {', '.join(columns)}, each by this name"
        yield Note("no_such_column", grid.place(grid.rows.index(head.row)), ", ".join(filter(None, head.names)), words)


def _typed(grid: Grid, head: Heading, at: int) -> Iterator[str]:
    """The column's texts that somebody typed as text: a workbook's numbers have no comma."""
    below = zip(grid.cells[at].iloc[head.first :], grid.kinds[head.first :, at], strict=True)
    return (text for text, kind in below if not kind & NUMBER)
