"""Reads a shop's file into rows of our columns, by a given mapping or a guessed one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from pricing.importing.grid import MOST_BYTES, Grid, Note, Place, Unreadable
from pricing.importing.guess import guessed
from pricing.importing.headers import AMONG, Heading, heading, no_articles
from pricing.importing.mapped_sheet import MappedSheet, map_rows, rows_of
from pricing.importing.mapping import KINDS, OF_THE_LIST, SheetMapping, ShopMapping
from pricing.importing.own_names import by_own_names
from pricing.importing.text_files import grid_of_text
from pricing.importing.vocabulary import KIND, OF_ANY_LIST, plain, table_of
from pricing.importing.workbooks import grids_of_workbook, looks_like_workbook

EACH = "each"


@dataclass(frozen=True, slots=True)
class ImportOptions:
    """The person's choices for an import; None or 0 where something is to be found out.

    `kind`: the table, or `each` to go by the sheets' names or a column of kinds. `header`: the header's row number. `charset` and `delimiter`
    apply to text files. `constants`: values for all rows, by our column. `exact`: the headers are our own column names, so nothing is guessed.
    """

    kind: str | None = None
    mapping: ShopMapping | None = None
    sheet: str | None = None
    header: int = 0
    charset: str | None = None
    delimiter: str | None = None
    constants: Mapping[str, str] = field(default_factory=dict)
    exact: bool = False


@dataclass(slots=True)
class ShopList:
    """A shop's list in our columns, with the mapping that was used."""

    file: str
    mapping: ShopMapping
    sheets: list[MappedSheet]
    notes: list[Note]


def read_list(body: bytes, file: str, options: ImportOptions) -> ShopList:
    """The file's rows in our columns. Raises Unreadable, with advice, if no row can be used."""
    grids = _grids(body, file, options)
    notes = [note for grid in grids for note in grid.notes if not grid.hidden]
    notes += [
        Note("hidden_sheet", grid.place(), "", "is hidden in the workbook and was left out: show it there, or name it with --sheet")
        for grid in grids
        if grid.hidden
    ]
    mapping = options.mapping or ShopMapping(charset=options.charset or "", delimiter=options.delimiter or "")
    planned = list(_works(grids, file, options, notes))
    if not options.mapping:
        mapping.sheets = [each for _, _, each, _, _ in planned]
    sheets = []
    for grid, head, sheet_mapping, kept, sections in planned:
        _constants(sheet_mapping, file, options.constants)
        sheet = map_rows(grid, head, sheet_mapping, kept, sections)
        sheet.notes += head.notes
        sheets.append(sheet)
        notes += list(_not_taken(sheet))
    if not any(each.rows for each in sheets):
        raise Unreadable(
            Note(
                "no_rows",
                Place(file),
                "",
                "no row below the header is an article: check the header's row (--header) and the sheet (--sheet)",
            )
        )
    return ShopList(file, mapping, sheets, notes)


def _grids(body: bytes, file: str, options: ImportOptions) -> list[Grid]:
    if not body:
        raise Unreadable(Note("empty", Place(file), "", "the file is empty: save the list again, with its header row"))
    if len(body) > MOST_BYTES:
        words = f"has {len(body) // 1_000_000} MB, more than the {MOST_BYTES // 1_000_000} MB that are read: split the list, or save it without pictures"
        raise Unreadable(Note("too_large", Place(file), "", words))
    if looks_like_workbook(body) or file.lower().endswith((".xlsx", ".xlsm", ".xls")):
        grids = grids_of_workbook(body, file)
        if not grids:
            raise Unreadable(Note("empty", Place(file), "", "no sheet of the workbook has a row"))
        return _of_sheet(grids, options.sheet, file)
    charset = options.charset or (options.mapping.charset if options.mapping else "") or None
    delimiter = options.delimiter or (options.mapping.delimiter if options.mapping else "") or None
    return [grid_of_text(body, file, charset, delimiter)]


