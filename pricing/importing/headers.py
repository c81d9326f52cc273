"""Finds a list in a sheet: its header row below any letterhead, two-row headers, a row of units, and rows that are not articles."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from pricing.importing.convert import UNITS, unit_of
from pricing.importing.currencies import SIGN
from pricing.importing.grid import COVERED, HIDDEN, Grid, Note, Unreadable, rows_named
from pricing.importing.vocabulary import FOOTERS, HEADERS, OF_ANY_LIST, plain, step_of

AMONG = 60  # rows from the top in which a header is looked for
_MOST = 300  # characters of a header: the expressions below take more than linear time
_REPEATED = 0.7  # share of a row's cells that repeat the header
_BRACKETED = re.compile(r"([^\[(]*)[\[(]([^\])]*)[\])](.*)", re.DOTALL)
_TRAILING = re.compile(r"(.*\S)[\s/]+(?:in\s+)?(\S+)", re.DOTALL)
_QUANTITIES = (
    ("kN", "N", "lbf", "kgf"),
    ("kg", "g", "lb", "oz"),
    ("kg/100m", "kg/m", "g/m", "lb/100ft", "lb/ft"),
    ("GPa", "MPa"),
    ("mm2", "in2"),
    ("min", "s", "h"),
)
_MONEY = re.compile(rf"(?:{SIGN.pattern})(?: ?/ ?(?:Stk|St|pc|each|m)\.?)?", re.IGNORECASE)
_FOOTERS_BEGIN = frozenset(word.partition(" ")[0] for word in FOOTERS)
_KNOWN = frozenset(word for words in (*HEADERS.values(), *OF_ANY_LIST.values()) for word in words)


@dataclass(slots=True)
class Heading:
    """A list's header. Per column: `names` as written, `bare` names without their units, `units`.

    `row` is the header's number in the spreadsheet, `first` the position of the first row below it; `below` is its row of units as written,
    blank where there is none.
    """

    row: int
    first: int
    names: list[str]
    bare: list[str]
    units: list[str]
    notes: list[Note] = field(default_factory=list)
    below: list[str] = field(default_factory=list)


def heading(grid: Grid, row: int = 0) -> Heading:
    """The list's header: the row with the given number, or the first with the most known header words. Raises Unreadable."""
    at = grid.rows.index(row) if row in grid.rows else _likely(grid)
    if at is None or (row and row not in grid.rows):
        words = "no header row was found: name its row with --header, or write one with names such as 'article', 'name', 'wire', 'pin'"
        raise Unreadable(Note("no_header", grid.place(), "" if at is None else f"row {row}", words))
    cells = [" ".join(str(each).split()) for each in grid.cells.iloc[at]]
    notes = []
    above = _above(grid, at)
    if any(above):
        cells = [f"{group} {own}".strip() if group != own else own for group, own in zip(above, cells, strict=True)]
        notes.append(Note("two_headers", grid.place(at), "", "the header has two rows, which were read together"))
    units, unit_texts, first = [""] * len(cells), [""] * len(cells), at + 1
    while first < len(grid.rows) and first <= at + 2:
        below = [" ".join(str(each).split()) for each in grid.cells.iloc[first]]
        if _are_units(below):
            units, unit_texts = [_unit(each) or "" for each in below], below
        elif _continues(below, cells):
            cells = [f"{own} {more}".strip() for own, more in zip(cells, below, strict=True)]
            notes.append(Note("two_headers", grid.place(first), "", "the header has two rows, which were read together"))
        else:
            break
        first += 1
    names = _different(cells, grid, at, notes)
    split = [_without_unit(name) for name in cells]
    if at:
        notes.append(Note("before_header", grid.place(), "", f"{rows_named(grid.rows[:at])} above the header, left out"))
    return Heading(
        grid.rows[at],
        first,
        names,
        [bare for bare, _ in split],
        [own or below for (_, own), below in zip(split, units, strict=True)],
        notes,
        unit_texts,
    )


def _likely(grid: Grid) -> int | None:
    best: tuple[int, int] | None = None
    for at in range(min(AMONG, len(grid.rows))):
        words = {plain(_without_unit(str(cell))[0]) for cell in grid.cells.iloc[at] if str(cell).strip()}
        known = sum(word in _KNOWN or step_of(word) is not None for word in words)
        if known >= 2 and (best is None or known > best[0]):
            best = (known, at)
    return None if best is None else best[1]


def _above(grid: Grid, at: int) -> list[str]:
    """The group titles (merged cells) in the row above the header, repeated for each of their columns; blank where there are none."""
    if not at or not (grid.kinds[at - 1] & COVERED).any():
        return [""] * grid.cells.shape[1]
    titles, title = [], ""
    for text, kind in zip(grid.cells.iloc[at - 1], grid.kinds[at - 1], strict=True):
        title = title if kind & COVERED else str(text).strip()
        titles.append(title)
    own = [str(each).strip() for each in grid.cells.iloc[at]]
    return (
        titles
        if len({each for each in titles if each}) > 1 or len([each for each in titles if each]) < len([each for each in own if each])
        else [""] * len(titles)
    )


