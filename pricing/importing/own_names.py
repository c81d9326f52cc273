"""Maps a file whose headers are our own column names, in any order: only charset and delimiter are guessed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pricing.importing.grid import NUMBER, Grid, Note, Unreadable
from pricing.importing.headers import Heading
from pricing.importing.mapping import KINDS, SheetMapping
from pricing.importing.numbers import decides
from pricing.importing.vocabulary import plain


def by_own_names(grid: Grid, head: Heading, kind: str, given: Mapping[str, str]) -> SheetMapping:
    """The mapping of a sheet laid out as the table `kind`. `given`: columns whose value is given for all rows.

    Raises Unreadable, naming every column that is not ours and every one that is missing.
    """
    ours = {plain(column.name): column.name for column in KINDS[kind].columns if column.name not in given}
    mapping = SheetMapping(kind, grid.sheet, head.row)
    for at, name in enumerate(head.names):
        if name and at not in grid.hidden_columns and (target := ours.get(plain(name))):
            mapping.columns[name] = target
            mapping.decimals[name] = decides(_typed(grid, head, at))
    if notes := list(_faults(grid, head, mapping, given)):
        raise Unreadable(*notes)
    return mapping


def _faults(grid: Grid, head: Heading, mapping: SheetMapping, given: Mapping[str, str]) -> Iterator[Note]:
    columns = [column.name for column in KINDS[mapping.kind].columns if column.name not in given]
    for at, name in enumerate(head.names):
        if name and name not in mapping.columns:
            words = f"is not a column that is read here: take it out, or call it one of {', '.join(columns)}"
            if at in grid.hidden_columns:
                words = "is hidden in the spreadsheet: show it there, or take it out"
            elif plain(name) in map(plain, given):
                words = "is said for the whole file already: take the column out"
            yield Note("no_such_column", grid.place(grid.rows.index(head.row), at, name), "", words)
    wanted = [column.name for column in KINDS[mapping.kind].columns if not column.blank and not column.later and column.name not in given]
    lacking = [name for name in wanted if name not in mapping.columns.values() and name != "source"]
    if lacking:
        words = f"the header lacks {' and '.join(lacking)}: it has the columns {', '.join(columns)}, each by this name"
        yield Note("no_such_column", grid.place(grid.rows.index(head.row)), ", ".join(filter(None, head.names)), words)


def _typed(grid: Grid, head: Heading, at: int) -> Iterator[str]:
    """The column's texts that were typed as text: numbers stored by a workbook never have a comma."""
    below = zip(grid.cells[at].iloc[head.first :], grid.kinds[head.first :, at], strict=True)
    return (text for text, kind in below if not kind & NUMBER)