def _of_sheet(grids: list[Grid], name: str | None, file: str) -> list[Grid]:
    """The sheet of that name, even if hidden; all sheets if no name is given."""
    if name is None:
        return grids
    chosen = [grid for grid in grids if grid.sheet.casefold() == name.casefold()]
    if not chosen:
        there = ", ".join(f"'{grid.sheet}'" for grid in grids)
        raise Unreadable(Note("no_such_sheet", Place(file), name, f"is not a sheet of the workbook with rows; it has {there}"))
    chosen[0].hidden = ""
    return chosen


Articles = tuple[list[int], dict[int, str], list[Note]]  # the result of `no_articles`
Work = tuple[Grid, Heading, SheetMapping, list[int], Mapping[int, str]]


def _works(grids: list[Grid], file: str, options: ImportOptions, notes: list[Note]) -> Iterator[Work]:
    if options.mapping:
        return _with_mapping(grids, file, options)
    if options.exact and options.kind:
        return _by_own_names(grids, file, options, options.kind)
    return _guessing(grids, file, options, notes)


def _by_own_names(grids: list[Grid], file: str, options: ImportOptions, kind: str) -> Iterator[Work]:
    """The only sheet, mapped by our own column names. A text alone in its row is an incomplete row here, not a section heading.

    Raises Unreadable.
    """
    (grid,) = _of_kind([grid for grid in grids if not grid.hidden], file, kind, "name one with --sheet")
    head = heading(grid, options.header)
    work = _work(grid, head, by_own_names(grid, head, kind, options.constants))
    words = "stands alone in its row: write the rest of the row, or take it out"
    if alone := [note._replace(words=words) for note in head.notes if note.code == "section"]:
        raise Unreadable(*alone)
    yield work


def _with_mapping(grids: list[Grid], file: str, options: ImportOptions) -> Iterator[Work]:
    """Each sheet mapping with its sheet. Raises Unreadable."""
    sheet_mappings = (
        [sheet_mapping for sheet_mapping in options.mapping.sheets if options.kind in (None, EACH, sheet_mapping.kind)]
        if options.mapping
        else []
    )
    if not sheet_mappings:
        raise Unreadable(
            Note(
                "mapping",
                Place(file),
                options.kind or "",
                "is not a table of the mapping: name one that it has, or import without the mapping and save a new one",
            )
        )
    for sheet_mapping in sheet_mappings:
        grid = next((each for each in grids if each.sheet.casefold() == sheet_mapping.sheet.casefold()), None)
        if grid is None and len(grids) == 1:
            grid = grids[0]
        if grid is None:
            there = ", ".join(f"'{each.sheet}'" for each in grids)
            raise Unreadable(
                Note(
                    "no_such_sheet",
                    Place(file),
                    sheet_mapping.sheet,
                    f"is a sheet of the mapping and none of the workbook, which has {there}",
                )
            )
        yield _work(grid, heading(grid, options.header or _header_of(grid, sheet_mapping)), sheet_mapping)


def _header_of(grid: Grid, sheet_mapping: SheetMapping) -> int:
    """The number of the row with the most of the mapping's headers, preferring the mapping's own header row; 0 if no row has any."""
    wanted = set(sheet_mapping.columns)
    matches = [
        (len(wanted & {" ".join(str(each).split()) for each in grid.cells.iloc[at]}), grid.rows[at])
        for at in range(min(AMONG, len(grid.rows)))
    ]
    most = max((many for many, _ in matches), default=0)
    rows = [row for many, row in matches if many == most]
    return 0 if not most else sheet_mapping.header_row if sheet_mapping.header_row in rows else rows[0]


def _work(grid: Grid, head: Heading, sheet_mapping: SheetMapping, articles: Articles | None = None) -> Work:
    kept, sections, notes = no_articles(grid, head) if articles is None else articles
    head.notes += notes
    return grid, head, sheet_mapping, rows_of(grid, head, sheet_mapping, kept), sections


