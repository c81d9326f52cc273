"""From the rows of a sheet to the request they make: what one cell says of another, what only one thing can be, and then as any table is read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from service.form.answering import shown
from service.form.ask_before import ONE_SETTING, SETTING
from service.form.asking import N_
from service.form.sheet.blocks import Blocks, Wrong
from service.form.sheet.columns import ASSEMBLY, REQUEST
from service.form.sheet.grid import WHOLE
from service.form.sheet.meaning import Meant, Reader, Say
from service.sheets import Boat, Record, boats, column_named

TURNBUCKLE = "turnbuckle"
NO_WIRE = N_("The sheet names no wire: fill in a row for each.")
SAY_WHETHER = N_("Write yes or no: is there a turnbuckle on it?")
SAY_WHICH = N_("Say which turnbuckle it is: body, ends, pin, and the thread showing at each screw.")
NONE_THERE = N_("The sheet says that there is no turnbuckle on this wire: empty this cell, or write yes there.")
ASSUMED = N_("'%(written)s' has no unit and was read as '%(read)s', as the sheet says of plain numbers.")
ONLY = N_("Left empty; the shop's tables leave only '%s'.")


@dataclass(frozen=True, slots=True)
class Assumed:
    """What was taken to be meant, to be seen by whoever wrote the sheet."""

    row: int
    column: str
    cell: str | None
    code: str
    detail: str


@dataclass(slots=True)
class Gathered:
    """The request; the row of each assembly; what was assumed. What is wrong stands with the blocks."""

    request: dict[str, Any] = field(default_factory=dict)
    rows: list[int] = field(default_factory=list)
    assumed: list[Assumed] = field(default_factory=list)


def gathered(found: Blocks, form: Mapping[str, Any], say: Say) -> Gathered:
    """The request of a sheet. `form`: a description in the language that faults are told in by `say`."""
    reader, made = Reader(form, say, found), Gathered()
    whole = reader.whole()
    wires = reader.wires()
    if not wires and not found.wrong:
        found.note(Wrong(found.named_at[ASSEMBLY] + 1, "no_wire", say(NO_WIRE)))
    for meant in wires:
        _judge_turnbuckle(found, meant, say)
        _fill_in(found, form, meant, made, say)
    for block, meant in ((REQUEST, whole), *((ASSEMBLY, each) for each in wires)):
        for name, (written, read) in meant.assumed.items():
            words = say(ASSUMED) % {"written": written, "read": read}
            made.assumed.append(Assumed(meant.row, name, found.cell(block, name, meant.row), "unit_assumed", words))
    boat = _boat(whole, wires)
    made.request, made.rows = boat.request, boat.rows
    known = {(each.row, each.column) for each in found.wrong}
    found.note(*(placed for each in boat.faults if ((placed := _placed(found, each, whole.row)).row, placed.column) not in known))
    return made


def _boat(whole: Meant, wires: list[Meant]) -> Boat:
    """All of it read as one table: the request's own fields stand in its first row."""
    rows = [(each.row, dict(each.cells)) for each in wires] or [(WHOLE, {})]
    rows[0][1].update(whole.cells)
    names = list(dict.fromkeys(name for _, cells in rows for name in cells))
    columns = [column for name in names if (column := column_named(name)) is not None]
    records = [Record(row, tuple(cells.get(name, "") for name in names)) for row, cells in rows]
    return next(boats(columns, records))


def _placed(found: Blocks, each: Mapping[str, Any], row: int) -> Wrong:
    name = each.get("column")
    block = REQUEST if name in found.places.get(REQUEST, {}) else ASSEMBLY
    at = row if block == REQUEST else int(each["row"])
    return Wrong(at, str(each["code"]), str(each["detail"]), name, found.cell(block, name, at) if name else None)


def _judge_turnbuckle(found: Blocks, meant: Meant, say: Say) -> None:
    """The sheet's own question, whether there is one: to be answered, and not against the cells that describe it."""
    told = [name for name in meant.cells if name.startswith(f"{TURNBUCKLE}.")]
    has = meant.answers.get(TURNBUCKLE)

    def wrong(name: str, code: str, words: str) -> None:
        found.note(Wrong(meant.row, code, say(words), name, found.cell(ASSEMBLY, name, meant.row), meant.cells.get(name, "")))

    bad = [each.column for each in found.wrong if each.row == meant.row and (each.column or "").startswith(TURNBUCKLE)]
    if has is False:
        for name in told:
            wrong(name, "no_turnbuckle", NONE_THERE)
            del meant.cells[name]
    elif has is None and not told and not bad and TURNBUCKLE in found.places.get(ASSEMBLY, {}):
        wrong(TURNBUCKLE, "required", SAY_WHETHER)
    elif has is None and told:
        meant.answers[TURNBUCKLE] = True
    elif has and not told and not bad:
        wrong("turnbuckle.body", "required", SAY_WHICH)
    lacking = [name for name in SETTING if name not in meant.cells]
    if len(lacking) == 1 and lacking[0] not in bad:
        wrong(lacking[0], "required", ONE_SETTING)


def _fill_in(found: Blocks, form: Mapping[str, Any], meant: Meant, made: Gathered, say: Say) -> None:
    """Where the tables leave one choice, and the question has to be answered, it is filled in as the form does, and said."""
    bad = {each.column for each in found.wrong if each.row == meant.row}
    for each in shown(form, ASSEMBLY, meant.answers):
        if not each.sole or each.path in meant.cells or each.path in bad or column_named(each.path) is None:
            continue
        value = each.answer
        meant.cells[each.path] = ("yes" if value else "no") if isinstance(value, bool) else str(value)
        words = say(ONLY) % each.choices[0].label
        made.assumed.append(Assumed(meant.row, each.path, found.cell(ASSEMBLY, each.path, meant.row), "only_choice", words))
