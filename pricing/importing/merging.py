"""Puts what was taken from a list into a folder's tables, by key: what is new, what changes, what stays; or says why nothing can be put.

Nothing is written here: the new texts of the files are returned, each with where its rows come from in the shop's list.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.catalogue.schema import Table
from pricing.errors import TableFault
from pricing.importing.currencies import CURRENCY, asked, of_shop
from pricing.importing.grid import Note, Place, ranges
from pricing.importing.lacking import NEVER_ASKED, lacks
from pricing.importing.mapping import KINDS
from pricing.importing.tables_as_text import Counts, Origin, TextTable, canonical, key_of
from pricing.importing.taking import Taken
from pricing.importing.vocabulary import PRICE, PRICE_FROM

if TYPE_CHECKING:
    import pandas

PRICES, SOLD_ONLY = "prices", "sold_only"
_AT, _WHICH = "\x00at", "\x00which"  # columns of a row's origin: its position in its grid, and which of the `Taken`


class Lacking(NamedTuple):
    """An article that cannot be computed from: where it stands, and the columns that it lacks."""

    which: int
    at: int
    sku: str
    family: str
    columns: tuple[str, ...]


class Choice(NamedTuple):
    """What the person decided: articles that lack dimensions are only sold; what has ended is taken all the same."""

    sold_only: bool = False
    with_ended: bool = False


@dataclass(slots=True)
class Merged:
    """The folder as it would be. `files`: texts by file name, of those that change; `counts` by table; `origin`: (file, line) -> row of the list;
    `fatal`: contradictions, and `asked`: currencies that are not the shop's, for which nothing is loaded; `refused`: rows left out; `lacking`: rows that lack dimensions; `said`: the rest.
    """

    files: dict[str, str] = field(default_factory=dict)
    counts: dict[str, Counts] = field(default_factory=dict)
    origin: dict[tuple[str, int], Origin] = field(default_factory=dict)
    fatal: list[Note] = field(default_factory=list)
    asked: list[Note] = field(default_factory=list)
    refused: list[Note] = field(default_factory=list)
    lacking: list[Lacking] = field(default_factory=list)
    sold_only: int = 0
    said: list[Note] = field(default_factory=list)


def merged(parts: list[Taken], folder: Mapping[str, str], choice: Choice, without: Iterable[Origin] = ()) -> Merged:
    """The tables of `folder` (texts by file name) with the rows of a list. `without`: rows that a check has refused."""
    found, gone = Merged(), set(without)
    shop = of_shop(folder)
    found.asked = [Note("currency", *each) for part in parts for each in asked(part, shop, f"--set {CURRENCY}={shop}")]
    kinds = dict.fromkeys(part.part.kind for part in parts)
    tables = {kind: TextTable(KINDS[kind], folder.get(f"{kind}.csv")) for kind in dict.fromkeys((*kinds, PRICES, SOLD_ONLY))}
    put: list[Origin] = []
    for kind in kinds:
        rows = _rows(kind, parts, found, choice, gone)
        if rows is not None and len(rows):
            put += _into(tables, kind, rows, parts, found, choice)
    _prices(tables[PRICES], put, parts, found)
    for table in tables.values():
        if table.touched:
            found.files[table.table.file] = table.written(found.origin)
    return found


def _rows(kind: str, parts: list[Taken], found: Merged, choice: Choice, gone: set[Origin]) -> pandas.DataFrame | None:
    """The good rows of one table from all sheets: those that are twice and the same once, those that contradict each other none."""
    import pandas

    frames = []
    for which, part in enumerate(parts):
        if part.part.kind != kind:
            continue
        gone_by = {part.place(at)[:3] for at in part.ended} if not choice.with_ended else set()
        found.refused += [note for note in part.faults if note.place[:3] not in gone_by]
        found.said += part.said
        kept = [
            at for at in part.frame.index if at not in part.bad and (which, at) not in gone and (choice.with_ended or at not in part.ended)
        ]
        frame = part.frame.loc[kept]
        frame[_WHICH], frame[_AT] = which, kept
        frames.append(frame)
    rows = pandas.concat(frames, ignore_index=True).fillna("")
    if rows.empty:
        return None
    table, key = KINDS[kind], key_of(KINDS[kind])
    blank = (rows[key] == "").any(axis=1)
    for which, at in zip(rows.loc[blank, _WHICH], rows.loc[blank, _AT], strict=True):
        lacking = next(name for name in key if not parts[which].cell(at, name))
        found.refused.append(
            Note("no_key", parts[which].place(at, lacking), "", f"the row has no {lacking}, by which it would be known: write one")
        )
    return _once(rows[~blank], table, key, parts, found)


def _once(rows: pandas.DataFrame, table: Table, key: list[str], parts: list[Taken], found: Merged) -> pandas.DataFrame:
    """Each key once. Rows of one key that are equal are one, and said; rows that are not are named, all of them."""
    names = [str(name) for name in rows if name not in (_AT, _WHICH)]
    own = {column.name for column in table.columns}
    canon = rows.assign(**{name: [canonical(table.kind, name, text) for text in rows[name]] for name in names if name in own})
    double = canon.duplicated(subset=key, keep=False)
    if not double.any():
        return rows
    contradicting: set[int] = set()
    for _, group in canon[double].groupby(key, sort=False):
        places = [parts[which].place(at) for which, at in zip(group[_WHICH], group[_AT], strict=True)]
        label = " / ".join(str(text) for text in rows.loc[group.index[0], key])
        if differ := [name for name in names if len(set(group[name])) > 1]:
            contradicting.update(group.index)
            found.fatal += _contradictions(rows.loc[group.index], differ, label, parts)
        else:
            found.said += [Note("double", place, label, f"is the same as {places[0]}, and was taken once") for place in places[1:]]
    return rows[~canon.duplicated(subset=key) & ~rows.index.isin(contradicting)]


def _contradictions(group: pandas.DataFrame, differ: list[str], label: str, parts: list[Taken]) -> Iterable[Note]:
    """A note at each row of one key, with what differs and where the others stand."""
    for row in group.to_dict("records"):
        others = [
            parts[each[_WHICH]].place(each[_AT])
            for each in group.to_dict("records")
            if (each[_WHICH], each[_AT]) != (row[_WHICH], row[_AT])
        ]
        values = ", ".join(f"{name} {row[name] or 'blank'}" for name in differ[:4])
        words = f"contradicts {' and '.join(map(str, others))}: here it has {values}; correct one of them, or give it an article number of its own"
        yield Note("contradiction", parts[row[_WHICH]].place(row[_AT], differ[0]), label, words)


def _into(
    tables: dict[str, TextTable], kind: str, rows: pandas.DataFrame, parts: list[Taken], found: Merged, choice: Choice
) -> list[Origin]:
    """Put rows into their table; what lacks a dimension goes to the articles that are only sold, or is listed. Returns what was put."""
    table, only, counts = tables[kind], tables[SOLD_ONLY], found.counts.setdefault(kind, Counts())
    names = [column.name for column in table.table.columns]
    article, put = table.table.article, []
    for record in rows.to_dict("records"):
        origin = Origin(int(record[_WHICH]), int(record[_AT]))
        row = {name: str(record[name]) for name in names}
        wanting = lacks(kind, table.over(row))
        asked = [name for name in wanting if name in NEVER_ASKED or not article]
        if asked:
            words = f"the row has no {' and no '.join(asked)}: write it, or give one for the whole list with --set {asked[0]}=..."
            found.refused.append(Note("blank", parts[origin.which].place(origin.at, asked[0]), "", words))
        elif wanting:
            found.lacking.append(Lacking(*origin, row["sku"], row.get("family", "") or kind, wanting))
            if choice.sold_only:
                only.put(_only(row, kind, table.table, wanting), origin, found.counts.setdefault(SOLD_ONLY, Counts()))
                found.sold_only += 1
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


def _prices(table: TextTable, put: list[Origin], parts: list[Taken], found: Merged) -> None:
    """A day's prices of the articles that were put; those that are the same as in force on that day are not written again."""
    steps = {which: _steps(part) for which, part in enumerate(parts) if part.table.article}
    known = _ladders(table)
    counts = Counts()
    fewer: list[int] = []
    for origin in put:
        if origin.which not in steps:
            continue
        part, at = parts[origin.which], origin.at
        ladder = {quantity: Decimal(text) for quantity, target in steps[origin.which] if (text := part.cell(at, target))}
        sku, day = part.cell(at, "sku"), part.part.constants.get("from_day", "")
        days = known.get(sku, {})
        current = days[max(before)] if (before := [each for each in days if each <= day]) else {}
        if trouble := _no_price(sku, day, ladder, days, current):
            found.refused.append(Note(trouble[0], part.place(at, PRICE), sku, trouble[1]))
        elif ladder and ladder == current:
            counts.same += 1
        elif ladder:
            if len(ladder) < len(current):
                fewer.append(part.grid.rows[at])
            unit = part.cell(at, "unit") if part.part.kind == SOLD_ONLY else part.table.unit
            for quantity, price in sorted(ladder.items()):
                row = {
                    "sku": sku,
                    "unit": unit,
                    "from_day": day,
                    "from_quantity": f"{quantity:f}",
                    "unit_price": f"{price:f}",
                    "source": part.cell(at, "source"),
                }
                table.append(row, origin)
            counts.changed += bool(current)
            counts.new += not current
    if counts != Counts():
        found.counts[f"{PRICES} (articles)"] = counts
    if fewer:
        words = "have fewer quantity breaks in the list than in the folder: from that day on, only those of the list count"
        found.said.append(Note("fewer_breaks", Place(parts[0].grid.file), "", f"rows {ranges(sorted(set(fewer)))} {words}"))