def _are_units(cells: list[str]) -> bool:
    filled = [cell for cell in cells if cell]
    return bool(filled) and all(_unit(cell) is not None for cell in filled)


def _continues(below: list[str], header: list[str]) -> bool:
    """Whether the row continues the header: it has no digits, contains known words, and fills in or adds to the first row."""
    filled = [(at, cell) for at, cell in enumerate(below) if cell]
    if not filled or any(re.search("[0-9]", cell) for _, cell in filled) or len(filled) * 2 > len(below) + 1:
        return False
    known = sum(plain(f"{header[at]} {_without_unit(cell)[0]}") in _KNOWN or plain(_without_unit(cell)[0]) in _KNOWN for at, cell in filled)
    return known * 2 >= len(filled) and not below[0]


def _different(cells: list[str], grid: Grid, at: int, notes: list[Note]) -> list[str]:
    """The headers made unique: a repeated name is numbered, with a note."""
    seen: dict[str, int] = {}
    names = []
    for column, cell in enumerate(cells):
        many = seen[cell] = seen.get(cell, 0) + 1
        names.append(cell if many == 1 or not cell else f"{cell} ({many})")
        if many > 1 and cell:
            notes.append(
                Note(
                    "same_header",
                    grid.place(at, column),
                    cell,
                    f"is a header's name for the second time, and is called '{names[-1]}' in the mapping",
                )
            )
    return names


def _without_unit(header: str) -> tuple[str, str]:
    """A header without its unit, and the unit: 'Bohrung [mm]' -> ('Bohrung', 'mm'). A text too long for a header has no unit."""
    header = header.strip()
    if len(header) > _MOST:
        return header, ""
    if match := _BRACKETED.fullmatch(header):
        unit = _unit(match[2].strip().removeprefix("in ").strip())
        if unit is not None:
            return f"{match[1].rstrip(' ,')} {match[3].strip()}".strip(), unit
    if match := _TRAILING.fullmatch(header):
        unit = _unit(match[2])
        if unit is not None and plain(header) not in _KNOWN:
            return match[1].rstrip(" ,/-"), unit
    return header, ""


def _unit(word: str) -> str | None:
    """A unit as the tables write it; blank for a currency or percent sign, None if the word is no unit."""
    text = word.strip()
    if text == "%" or _MONEY.fullmatch(text):
        return ""
    if unit := UNITS.get(text.casefold()):
        return unit
    for names in _QUANTITIES:
        if found := unit_of(text, names):
            return text if found[1] or found[2] else found[0]
    return None


def no_articles(grid: Grid, head: Heading) -> tuple[list[int], dict[int, str], list[Note]]:
    """(positions of rows that may be articles, section heading of each, notes on the rows left out)."""
    texts, again = grid.cells.to_numpy(), _of_header(grid, head)
    kept: list[int] = []
    sections: dict[int, str] = {}
    notes: list[Note] = []
    section = ""
    left: dict[str, list[int]] = {"repeated": [], "hidden": []}
    for at in range(head.first, len(grid.rows)):
        cells = [str(each).strip() for each in texts[at]]
        filled = [each for each in cells if each]
        if (grid.kinds[at] & HIDDEN).any():
            left["hidden"].append(grid.rows[at])
        elif again[at] > len(filled) * _REPEATED:
            left["repeated"].append(grid.rows[at])
        elif _is_footer(filled[0]) and len(filled) <= max(3, len(cells) // 2):
            notes.append(Note("footer", grid.place(at), " | ".join(filled), "looks like a total or a footnote, and was left out"))
        elif len(filled) == 1 and len(cells) > 2:
            section = filled[0]
            notes.append(
                Note(
                    "section", grid.place(at), section, "stands alone in its row: taken as the heading of the rows below, not as an article"
                )
            )
        else:
            kept.append(at)
            sections[at] = section
    if left["repeated"]:
        notes.append(Note("repeated_header", grid.place(), "", f"{rows_named(left['repeated'])} with the header again, left out"))
    return kept, sections, notes


def _of_header(grid: Grid, head: Heading) -> list[int]:
    """For each row, how many of its cells repeat the header; each distinct text of a column is compared once."""
    repeats = [0] * len(grid.rows)
    for column, name in enumerate(map(plain, head.names)):
        cells = grid.cells[column].to_list()
        alike = {text for text in set(cells) if str(text).strip() and plain(str(text).strip()) == name}
        if alike:
            for at, text in enumerate(cells):
                repeats[at] += text in alike
    return repeats


def _is_footer(text: str) -> bool:
    words = plain(text)
    if words.partition(" ")[0] not in _FOOTERS_BEGIN:
        return False
    return any(words == word or words.startswith(f"{word} ") for word in FOOTERS)
