"""Maps a sheet's rows to the columns of one table. Every cell that cannot be read is reported, and its row refused."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from pricing.catalogue.schema import Column, Table
from pricing.catalogue.tables_prices import PRICES
from pricing.importing.convert import ColumnFormat, ReadCell, day_before, formula, hand_in, last_day_in, reader
from pricing.importing.grid import Grid, Note, Place, Unreadable
from pricing.importing.headers import Heading, heading, no_articles
from pricing.importing.mapping import KINDS, SheetMapping
from pricing.importing.names import taken_apart
from pricing.importing.vocabulary import KIND, NOT_FROM, PRICE, STATUS, has_ended, plain, status_ended, table_of

if TYPE_CHECKING:
    import pandas

_UNIT_PRICE = next(column for column in PRICES.columns if column.name == "unit_price")
_FROM_NAMES = ("family", "attachment", "constructions", "wire_sizes", "pin", "thread", "hand")


class Shown(NamedTuple):
    """A line of the displayed mapping: a column's target, an example cell with its result, and how many of the filled cells were read."""

    header: str
    column: int
    target: str
    unit: str
    decimal: str
    example: str
    becomes: str
    read: int
    filled: int


@dataclass(slots=True)
class MappedSheet:
    """A sheet's rows in the columns of one table.

    `rows`: positions in the grid. `columns`: our columns, each with its texts in the order of `rows`. `bad`: positions of refused rows, whose
    `faults` say why. `assumed`: (header, assumption) -> positions. `ended`: positions of discontinued articles, each with the text that says
    so.
    """

    mapping: SheetMapping
    grid: Grid
    head: Heading
    rows: list[int]
    columns: dict[str, list[str]]
    shown: list[Shown] = field(default_factory=list)
    faults: list[Note] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    bad: set[int] = field(default_factory=set)
    assumed: dict[tuple[str, str], list[int]] = field(default_factory=dict)
    ended: dict[int, str] = field(default_factory=dict)

    @property
    def frame(self) -> pandas.DataFrame:
        """The columns, by position in the grid."""
        import pandas

        return pandas.DataFrame(self.columns, index=self.rows, dtype=object)

    def cell(self, at: int, name: str) -> str:
        """The text in our column `name` of the row at that position; blank if there is no such column."""
        texts = self.columns.get(name)
        return texts[bisect_left(self.rows, at)] if texts is not None else ""

    @property
    def table(self) -> Table:
        """The table that the rows belong to."""
        return KINDS[self.mapping.kind]

    def place(self, at: int, target: str = "") -> Place:
        """The row's place in the shop's file; with `target`, the place of the cell that was mapped to this column of ours."""
        header = next((name for name, each in self.mapping.columns.items() if each == target), "") if target else ""
        if header in self.head.names:
            return self.grid.place(at, self.head.names.index(header), header)
        return self.grid.place(at)

    def refuse(self, at: int, target: str, code: str, found: str, words: str) -> None:
        """Refuse a row for one of its cells."""
        self.faults.append(Note(code, self.place(at, target), found, words))
        self.bad.add(at)


def rows_of(grid: Grid, head: Heading, mapping: SheetMapping, kept: Sequence[int]) -> list[int]:
    """The positions, among `kept`, of the rows that the mapping assigns to this table."""
    at = _column_of(mapping, head, KIND)
    if at is None:
        return list(kept)
    wanted = {plain(word) for word in mapping.rows_of}
    texts = grid.cells[at].to_list()
    return [row for row in kept if (plain(texts[row]) in wanted if wanted else table_of(texts[row]) in (None, mapping.kind))]


def map_rows(grid: Grid, head: Heading, mapping: SheetMapping, rows: Sequence[int], sections: Mapping[int, str]) -> MappedSheet:
    """The rows in our columns. Raises Unreadable if the mapping names a column that the sheet does not have."""
    _known(grid, head, mapping)
    table = KINDS[mapping.kind]
    columns = {column.name: column for column in table.columns}
    sheet = MappedSheet(mapping, grid, head, list(rows), {name: [""] * len(rows) for name in columns})
    for header, target in mapping.columns.items():
        column = columns.get(target) or (_UNIT_PRICE if target.startswith(PRICE) and target not in columns else None)
        if column is not None and target not in (STATUS, KIND):
            sheet.columns[target] = _column(sheet, header, target, column, rows)
        elif target == NOT_FROM and "until" in columns:
            until = _column(sheet, header, target, columns["until"], rows)
            sheet.columns["until"] = [one or other for one, other in zip(sheet.columns["until"], until, strict=True)]
        elif target:
            sheet.shown.append(_as_is(sheet, header, target, rows))
    _beyond(sheet)
    _from_threads(sheet)
    _from_names(sheet, columns, sections)
    for name, value in mapping.constants.items():
        if name in columns:
            _constant(sheet, columns[name], value)
    _ended(sheet)
    return sheet