def _no_price(sku: str, day: str, ladder: Ladder, days: Mapping[str, Ladder], current: Ladder) -> tuple[str, str] | None:
    """Why an article gets no price: (code, words)."""
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
    """The prices of the folder by article and day; what cannot be read is left to the folder's check."""
    found: dict[str, dict[str, Ladder]] = {}
    for row in table.rows:
        try:
            step, price = Decimal(row.get("from_quantity") or "0"), Decimal(row.get("unit_price", ""))
        except ArithmeticError:
            continue
        found.setdefault(row.get("sku", ""), {}).setdefault(row.get("from_day", ""), {})[step] = price
    return found


def _steps(part: Taken) -> list[tuple[Decimal, str]]:
    """The quantity from which each column of prices counts, and the column."""
    own = [name for name in part.columns if name == PRICE or name.startswith(PRICE_FROM)]
    return [(Decimal(name.removeprefix(PRICE_FROM)) if name != PRICE else Decimal(0), name) for name in own]


def traced(fault: TableFault, parts: list[Taken], found: Merged) -> tuple[Note, Origin | None]:
    """A fault of the folder's check as a note at the row of the list that it comes from, if it comes from one."""
    origin, words = found.origin.get((fault.file, fault.line)), f"expected {fault.expected}"
    if origin is None:
        return Note("check", Place(fault.file, row=fault.line, header=fault.column), fault.found, words), None
    place = parts[origin.which].place(origin.at, PRICE if fault.file == f"{PRICES}.csv" else fault.column)
    return Note("check", place if place.header else place._replace(header=f"{fault.column} of {fault.file}"), fault.found, words), origin
