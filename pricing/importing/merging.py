"""Merges the rows of a list into a folder's tables by key, and counts what is new, changed and unchanged, or says why nothing can be merged.

Nothing is written to disk: the new file texts are returned, with the origin of each merged row in the shop's list.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.catalogue.schema import Table
from pricing.errors import TableFault
from pricing.importing.currencies import CURRENCY, currency_mismatches, of_shop
from pricing.importing.grid import Note, Place, ranges
from pricing.importing.lacking import NEVER_ASKED, lacks
from pricing.importing.mapped_sheet import MappedSheet
from pricing.importing.mapping import KINDS
from pricing.importing.tables_as_text import Counts, Origin, TextTable, canonical, key_of
from pricing.importing.vocabulary import PRICE, PRICE_FROM

if TYPE_CHECKING:
    import pandas

PRICES, SOLD_ONLY = "prices", "sold_only"
_AT, _WHICH = "\x00at", "\x00which"  # columns for a row's origin: its position in the grid, and the index of its mapped sheet


class Lacking(NamedTuple):
    """An article that lacks dimensions to be computed with: its origin, and the missing columns."""

    which: int
    at: int
    sku: str
    family: str
    columns: tuple[str, ...]


class Choice(NamedTuple):
    """The person's decisions: import articles without dimensions as only sold; import discontinued articles as well."""

    sold_only: bool = False
    with_ended: bool = False


@dataclass(slots=True)
class Merged:
    """The folder as it would be after the merge.

    `files`: new texts of the files that change, by name. `counts`: by table. `origin`: (file, line) -> row of the list. `fatal`
    (contradictions) and `currency_mismatches` prevent loading. `refused`: rows left out. `lacking`: articles without all dimensions. `notes`:
    everything else worth knowing.
    """

    files: dict[str, str] = field(default_factory=dict)
    counts: dict[str, Counts] = field(default_factory=dict)
    origin: dict[tuple[str, int], Origin] = field(default_factory=dict)
    fatal: list[Note] = field(default_factory=list)
    currency_mismatches: list[Note] = field(default_factory=list)
    refused: list[Note] = field(default_factory=list)
    lacking: list[Lacking] = field(default_factory=list)
    sold_only: int = 0
    notes: list[Note] = field(default_factory=list)


def merged(sheets: list[MappedSheet], folder: Mapping[str, str], choice: Choice, without: Iterable[Origin] = ()) -> Merged:
    """Merge the rows of a list into the tables of `folder` (texts by file name). `without`: rows that a check has refused."""
    result, gone = Merged(), set(without)
    shop = of_shop(folder)
    result.currency_mismatches = [
        Note("currency", *each) for sheet in sheets for each in currency_mismatches(sheet, shop, f"--set {CURRENCY}={shop}")
    ]
    kinds = dict.fromkeys(sheet.mapping.kind for sheet in sheets)
    tables = {kind: TextTable(KINDS[kind], folder.get(f"{kind}.csv")) for kind in dict.fromkeys((*kinds, PRICES, SOLD_ONLY))}
    put: list[Origin] = []
    for kind in kinds:
        rows = _rows(kind, sheets, result, choice, gone)
        if rows is not None and len(rows):
            put += _into(tables, kind, rows, sheets, result, choice)
    _prices(tables[PRICES], put, sheets, result)
    for table in tables.values():
        if table.touched:
            result.files[table.table.file] = table.written(result.origin)
    return result


def _rows(kind: str, sheets: list[MappedSheet], result: Merged, choice: Choice, gone: set[Origin]) -> pandas.DataFrame | None:
    """The good rows of one table from all sheets. Of identical duplicates one is kept; of rows that contradict each other, none."""
    import pandas

    frames = []
    for which, sheet in enumerate(sheets):
        if sheet.mapping.kind != kind:
            continue
        gone_by = {sheet.place(at)[:3] for at in sheet.ended} if not choice.with_ended else set()
        result.refused += [note for note in sheet.faults if note.place[:3] not in gone_by]
        result.notes += sheet.notes
        kept = [
            at
            for at in sheet.frame.index
            if at not in sheet.bad and (which, at) not in gone and (choice.with_ended or at not in sheet.ended)
        ]
        frame = sheet.frame.loc[kept]
        frame[_WHICH], frame[_AT] = which, kept
        frames.append(frame)
    rows = pandas.concat(frames, ignore_index=True).fillna("")
    if rows.empty:
        return None
    table, key = KINDS[kind], key_of(KINDS[kind])
    blank = (rows[key] == "").any(axis=1)
    for which, at in zip(rows.loc[blank, _WHICH], rows.loc[blank, _AT], strict=True):
        lacking = next(name for name in key if not sheets[which].cell(at, name))
        result.refused.append(
            Note("no_key", sheets[which].place(at, lacking), "", f"the row has no {lacking}, by which it would be known: write one")
        )
    return _once(rows[~blank], table, key, sheets, result)


