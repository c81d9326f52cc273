"""Turns a sheet's rows into a request: dependencies between cells, values with only one possibility, then reading like any assembly
table.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from service.assembly_table import Boat, Record, boats, column_named
from service.measuring_sheet.blocks import Blocks, Wrong
from service.measuring_sheet.columns import ASSEMBLY, REQUEST
from service.measuring_sheet.grid import WHOLE
from service.measuring_sheet.meaning import Reader, ReadRow, Say
from service.web_form.answering import shown
from service.web_form.ask_before import ONE_SETTING, SETTING
from service.web_form.asking import N_

TURNBUCKLE = "turnbuckle"
NO_WIRE = N_("The sheet names no wire: fill in a row for each.")
SAY_WHETHER = N_("Write yes or no: is there a turnbuckle on it?")
SAY_WHICH = N_("Say which turnbuckle it is: body, ends, pin, and the thread showing at each screw.")
NONE_THERE = N_("The sheet says that there is no turnbuckle on this wire: empty this cell, or write yes there.")
ASSUMED = N_("'%(written)s' has no unit and was read as '%(read)s', as the sheet says of plain numbers.")
ONLY = N_("Left empty; the shop's tables leave only '%s'.")


@dataclass(frozen=True, slots=True)
class Assumed:
    """An assumption about what was meant, to be checked by whoever filled in the sheet."""

    row: int
    column: str
    cell: str | None
    code: str
    detail: str


@dataclass(slots=True)
class Gathered:
    """The request; the row of each assembly; the assumptions. Faults are kept with the blocks."""

    request: dict[str, Any] = field(default_factory=dict)
    rows: list[int] = field(default_factory=list)
    assumed: list[Assumed] = field(default_factory=list)


def gathered(blocks: Blocks, form: Mapping[str, Any], say: Say) -> Gathered:
    """The request made from a sheet. `form`: a description in the language in which `say` reports faults."""
    reader, made = Reader(form, say, blocks), Gathered()
    whole = reader.whole()
    wires = reader.wires()
    if not wires and not blocks.wrong:
        blocks.note(Wrong(blocks.named_at[ASSEMBLY] + 1, "no_wire", say(NO_WIRE)))
    for read_row in wires:
        _judge_turnbuckle(blocks, read_row, say)
        _fill_in(blocks, form, read_row, made, say)
    for block, read_row in ((REQUEST, whole), *((ASSEMBLY, each) for each in wires)):
        for name, (written, read) in read_row.assumed.items():
            words = say(ASSUMED) % {"written": written, "read": read}
            made.assumed.append(Assumed(read_row.row, name, blocks.cell(block, name, read_row.row), "unit_assumed", words))
    boat = _boat(whole, wires)
    made.request, made.rows = {"language": form["language"], **boat.request}, boat.rows
    known = {(each.row, each.column) for each in blocks.wrong}
    blocks.note(*(placed for each in boat.faults if ((placed := _placed(blocks, each, whole.row)).row, placed.column) not in known))
    return made


def _boat(whole: ReadRow, wires: list[ReadRow]) -> Boat:
    """Everything read as one table: the request's own fields are in its first row."""
    rows = [(each.row, dict(each.cells)) for each in wires] or [(WHOLE, {})]
    rows[0][1].update(whole.cells)
    names = list(dict.fromkeys(name for _, cells in rows for name in cells))
    columns = [column for name in names if (column := column_named(name)) is not None]
    records = [Record(row, tuple(cells.get(name, "") for name in names)) for row, cells in rows]
    return next(boats(columns, records))


def _placed(blocks: Blocks, each: Mapping[str, Any], row: int) -> Wrong:
    name = each.get("column")
    block = REQUEST if name in blocks.places.get(REQUEST, {}) else ASSEMBLY
    at = row if block == REQUEST else int(each["row"])
    return Wrong(at, str(each["code"]), str(each["detail"]), name, blocks.cell(block, name, at) if name else None)


def _judge_turnbuckle(blocks: Blocks, read_row: ReadRow, say: Say) -> None:
    """The sheet's own question whether there is a turnbuckle: it must be answered, consistently with the cells that describe it."""
    describing = [name for name in read_row.cells if name.startswith(f"{TURNBUCKLE}.")]
    has = read_row.answers.get(TURNBUCKLE)

    def wrong(name: str, code: str, words: str) -> None:
        blocks.note(Wrong(read_row.row, code, say(words), name, blocks.cell(ASSEMBLY, name, read_row.row), read_row.cells.get(name, "")))

    bad = [each.column for each in blocks.wrong if each.row == read_row.row and (each.column or "").startswith(TURNBUCKLE)]
    if has is False:
        for name in describing:
            wrong(name, "no_turnbuckle", NONE_THERE)
            del read_row.cells[name]
    elif has is None and not describing and not bad and TURNBUCKLE in blocks.places.get(ASSEMBLY, {}):
        wrong(TURNBUCKLE, "required", SAY_WHETHER)
    elif has is None and describing:
        read_row.answers[TURNBUCKLE] = True
    elif has and not describing and not bad:
        wrong("turnbuckle.body", "required", SAY_WHICH)
    lacking = [name for name in SETTING if name not in read_row.cells]
    if len(lacking) == 1 and lacking[0] not in bad:
        wrong(lacking[0], "required", ONE_SETTING)


def _fill_in(blocks: Blocks, form: Mapping[str, Any], read_row: ReadRow, made: Gathered, say: Say) -> None:
    """Fill in required fields for which the tables leave only one choice, as the form does, and report it."""
    bad = {each.column for each in blocks.wrong if each.row == read_row.row}
    tabled = {each["path"] for each in form["questions"] if each.get("short") and "from" in each}
    for each in shown(form, ASSEMBLY, read_row.answers):
        known = each.path in read_row.cells or each.path in bad or column_named(each.path) is None
        if known or each.assumed or not each.choices or not (each.sole or each.by in tabled):
            continue
        value = each.answer
        read_row.cells[each.path] = ("yes" if value else "no") if isinstance(value, bool) else str(value)
        words = say(ONLY) % next(one.label for one in each.choices if one.value == value)
        made.assumed.append(Assumed(read_row.row, each.path, blocks.cell(ASSEMBLY, each.path, read_row.row), "only_choice", words))
