"""From a shop's file to its rows in our columns: read, mapped as told or as guessed, taken over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from pricing.importing.grid import MOST_BYTES, Grid, Note, Place, Unreadable
from pricing.importing.guess import guessed
from pricing.importing.headers import AMONG, Heading, heading, no_articles
from pricing.importing.mapping import KINDS, OF_THE_LIST, Part, ShopMapping
from pricing.importing.own_names import by_own_names
from pricing.importing.taking import Taken, rows_of, taken
from pricing.importing.text_files import grid_of_text
from pricing.importing.vocabulary import KIND, OF_ANY_LIST, plain, table_of
from pricing.importing.workbooks import grids_of_workbook, looks_like_workbook

EACH = "each"


@dataclass(frozen=True, slots=True)
class Told:
    """What the person said: the table (or `each`: by the sheets' names or a column of kinds), a mapping, a sheet, the header's row, charset and
    delimiter of a text, and constants by our column. `exact`: the headers are the names of our columns, and nothing is guessed by them.
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
    """A shop's list as taken over, with the mapping that did it."""

    file: str
    mapping: ShopMapping
    taken: list[Taken]
    said: list[Note]


def read_list(body: bytes, file: str, told: Told) -> ShopList:
    """The file's rows in our columns. Raises Unreadable with what to do."""
    grids = _grids(body, file, told)
    said = [note for grid in grids for note in grid.said if not grid.hidden]
    said += [
        Note("hidden_sheet", grid.place(), "", "is hidden in the workbook and was left out: show it there, or name it with --sheet")
        for grid in grids
        if grid.hidden
    ]
    mapping = told.mapping or ShopMapping(charset=told.charset or "", delimiter=told.delimiter or "")
    works = list(_works(grids, file, told, said))
    if not told.mapping:
        mapping.parts = [part for _, _, part, _, _ in works]
    parts = []
    for grid, head, part, kept, sections in works:
        _constants(part, file, told.constants)
        found = taken(grid, head, part, kept, sections)
        found.said += head.said
        parts.append(found)
        said += list(_not_taken(found))
    if not any(part.rows for part in parts):
        raise Unreadable(
            Note(
                "no_rows",
                Place(file),
                "",
                "no row below the header is an article: check the header's row (--header) and the sheet (--sheet)",
            )
        )
    return ShopList(file, mapping, parts, said)


def _grids(body: bytes, file: str, told: Told) -> list[Grid]:
    if not body:
        raise Unreadable(Note("empty", Place(file), "", "the file is empty: save the list again, with its header row"))
    if len(body) > MOST_BYTES:
        words = f"has {len(body) // 1_000_000} MB, more than the {MOST_BYTES // 1_000_000} MB that are read: split the list, or save it without pictures"
        raise Unreadable(Note("too_large", Place(file), "", words))
    if looks_like_workbook(body) or file.lower().endswith((".xlsx", ".xlsm", ".xls")):
        grids = grids_of_workbook(body, file)
        if not grids:
            raise Unreadable(Note("empty", Place(file), "", "no sheet of the workbook has a row"))
        return _of_sheet(grids, told.sheet, file)
    charset = told.charset or (told.mapping.charset if told.mapping else "") or None
    delimiter = told.delimiter or (told.mapping.delimiter if told.mapping else "") or None
    return [grid_of_text(body, file, charset, delimiter)]


def _of_sheet(grids: list[Grid], name: str | None, file: str) -> list[Grid]:
    """The sheet of that name, though it be hidden, or all."""
    if name is None:
        return grids
    found = [grid for grid in grids if grid.sheet.casefold() == name.casefold()]
    if not found:
        there = ", ".join(f"'{grid.sheet}'" for grid in grids)
        raise Unreadable(Note("no_such_sheet", Place(file), name, f"is no sheet of the workbook with rows; it has {there}"))
    found[0].hidden = ""
    return found


Articles = tuple[list[int], dict[int, str], list[Note]]  # as `no_articles` finds them
Work = tuple[Grid, Heading, Part, list[int], Mapping[int, str]]


def _works(grids: list[Grid], file: str, told: Told, said: list[Note]) -> Iterator[Work]:
    if told.mapping:
        return _with_mapping(grids, file, told)
    if told.exact and told.kind:
        return _by_own_names(grids, file, told, told.kind)
    return _guessing(grids, file, told, said)


def _by_own_names(grids: list[Grid], file: str, told: Told, kind: str) -> Iterator[Work]:
    """The one sheet, mapped by the names of our columns; what stands alone in a row is no heading there, but a row that lacks the rest. Raises
    Unreadable.
    """
    (grid,) = _of_kind([grid for grid in grids if not grid.hidden], file, kind, "name one with --sheet")
    head = heading(grid, told.header)
    work = _work(grid, head, by_own_names(grid, head, kind, told.constants))
    words = "stands alone in its row: write the rest of the row, or take it out"
    if alone := [note._replace(words=words) for note in head.said if note.code == "section"]:
        raise Unreadable(*alone)
    yield work


def _with_mapping(grids: list[Grid], file: str, told: Told) -> Iterator[Work]:
    """Each part of the mapping on its sheet. Raises Unreadable."""
    parts = [part for part in told.mapping.parts if told.kind in (None, EACH, part.kind)] if told.mapping else []
    if not parts:
        raise Unreadable(
            Note(
                "mapping",
                Place(file),
                told.kind or "",
                "is no table of the mapping: name one that it has, or import without the mapping and save a new one",
            )
        )
    for part in parts:
        grid = next((each for each in grids if each.sheet.casefold() == part.sheet.casefold()), None)
        if grid is None and len(grids) == 1:
            grid = grids[0]
        if grid is None:
            there = ", ".join(f"'{each.sheet}'" for each in grids)
            raise Unreadable(
                Note("no_such_sheet", Place(file), part.sheet, f"is a sheet of the mapping and none of the workbook, which has {there}")
            )
        yield _work(grid, heading(grid, told.header or _header_of(grid, part)), part)


def _header_of(grid: Grid, part: Part) -> int:
    """The number of the row that has most of the mapping's columns, that of the mapping before others; 0 if none has any."""
    wanted = set(part.columns)
    found = [
        (len(wanted & {" ".join(str(each).split()) for each in grid.cells.iloc[at]}), grid.rows[at])
        for at in range(min(AMONG, len(grid.rows)))
    ]
    most = max((many for many, _ in found), default=0)
    rows = [row for many, row in found if many == most]
    return 0 if not most else part.header_row if part.header_row in rows else rows[0]


def _work(grid: Grid, head: Heading, part: Part, found: Articles | None = None) -> Work:
    kept, sections, said = no_articles(grid, head) if found is None else found
    head.said += said
    return grid, head, part, rows_of(grid, head, part, kept), sections


def _guessing(grids: list[Grid], file: str, told: Told, said: list[Note]) -> Iterator[Work]:
    visible = [grid for grid in grids if not grid.hidden]
    if told.kind not in (EACH, None):
        yield from _of_one_kind(visible, file, told, told.kind)
        return
    for grid in visible:
        head = heading(grid, told.header)
        found = no_articles(grid, head)
        kept = found[0]
        kinds = _kinds(grid, head, kept)
        if kinds:
            for kind, words in kinds.items():
                part = guessed(grid, head, kind, kept)
                part.rows_of = tuple(words)
                yield _work(grid, heading(grid, told.header), part)
        elif named := table_of(grid.sheet):
            yield _work(grid, head, guessed(grid, head, named, kept), found)
        else:
            said.append(
                Note(
                    "unknown_sheet",
                    grid.place(),
                    "",
                    "says by neither its name nor a column of kinds which table it is, and was left out: name it with --sheet and --as",
                )
            )


def _of_one_kind(grids: list[Grid], file: str, told: Told, kind: str) -> Iterator[Work]:
    for grid in _of_kind(grids, file, kind, f"name one with --sheet, or take all with --as {EACH}"):
        head = heading(grid, told.header)
        found = no_articles(grid, head)
        yield _work(grid, head, guessed(grid, head, kind, found[0]), found)


def _of_kind(grids: list[Grid], file: str, kind: str, how: str) -> list[Grid]:
    """The only sheet, or the one that is called like the table. Raises Unreadable, which says how to name one."""
    named = grids if len(grids) == 1 else [grid for grid in grids if table_of(grid.sheet) == kind]
    if len(named) != 1:
        there = ", ".join(f"'{grid.sheet}'" for grid in grids)
        raise Unreadable(Note("several_sheets", Place(file), "", f"has several sheets ({there}): {how}"))
    return named


def _kinds(grid: Grid, head: Heading, kept: list[int]) -> dict[str, list[str]]:
    """By table, the words of the column of kinds that mean it; empty if there is no such column."""
    for at, bare in enumerate(head.bare):
        if plain(bare) in OF_ANY_LIST[KIND]:
            found: dict[str, list[str]] = {}
            for word in dict.fromkeys(grid.cells[at].iloc[kept]):
                if kind := table_of(word):
                    found.setdefault(kind, []).append(word)
            if found:
                return found
    return {}


def _constants(part: Part, file: str, told: Mapping[str, str]) -> None:
    """What the person said, where the part has not said it; a row that names no source has the list's name as its source."""
    names = {column.name for column in KINDS[part.kind].columns}
    part.constants |= {name: value for name, value in told.items() if name in names or name in OF_THE_LIST}
    if "source" in names and "source" not in part.columns.values():
        part.constants.setdefault("source", f"list {file}"[:300])


def _not_taken(found: Taken) -> Iterator[Note]:
    """Columns of the sheet that the mapping does not take, or does not know, and those without a header."""
    for at, name in enumerate(found.head.names):
        if not name and found.grid.sheet and any(found.grid.cells[at].iloc[found.rows]):
            yield Note("not_taken", found.grid.place(None, at), "", "has no header, and was not read")
        if name and not found.part.columns.get(name) and any(found.grid.cells[at]) and at not in found.grid.hidden_columns:
            known = name in found.part.columns
            words = f"is not taken for {found.part.kind}" + ("" if known else ": the mapping does not name it")
            yield Note("not_taken", found.grid.place(None, at, name), "", words)