def _once(rows: pandas.DataFrame, table: Table, key: list[str], sheets: list[MappedSheet], result: Merged) -> pandas.DataFrame:
    """The rows with each key once: equal duplicates are dropped with a note; rows that contradict each other are all reported and dropped."""
    names = [str(name) for name in rows if name not in (_AT, _WHICH)]
    own = {column.name for column in table.columns}
    canon = rows.assign(**{name: [canonical(table.kind, name, text) for text in rows[name]] for name in names if name in own})
    double = canon.duplicated(subset=key, keep=False)
    if not double.any():
        return rows
    contradicting: set[int] = set()
    for _, group in canon[double].groupby(key, sort=False):
        places = [sheets[which].place(at) for which, at in zip(group[_WHICH], group[_AT], strict=True)]
        label = " / ".join(str(text) for text in rows.loc[group.index[0], key])
        if differ := [name for name in names if len(set(group[name])) > 1]:
            contradicting.update(group.index)
            result.fatal += _contradictions(rows.loc[group.index], differ, label, sheets)
        else:
            result.notes += [Note("double", place, label, f"is the same as {places[0]}, and was taken once") for place in places[1:]]
    return rows[~canon.duplicated(subset=key) & ~rows.index.isin(contradicting)]


def _contradictions(group: pandas.DataFrame, differ: list[str], label: str, sheets: list[MappedSheet]) -> Iterable[Note]:
    """A note on each of the contradicting rows: what differs, and where the other rows are."""
    for row in group.to_dict("records"):
        others = [
            sheets[each[_WHICH]].place(each[_AT])
            for each in group.to_dict("records")
            if (each[_WHICH], each[_AT]) != (row[_WHICH], row[_AT])
        ]
        values = ", ".join(f"{name} {row[name] or 'blank'}" for name in differ[:4])
        words = f"contradicts {' and '.join(map(str, others))}: here it has {values}; correct one of them, or give it an article number of its own"
        yield Note("contradiction", sheets[row[_WHICH]].place(row[_AT], differ[0]), label, words)


def _into(
    tables: dict[str, TextTable], kind: str, rows: pandas.DataFrame, sheets: list[MappedSheet], result: Merged, choice: Choice
) -> list[Origin]:
    """Merge rows into their table; an article without all dimensions is imported as only sold, or listed. Returns the rows merged."""
    table, only, counts = tables[kind], tables[SOLD_ONLY], result.counts.setdefault(kind, Counts())
    names = [column.name for column in table.table.columns]
    article, put = table.table.article, []
    for record in rows.to_dict("records"):
        origin = Origin(int(record[_WHICH]), int(record[_AT]))
        row = {name: str(record[name]) for name in names}
        wanting = lacks(kind, table.over(row))
        required = [name for name in wanting if name in NEVER_ASKED or not article]
        if required:
            words = f"the row has no {' and no '.join(required)}: write it, or give one for the whole list with --set {required[0]}=..."
            result.refused.append(Note("blank", sheets[origin.which].place(origin.at, required[0]), "", words))
        elif wanting:
            result.lacking.append(Lacking(*origin, row["sku"], row.get("family", "") or kind, wanting))
            if choice.sold_only:
                only.put(_only(row, kind, table.table, wanting), origin, result.counts.setdefault(SOLD_ONLY, Counts()))
                result.sold_only += 1
                put.append(origin)
        else:
            if article and kind != SOLD_ONLY:
                only.drop(row["sku"])
            table.put(row, origin, counts)
            put.append(origin)
    return put


def _only(row: Mapping[str, str], kind: str, table: Table, wanting: tuple[str, ...]) -> dict[str, str]:
    family = row.get("family") or kind
    return {
        "sku": row["sku"],
        "name": row["name"],
        "family": family,
        "unit": table.unit,
        "source": row["source"],
        "lacks": ";".join(wanting),
        "until": row.get("until", ""),
    }