def _beyond(sheet: MappedSheet) -> None:
    """Refuse rows of a text file that are longer than the header: a delimiter inside a cell has shifted the cells after it."""
    last = max((at for at, name in enumerate(sheet.head.names) if name), default=0)
    if sheet.grid.sheet:
        return
    words = "stands beyond the header's last column: put a cell that contains the mark between cells in quotation marks"
    for column in range(last + 1, sheet.grid.cells.shape[1]):
        texts = sheet.grid.cells[column].to_numpy()
        for at in sheet.rows:
            if texts[at]:
                sheet.faults.append(Note("beyond", sheet.grid.place(at, column), texts[at], words))
                sheet.bad.add(at)


def _known(grid: Grid, head: Heading, mapping: SheetMapping) -> None:
    missing = [name for name in (*mapping.columns, *mapping.split) if name not in head.names and mapping.columns.get(name, "x")]
    if missing:
        there = ", ".join(f"'{name}'" for name in head.names if name)
        words = f"is a column of the mapping, and not of the sheet's header in row {head.row}, which has {there}: correct the mapping"
        raise Unreadable(*(Note("no_such_column", grid.place(), name, words) for name in dict.fromkeys(missing)))


def _column_of(mapping: SheetMapping, head: Heading, target: str) -> int | None:
    return next((head.names.index(name) for name, each in mapping.columns.items() if each == target and name in head.names), None)


def _column(sheet: MappedSheet, header: str, target: str, column: Column, rows: Sequence[int]) -> list[str]:
    """The converted cells of a column; each distinct text is converted once."""
    mapping, grid, at = sheet.mapping, sheet.grid, sheet.head.names.index(header)
    read = reader(column, ColumnFormat(mapping.units.get(header, ""), mapping.decimals.get(header, ""), mapping.words.get(target, {})))
    if target == NOT_FROM:
        read = _before(read)
    memo: dict[tuple[str, int], ReadCell] = {}
    cells: list[str] = []
    texts, kinds = grid.cells[at].to_numpy(), grid.kinds[:, at]
    filled = good = formulas = 0
    example = None
    for row in rows:
        key = (texts[row], int(kinds[row]))
        got = memo.get(key)
        if got is None:
            got = memo[key] = read(*key)
        cells.append(got.text)
        filled += bool(key[0]) or bool(got.problem)
        formulas += formula(key[1])
        if got.problem:
            sheet.refuse(row, target, "cell", key[0] or "a blank cell", got.problem)
        elif got.text:
            good += 1
            example = example or (key[0], got.text)
        if got.assumed:
            sheet.assumed.setdefault((header, got.assumed), []).append(row)
    if formulas:
        sheet.assumed.setdefault((header, "what formulas came to when the workbook was saved"), []).extend(
            row for row in rows if formula(int(kinds[row]))
        )
    example_text, becomes = example or ("", "")
    sheet.shown.append(
        Shown(header, at, target, mapping.units.get(header, ""), mapping.decimals.get(header, ""), example_text, becomes, good, filled)
    )
    return cells


def _before(read: Callable[[str, int], ReadCell]) -> Callable[[str, int], ReadCell]:
    """A reader that returns the day before the one read."""

    def before(text: str, kind: int) -> ReadCell:
        day = read(text, kind)
        return day if day.problem or not day.text else day_before(day.text)

    return before


def _as_is(sheet: MappedSheet, header: str, target: str, rows: Sequence[int]) -> Shown:
    at = sheet.head.names.index(header)
    texts = [text for text in sheet.grid.cells[at].iloc[list(rows)] if text]
    return Shown(header, at, target, "", "", texts[0] if texts else "", "", len(texts), len(texts))


