"""Takes a sheet's rows over into the columns of one table, by a mapping; every cell that cannot be read is named, its row is refused."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from pricing.catalogue.schema import Column, Table
from pricing.catalogue.tables_prices import PRICES
from pricing.importing.convert import Read, Way, day_before, formula, hand_in, last_day_in, reader
from pricing.importing.grid import Grid, Note, Place, Unreadable
from pricing.importing.headers import Heading, heading, no_articles
from pricing.importing.mapping import KINDS, Part
from pricing.importing.names import taken_apart
from pricing.importing.vocabulary import KIND, NOT_FROM, PRICE, STATUS, has_ended, plain, status_ended, table_of

if TYPE_CHECKING:
    import pandas

_UNIT_PRICE = next(column for column in PRICES.columns if column.name == "unit_price")
_FROM_NAMES = ("family", "attachment", "constructions", "wire_sizes", "pin", "thread", "hand")


class Shown(NamedTuple):
    """A line of the mapping as it is shown: what becomes of a column, with one of its cells, and how many were read of those filled."""

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
class Taken:
    """What one part made of one sheet. `rows`: positions in the grid; `columns`: ours, each with its texts in the order of `rows`; `bad`:
    positions of refused rows; `assumed`: (header, what was assumed) -> positions; `ended`: positions of what is no longer sold, with the text
    that says so.
    """

    part: Part
    grid: Grid
    head: Heading
    rows: list[int]
    columns: dict[str, list[str]]
    shown: list[Shown] = field(default_factory=list)
    faults: list[Note] = field(default_factory=list)
    said: list[Note] = field(default_factory=list)
    bad: set[int] = field(default_factory=set)
    assumed: dict[tuple[str, str], list[int]] = field(default_factory=dict)
    ended: dict[int, str] = field(default_factory=dict)

    @property
    def frame(self) -> pandas.DataFrame:
        """The columns, by position in the grid."""
        import pandas

        return pandas.DataFrame(self.columns, index=self.rows, dtype=object)

    def cell(self, at: int, name: str) -> str:
        """The text in our column of the row at that position; blank where the column is not there."""
        texts = self.columns.get(name)
        return texts[bisect_left(self.rows, at)] if texts is not None else ""

    @property
    def table(self) -> Table:
        """The table that the rows are of."""
        return KINDS[self.part.kind]

    def place(self, at: int, target: str = "") -> Place:
        """Where the row stands in the shop's file, and which of its columns became ours."""
        header = next((name for name, each in self.part.columns.items() if each == target), "") if target else ""
        if header in self.head.names:
            return self.grid.place(at, self.head.names.index(header), header)
        return self.grid.place(at)

    def refuse(self, at: int, target: str, code: str, found: str, words: str) -> None:
        """Refuse a row for one of its cells."""
        self.faults.append(Note(code, self.place(at, target), found, words))
        self.bad.add(at)


def rows_of(grid: Grid, head: Heading, part: Part, kept: Sequence[int]) -> list[int]:
    """Of the rows that may be articles, those that the mapping means for this table."""
    at = _column_of(part, head, KIND)
    if at is None:
        return list(kept)
    wanted = {plain(word) for word in part.rows_of}
    texts = grid.cells[at].to_list()
    return [row for row in kept if (plain(texts[row]) in wanted if wanted else table_of(texts[row]) in (None, part.kind))]


def taken(grid: Grid, head: Heading, part: Part, rows: Sequence[int], sections: Mapping[int, str]) -> Taken:
    """The rows in our columns. Raises Unreadable where the mapping names a column that the sheet has not."""
    _known(grid, head, part)
    table = KINDS[part.kind]
    columns = {column.name: column for column in table.columns}
    found = Taken(part, grid, head, list(rows), {name: [""] * len(rows) for name in columns})
    for header, target in part.columns.items():
        column = columns.get(target) or (_UNIT_PRICE if target.startswith(PRICE) and target not in columns else None)
        if column is not None and target not in (STATUS, KIND):
            found.columns[target] = _column(found, header, target, column, rows)
        elif target == NOT_FROM and "until" in columns:
            until = _column(found, header, target, columns["until"], rows)
            found.columns["until"] = [one or other for one, other in zip(found.columns["until"], until, strict=True)]
        elif target:
            found.shown.append(_as_is(found, header, target, rows))
    _beyond(found)
    _from_threads(found)
    _from_names(found, columns, sections)
    for name, value in part.constants.items():
        if name in columns:
            _constant(found, columns[name], value)
    _ended(found)
    return found


def _beyond(found: Taken) -> None:
    """Refuse rows of a text that go on beyond the header: a mark that sets cells apart stands within a cell, and all behind it have shifted."""
    last = max((at for at, name in enumerate(found.head.names) if name), default=0)
    if found.grid.sheet:
        return
    words = "stands beyond the header's last column: put a cell that contains the mark between cells in quotation marks"
    for column in range(last + 1, found.grid.cells.shape[1]):
        texts = found.grid.cells[column].to_numpy()
        for at in found.rows:
            if texts[at]:
                found.faults.append(Note("beyond", found.grid.place(at, column), texts[at], words))
                found.bad.add(at)


def _known(grid: Grid, head: Heading, part: Part) -> None:
    missing = [name for name in (*part.columns, *part.split) if name not in head.names and part.columns.get(name, "x")]
    if missing:
        there = ", ".join(f"'{name}'" for name in head.names if name)
        words = f"is a column of the mapping, and not of the sheet's header in row {head.row}, which has {there}: correct the mapping"
        raise Unreadable(*(Note("no_such_column", grid.place(), name, words) for name in dict.fromkeys(missing)))