def _guessing(grids: list[Grid], file: str, options: ImportOptions, notes: list[Note]) -> Iterator[Work]:
    visible = [grid for grid in grids if not grid.hidden]
    if options.kind not in (EACH, None):
        yield from _of_one_kind(visible, file, options, options.kind)
        return
    for grid in visible:
        head = heading(grid, options.header)
        articles = no_articles(grid, head)
        kept = articles[0]
        kinds = _kinds(grid, head, kept)
        if kinds:
            for kind, words in kinds.items():
                sheet_mapping = guessed(grid, head, kind, kept)
                sheet_mapping.rows_of = tuple(words)
                yield _work(grid, heading(grid, options.header), sheet_mapping)
        elif named := table_of(grid.sheet):
            yield _work(grid, head, guessed(grid, head, named, kept), articles)
        else:
            notes.append(
                Note(
                    "unknown_sheet",
                    grid.place(),
                    "",
                    "says by neither its name nor a column of kinds which table it is, and was left out: name it with --sheet and --as",
                )
            )


def _of_one_kind(grids: list[Grid], file: str, options: ImportOptions, kind: str) -> Iterator[Work]:
    for grid in _of_kind(grids, file, kind, f"name one with --sheet, or take all with --as {EACH}"):
        head = heading(grid, options.header)
        articles = no_articles(grid, head)
        yield _work(grid, head, guessed(grid, head, kind, articles[0]), articles)


def _of_kind(grids: list[Grid], file: str, kind: str, how: str) -> list[Grid]:
    """The only sheet, or the one named after the table. Raises Unreadable, saying how to choose one."""
    named = grids if len(grids) == 1 else [grid for grid in grids if table_of(grid.sheet) == kind]
    if len(named) != 1:
        there = ", ".join(f"'{grid.sheet}'" for grid in grids)
        raise Unreadable(Note("several_sheets", Place(file), "", f"has several sheets ({there}): {how}"))
    return named


def _kinds(grid: Grid, head: Heading, kept: list[int]) -> dict[str, list[str]]:
    """For each table, the words in the column of kinds that mean it; empty if there is no such column."""
    for at, bare in enumerate(head.bare):
        if plain(bare) in OF_ANY_LIST[KIND]:
            words_by_kind: dict[str, list[str]] = {}
            for word in dict.fromkeys(grid.cells[at].iloc[kept]):
                if kind := table_of(word):
                    words_by_kind.setdefault(kind, []).append(word)
            if words_by_kind:
                return words_by_kind
    return {}


def _constants(sheet_mapping: SheetMapping, file: str, given: Mapping[str, str]) -> None:
    """Adds the given constants to a sheet's mapping. Rows without a source get the list's name as their source."""
    names = {column.name for column in KINDS[sheet_mapping.kind].columns}
    sheet_mapping.constants |= {name: value for name, value in given.items() if name in names or name in OF_THE_LIST}
    if "source" in names and "source" not in sheet_mapping.columns.values():
        sheet_mapping.constants.setdefault("source", f"list {file}"[:300])


def _not_taken(sheet: MappedSheet) -> Iterator[Note]:
    """Notes on columns that the mapping ignores or does not name, and on those without a header."""
    for at, name in enumerate(sheet.head.names):
        if not name and sheet.grid.sheet and any(sheet.grid.cells[at].iloc[sheet.rows]):
            yield Note("not_taken", sheet.grid.place(None, at), "", "has no header, and was not read")
        if name and not sheet.mapping.columns.get(name) and any(sheet.grid.cells[at]) and at not in sheet.grid.hidden_columns:
            known = name in sheet.mapping.columns
            words = f"is not taken for {sheet.mapping.kind}" + ("" if known else ": the mapping does not name it")
            yield Note("not_taken", sheet.grid.place(None, at, name), "", words)