def _from_threads(sheet: MappedSheet) -> None:
    """Fill in the hand written after a thread, such as in 'M10 LH', in rows without one."""
    hand = "hand" if "hand" in sheet.columns else "stud_hand"
    header = next((name for name, target in sheet.mapping.columns.items() if target in ("thread", "designation")), None)
    if hand not in sheet.columns or header is None:
        return
    texts = sheet.grid.cells[sheet.head.names.index(header)].to_list()
    for place, at in enumerate(sheet.rows):
        if not sheet.columns[hand][place] and (code := hand_in(texts[at])):
            sheet.columns[hand][place] = code
            sheet.assumed.setdefault((header, f"{hand} from the thread"), []).append(at)


def _from_names(sheet: MappedSheet, columns: dict[str, Column], sections: Mapping[int, str]) -> None:
    """Fill blank cells from the articles' names, then from their section headings."""
    read = {name: reader(columns[name], ColumnFormat(words=sheet.mapping.words.get(name, {}))) for name in _FROM_NAMES if name in columns}
    sources = [(header, sheet.grid.cells[sheet.head.names.index(header)].to_list()) for header in sheet.mapping.split]
    for header, texts in sources:
        for place, at in enumerate(sheet.rows):
            _filled(sheet, place, header, texts[at], read)
    if sheet.mapping.split and any(sections.values()):
        for place, at in enumerate(sheet.rows):
            _filled(sheet, place, "heading of the section", sections[at], read)


def _filled(sheet: MappedSheet, place: int, header: str, name: str, read: dict[str, Callable[[str, int], ReadCell]]) -> None:
    apart, at = taken_apart(name), sheet.rows[place]
    for column, text in apart.found.items():
        if column in read and not sheet.columns[column][place] and _applies(sheet, place, column):
            got = read[column](text, 0)
            if got.text:
                sheet.columns[column][place] = got.text
                sheet.assumed.setdefault((header, f"{column} taken from it"), []).append(at)
    if apart.open and "wire_sizes" in sheet.columns and not sheet.columns["wire_sizes"][place]:
        sheet.notes.append(Note("name_open", sheet.grid.place(at), name, apart.open))


def _applies(sheet: MappedSheet, place: int, column: str) -> bool:
    """Whether a column applies to the row's family: a pin, thread or hand only where the family has one."""
    family = sheet.columns["family"][place] if "family" in sheet.columns else ""
    if not family or column not in ("pin", "thread", "hand"):
        return True
    return any(column in rule.needs for rule in sheet.table.rules if rule.when.get("family") == (family,))


def _constant(sheet: MappedSheet, column: Column, value: str) -> None:
    try:
        column.cell.read(value)
    except ValueError:
        raise Unreadable(
            Note("constant", sheet.grid.place(), value, f"is not a value for {column.name}: write {column.cell.expected}")
        ) from None
    sheet.columns[column.name] = [text or value for text in sheet.columns[column.name]]


def _ended(sheet: MappedSheet) -> None:
    """Find rows whose status or name says that the article is discontinued."""
    at_status = _column_of(sheet.mapping, sheet.head, STATUS)
    statuses = sheet.grid.cells[at_status].to_list() if at_status is not None else [""] * len(sheet.grid.rows)
    more = {plain(word) for word in sheet.mapping.ended}
    names = sheet.columns.get("name", [""] * len(sheet.rows))
    for place, at in enumerate(sheet.rows):
        status = statuses[at]
        if "until" in sheet.columns and (day := last_day_in(status)) is not None:
            _until(sheet, place, at, status, day)
        elif status_ended(status) or (more and plain(status) in more):
            sheet.ended[at] = status
        elif has_ended(names[place]):
            sheet.ended[at] = names[place]


def _until(sheet: MappedSheet, place: int, at: int, status: str, day: ReadCell) -> None:
    """Record the last day named in a status: the article is imported with that last day."""
    if day.problem:
        sheet.refuse(at, STATUS, "cell", status, day.problem)
    elif not sheet.columns["until"][place]:
        sheet.columns["until"][place] = day.text
        header = next(name for name, target in sheet.mapping.columns.items() if target == STATUS)
        sheet.assumed.setdefault((header, day.assumed), []).append(at)


__all__ = ["MappedSheet", "Shown", "heading", "map_rows", "no_articles", "rows_of"]