Ladder = dict[Decimal, Decimal]  # from a quantity: the price of one


def _prices(table: TextTable, put: list[Origin], sheets: list[MappedSheet], result: Merged) -> None:
    """Add the list's prices for the merged articles; prices that equal those in force on their day are not written again."""
    steps = {which: _steps(sheet) for which, sheet in enumerate(sheets) if sheet.table.article}
    known = _ladders(table)
    counts = Counts()
    fewer: list[int] = []
    for origin in put:
        if origin.which not in steps:
            continue
        sheet, at = sheets[origin.which], origin.at
        ladder = {quantity: Decimal(text) for quantity, target in steps[origin.which] if (text := sheet.cell(at, target))}
        sku, day = sheet.cell(at, "sku"), sheet.mapping.constants.get("from_day", "")
        days = known.get(sku, {})
        current = days[max(before)] if (before := [each for each in days if each <= day]) else {}
        if trouble := _no_price(sku, day, ladder, days, current):
            result.refused.append(Note(trouble[0], sheet.place(at, PRICE), sku, trouble[1]))
        elif ladder and ladder == current:
            counts.same += 1
        elif ladder:
            if len(ladder) < len(current):
                fewer.append(sheet.grid.rows[at])
            unit = sheet.cell(at, "unit") if sheet.mapping.kind == SOLD_ONLY else sheet.table.unit
            for quantity, price in sorted(ladder.items()):
                row = {
                    "sku": sku,
                    "unit": unit,
                    "from_day": day,
                    "from_quantity": f"{quantity:f}",
                    "unit_price": f"{price:f}",
                    "source": sheet.cell(at, "source"),
                }
                table.append(row, origin)
            counts.changed += bool(current)
            counts.new += not current
    if counts != Counts():
        result.counts[f"{PRICES} (articles)"] = counts
    if fewer:
        words = "have fewer quantity breaks in the list than in the folder: from that day on, only those of the list count"
        result.notes.append(Note("fewer_breaks", Place(sheets[0].grid.file), "", f"rows {ranges(sorted(set(fewer)))} {words}"))


def _no_price(sku: str, day: str, ladder: Ladder, days: Mapping[str, Ladder], current: Ladder) -> tuple[str, str] | None:
    """Why an article's price cannot be imported, as (code, words); None if it can, or if it has a price already."""
    if not ladder:
        return (
            None
            if days
            else ("no_price", "has no price, and the folder has none of it: write one, since an article without a price cannot be quoted")
        )
    if not day:
        return "no_day", "has a price, and nothing says from which day it counts: give the day with --set from_day=YYYY-MM-DD"
    if day in days and ladder != current:
        return (
            "price_of_the_day",
            f"has another price from {day} in the folder already, and prices of a day are never changed: give a later day with --set from_day=...",
        )
    return None


def _ladders(table: TextTable) -> dict[str, dict[str, Ladder]]:
    """The folder's prices by article and day; unreadable ones are left to the folder's own check."""
    ladders: dict[str, dict[str, Ladder]] = {}
    for row in table.rows:
        try:
            step, price = Decimal(row.get("from_quantity") or "0"), Decimal(row.get("unit_price", ""))
        except ArithmeticError:
            continue
        ladders.setdefault(row.get("sku", ""), {}).setdefault(row.get("from_day", ""), {})[step] = price
    return ladders


def _steps(sheet: MappedSheet) -> list[tuple[Decimal, str]]:
    """(least quantity, column) for each price column."""
    own = [name for name in sheet.columns if name == PRICE or name.startswith(PRICE_FROM)]
    return [(Decimal(name.removeprefix(PRICE_FROM)) if name != PRICE else Decimal(0), name) for name in own]


def traced(fault: TableFault, sheets: list[MappedSheet], result: Merged) -> tuple[Note, Origin | None]:
    """A fault found by the folder's check as a note on the row of the list that caused it, with that row's origin if there is one."""
    origin, words = result.origin.get((fault.file, fault.line)), f"expected {fault.expected}"
    if origin is None:
        return Note("check", Place(fault.file, row=fault.line, header=fault.column), fault.found, words), None
    place = sheets[origin.which].place(origin.at, PRICE if fault.file == f"{PRICES}.csv" else fault.column)
    return Note("check", place if place.header else place._replace(header=f"{fault.column} of {fault.file}"), fault.found, words), origin