def _column_of(part: Part, head: Heading, target: str) -> int | None:
    return next((head.names.index(name) for name, each in part.columns.items() if each == target and name in head.names), None)


def _column(found: Taken, header: str, target: str, column: Column, rows: Sequence[int]) -> list[str]:
    """A column's cells as ours; each distinct text is read once."""
    part, grid, at = found.part, found.grid, found.head.names.index(header)
    read = reader(column, Way(part.units.get(header, ""), part.decimals.get(header, ""), part.words.get(target, {})))
    if target == NOT_FROM:
        read = _before(read)
    memo: dict[tuple[str, int], Read] = {}
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
            found.refuse(row, target, "cell", key[0] or "a blank cell", got.problem)
        elif got.text:
            good += 1
            example = example or (key[0], got.text)
        if got.assumed:
            found.assumed.setdefault((header, got.assumed), []).append(row)
    if formulas:
        found.assumed.setdefault((header, "what formulas came to when the workbook was saved"), []).extend(
            row for row in rows if formula(int(kinds[row]))
        )
    said, becomes = example or ("", "")
    found.shown.append(Shown(header, at, target, part.units.get(header, ""), part.decimals.get(header, ""), said, becomes, good, filled))
    return cells


def _before(read: Callable[[str, int], Read]) -> Callable[[str, int], Read]:
    """The same reader of days, for the day before."""

    def before(text: str, kind: int) -> Read:
        found = read(text, kind)
        return found if found.problem or not found.text else day_before(found.text)

    return before


def _as_is(found: Taken, header: str, target: str, rows: Sequence[int]) -> Shown:
    at = found.head.names.index(header)
    texts = [text for text in found.grid.cells[at].iloc[list(rows)] if text]
    return Shown(header, at, target, "", "", texts[0] if texts else "", "", len(texts), len(texts))


def _from_threads(found: Taken) -> None:
    """The hand that stands behind a thread, such as in 'M10 LH', where the row has none."""
    hand = "hand" if "hand" in found.columns else "stud_hand"
    header = next((name for name, target in found.part.columns.items() if target in ("thread", "designation")), None)
    if hand not in found.columns or header is None:
        return
    texts = found.grid.cells[found.head.names.index(header)].to_list()
    for place, at in enumerate(found.rows):
        if not found.columns[hand][place] and (code := hand_in(texts[at])):
            found.columns[hand][place] = code
            found.assumed.setdefault((header, f"{hand} from the thread"), []).append(at)


def _from_names(found: Taken, columns: dict[str, Column], sections: Mapping[int, str]) -> None:
    """What names tell, in rows whose own cells are blank; then what the heading of their section tells."""
    read = {name: reader(columns[name], Way(words=found.part.words.get(name, {}))) for name in _FROM_NAMES if name in columns}
    sources = [(header, found.grid.cells[found.head.names.index(header)].to_list()) for header in found.part.split]
    for header, texts in sources:
        for place, at in enumerate(found.rows):
            _filled(found, place, header, texts[at], read)
    if found.part.split and any(sections.values()):
        for place, at in enumerate(found.rows):
            _filled(found, place, "heading of the section", sections[at], read)


def _filled(found: Taken, place: int, header: str, name: str, read: dict[str, Callable[[str, int], Read]]) -> None:
    apart, at = taken_apart(name), found.rows[place]
    for column, text in apart.found.items():
        if column in read and not found.columns[column][place] and _applies(found, place, column):
            got = read[column](text, 0)
            if got.text:
                found.columns[column][place] = got.text
                found.assumed.setdefault((header, f"{column} taken from it"), []).append(at)
    if apart.open and "wire_sizes" in found.columns and not found.columns["wire_sizes"][place]:
        found.said.append(Note("name_open", found.grid.place(at), name, apart.open))


def _applies(found: Taken, place: int, column: str) -> bool:
    """A pin only for a family that has one, a thread and a hand only for one that is threaded."""
    family = found.columns["family"][place] if "family" in found.columns else ""
    if not family or column not in ("pin", "thread", "hand"):
        return True
    return any(column in rule.needs for rule in found.table.rules if rule.when.get("family") == (family,))


def _constant(found: Taken, column: Column, value: str) -> None:
    try:
        column.cell.read(value)
    except ValueError:
        raise Unreadable(
            Note("constant", found.grid.place(), value, f"is no value for {column.name}: write {column.cell.expected}")
        ) from None
    found.columns[column.name] = [text or value for text in found.columns[column.name]]


def _ended(found: Taken) -> None:
    """Rows whose status, or whose name, says that the article is no longer sold."""
    at_status = _column_of(found.part, found.head, STATUS)
    statuses = found.grid.cells[at_status].to_list() if at_status is not None else [""] * len(found.grid.rows)
    more = {plain(word) for word in found.part.ended}
    names = found.columns.get("name", [""] * len(found.rows))
    for place, at in enumerate(found.rows):
        said = statuses[at]
        if "until" in found.columns and (day := last_day_in(said)) is not None:
            _until(found, place, at, said, day)
        elif status_ended(said) or (more and plain(said) in more):
            found.ended[at] = said
        elif has_ended(names[place]):
            found.ended[at] = names[place]


def _until(found: Taken, place: int, at: int, said: str, day: Read) -> None:
    """The last day that a status names: the article is taken, and known to end."""
    if day.problem:
        found.refuse(at, STATUS, "cell", said, day.problem)
    elif not found.columns["until"][place]:
        found.columns["until"][place] = day.text
        header = next(name for name, target in found.part.columns.items() if target == STATUS)
        found.assumed.setdefault((header, day.assumed), []).append(at)


__all__ = ["Shown", "Taken", "heading", "no_articles", "rows_of", "taken"]
