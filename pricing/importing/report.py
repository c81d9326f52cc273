"""Reports for the person who imports: what an import would do or did, as plain-text tables."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from pricing.importing.grid import Note, letters, ranges, rows_named
from pricing.importing.lists import ShopList
from pricing.importing.mapped_sheet import MappedSheet
from pricing.importing.merging import Merged

_FEW = 12
_WIDE = 34


def mapping_lines(shop_list: ShopList) -> Iterator[str]:
    """The mapping as a table: each column of the list, what it becomes, with an example."""
    for sheet in shop_list.sheets:
        on_sheet = f", sheet '{sheet.grid.sheet}'" if sheet.grid.sheet else ""
        yield f"{sheet.mapping.kind}: from {shop_list.file}{on_sheet}, header in row {sheet.head.row}, {len(sheet.rows)} rows"
        rows = [("", "column of the list", "becomes", "unit", "decimals", "for example", "is then", "read")]
        shown = sorted(sheet.shown, key=lambda each: each.column)
        rows += [
            (
                letters(each.column),
                each.header,
                each.target,
                each.unit,
                each.decimal,
                each.example,
                each.becomes or "as it is",
                f"{each.read} of {each.filled}",
            )
            for each in shown
        ]
        rows += [("", "", name, "", "", "", value, "every row") for name, value in sheet.mapping.constants.items()]
        yield from table(rows)
        if sheet.mapping.split:
            yield f"  where these are blank, they are taken from {', '.join(sheet.mapping.split)}: family, attachment, construction, wire, pin, thread, hand"
        unknown = [(name, word) for name, words in sheet.mapping.words.items() for word, code in words.items() if not code]
        if unknown:
            yield "  words that are not known yet: " + ", ".join(f"{word!r} ({name})" for name, word in unknown[:_FEW])
        yield ""


def table(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Rows of text in columns, each as wide as its longest cell up to a limit."""
    cut = [[cell if len(cell) <= _WIDE else cell[: _WIDE - 1] + "…" for cell in map(str, row)] for row in rows]
    widths = [max(len(row[at]) for row in cut) for at in range(len(cut[0]))]
    for row in cut:
        yield ("  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))).rstrip()


def assumed_lines(sheets: Iterable[MappedSheet]) -> Iterator[str]:
    """The assumptions made, with the rows they were made in."""
    rows = [(header, words, _rows(sheet, at)) for sheet in sheets for (header, words), at in sheet.assumed.items() if at]
    if rows:
        yield "Assumed:"
        yield from (f"  {header}: {words} ({where})" for header, words, where in rows)
        yield ""


def _rows(sheet: MappedSheet, at: Sequence[int]) -> str:
    numbers = sorted({sheet.grid.rows[each] for each in at})
    return f"{len(numbers)} rows: {ranges(numbers[:_FEW])} and more" if len(numbers) > _FEW else rows_named(numbers)


def lacking_lines(merged: Merged, sheets: Sequence[MappedSheet], *, sold_only: bool) -> Iterator[str]:
    """The missing dimensions, grouped by family and missing columns."""
    if not merged.lacking:
        return
    yield f"{len(merged.lacking)} articles lack dimensions, and cannot be computed from:"
    groups = Counter((each.family, each.columns) for each in merged.lacking)
    for (family, columns), many in groups.most_common(_FEW):
        first = next(each for each in merged.lacking if (each.family, each.columns) == (family, columns))
        where = sheets[first.which].place(first.at)
        yield f"  {many} x {family}: {', '.join(columns)} (the first is {first.sku}, {where})"
    if len(groups) > _FEW:
        yield f"  and {len(groups) - _FEW} groups more"
    yield "  What each of these is shows the guide 'what a fitting needs' (/docs/what-a-fitting-needs)."
    yield (
        "  They are loaded as sold, and not computed from."
        if sold_only
        else "  With --sold-only they are loaded as articles that are sold, and not computed from."
    )
    yield ""


def notes_lines(title: str, notes: Sequence[Note], most: int) -> Iterator[str]:
    """Notes with their places, the first `most` of them."""
    if not notes:
        return
    yield f"{title} ({len(notes)}):"
    yield from (f"  {note}" for note in notes[:most])
    if len(notes) > most:
        yield f"  and {len(notes) - most} more: --list FILE writes all of them to a file"
    yield ""


def counts_lines(merged: Merged) -> Iterator[str]:
    """How many rows of each table are new, changed and unchanged."""
    rows = [("table", "new", "changed", "as before")]
    rows += [(kind, str(each.new), str(each.changed), str(each.same)) for kind, each in merged.counts.items()]
    yield from table(rows)


def ended_notes(sheets: Iterable[MappedSheet]) -> list[Note]:
    """A note on each row of a discontinued article."""
    return [
        Note("ended", sheet.place(at), sheet.cell(at, "sku"), f"is no longer sold, by the list: {word!r}")
        for sheet in sheets
        for at, word in sheet.ended.items()
        if at not in sheet.bad
    ]
