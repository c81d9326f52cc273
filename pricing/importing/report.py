"""What an import did and would do, for the person of the shop: tables of text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from pricing.importing.grid import Note, letters, ranges, rows_named
from pricing.importing.lists import ShopList
from pricing.importing.merging import Merged
from pricing.importing.taking import Taken

_FEW = 12
_WIDE = 34


def mapping_lines(found: ShopList) -> Iterator[str]:
    """The mapping as a table: each column of the list, what it becomes, with an example."""
    for part in found.taken:
        sheet = f", sheet '{part.grid.sheet}'" if part.grid.sheet else ""
        yield f"{part.part.kind}: from {found.file}{sheet}, header in row {part.head.row}, {len(part.rows)} rows"
        rows = [("", "column of the list", "becomes", "unit", "decimals", "for example", "is then", "read")]
        shown = sorted(part.shown, key=lambda each: each.column)
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
        rows += [("", "", name, "", "", "", value, "every row") for name, value in part.part.constants.items()]
        yield from table(rows)
        if part.part.split:
            yield f"  where these are blank, they are taken from {', '.join(part.part.split)}: family, attachment, construction, wire, pin, thread, hand"
        unknown = [(name, word) for name, words in part.part.words.items() for word, code in words.items() if not code]
        if unknown:
            yield "  words that are not known yet: " + ", ".join(f"{word!r} ({name})" for name, word in unknown[:_FEW])
        yield ""


def table(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Rows of text in columns, each as wide as its longest cell up to a limit."""
    cut = [[cell if len(cell) <= _WIDE else cell[: _WIDE - 1] + "…" for cell in map(str, row)] for row in rows]
    widths = [max(len(row[at]) for row in cut) for at in range(len(cut[0]))]
    for row in cut:
        yield ("  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))).rstrip()


def assumed_lines(parts: Iterable[Taken]) -> Iterator[str]:
    """What was assumed, how often, and where."""
    rows = [(header, words, _rows(part, at)) for part in parts for (header, words), at in part.assumed.items() if at]
    if rows:
        yield "Assumed:"
        yield from (f"  {header}: {words} ({where})" for header, words, where in rows)
        yield ""


def _rows(part: Taken, at: Sequence[int]) -> str:
    numbers = sorted({part.grid.rows[each] for each in at})
    return f"{len(numbers)} rows: {ranges(numbers[:_FEW])} and more" if len(numbers) > _FEW else rows_named(numbers)


def lacking_lines(found: Merged, parts: Sequence[Taken], *, sold_only: bool) -> Iterator[str]:
    """What rows lack, together where they lack the same."""
    if not found.lacking:
        return
    yield f"{len(found.lacking)} articles lack dimensions, and cannot be computed from:"
    groups = Counter((each.family, each.columns) for each in found.lacking)
    for (family, columns), many in groups.most_common(_FEW):
        first = next(each for each in found.lacking if (each.family, each.columns) == (family, columns))
        where = parts[first.which].place(first.at)
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


def counts_lines(found: Merged) -> Iterator[str]:
    """How many rows of each table are new, change and stay."""
    rows = [("table", "new", "changed", "as before")]
    rows += [(kind, str(each.new), str(each.changed), str(each.same)) for kind, each in found.counts.items()]
    yield from table(rows)


def ended_notes(parts: Iterable[Taken]) -> list[Note]:
    """The rows of what is no longer sold."""
    return [
        Note("ended", part.place(at), part.cell(at, "sku"), f"is no longer sold, by the list: {word!r}")
        for part in parts
        for at, word in part.ended.items()
        if at not in part.bad
    ]
