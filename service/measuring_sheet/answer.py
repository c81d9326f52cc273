"""Reads a completed sheet: the request and how it was understood, or every fault with its cell."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, cast

from pricing.document import rendered
from pricing.errors import RequestError
from service.assembly_table import column_named
from service.assembly_table.columns import LENGTH
from service.encoding import json
from service.engine.engine import Engine
from service.http.problems import Problem
from service.measuring_sheet.blocks import Blocks, Wrong, blocks_of
from service.measuring_sheet.columns import ASSEMBLY, REQUEST, full_label
from service.measuring_sheet.gathering import Gathered, gathered
from service.measuring_sheet.grid import Line, NotASheet
from service.measuring_sheet.meaning import Say
from service.measuring_sheet.read_csv import lines_of_csv
from service.measuring_sheet.read_xlsx import lines_of_xlsx
from service.measuring_sheet.tracing import Traced, traced
from service.measuring_sheet.usual import SHORT_FOR
from service.schemas import read_request
from service.schemas.fields import read_length
from service.schemas.lengths import in_both_units
from service.web_form.described import described_of
from service.web_form.fault_words import fault_in_words
from service.wording import translator

CSV, XLSX = "text/csv", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
READERS: Mapping[str, Callable[[bytes], Iterable[Line]]] = {CSV: lines_of_csv, XLSX: lines_of_xlsx}
Placed = dict[str, Any]


@dataclass(slots=True)
class Answer:
    """The result of reading a sheet. If there are `faults`, nothing else counts. `wires`: each filled cell of each assembly, in sheet
    order.
    """

    request: dict[str, Any] = field(default_factory=dict)
    lengths: list[Placed] = field(default_factory=list)
    assumptions: list[Placed] = field(default_factory=list)
    findings: list[Placed] = field(default_factory=list)
    faults: list[Placed] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    document: dict[str, Any] = field(default_factory=dict)
    wires: list[list[Placed]] = field(default_factory=list)

    def as_json(self) -> dict[str, Any]:
        """The result as a document, in terms of the request and the sheet; for a price, the client sends the request."""
        named = ("request", "lengths", "assumptions", "findings")
        return {name: getattr(self, name) for name in named}


def answered(engine: Engine, body: bytes, media: str, language: str, price_lists: Collection[str]) -> Answer:
    """Read a file of one of READERS' media types; labels and what the sheet itself says are in `language`."""
    say = translator(language)
    try:
        blocks = blocks_of(READERS[media](body))
    except NotASheet as refused:
        return Answer(faults=[{"pointer": "#", "code": refused.fault[0], "detail": say(refused.fault[1])}])
    made = gathered(blocks, described_of(engine.offered, language), say)
    answer = Answer(made.request, rows=made.rows)
    if ASSEMBLY in blocks.places and blocks.wires and not blocks.full:
        _judge(engine, answer, blocks, made, price_lists)
    answer.faults = [_fault_document(each, blocks, say) for each in sorted(_without_repeats(blocks), key=blocks.order)]
    if not answer.faults:
        answer.lengths = _lengths(blocks, made, say)
        answer.assumptions = [
            _placed(blocks, say, each.row, each.column, each.cell, code=each.code, detail=each.detail) for each in made.assumed
        ]
        answer.findings = list(_findings(blocks, made, answer.document, say))
        answer.wires = _wires(blocks, made, answer.lengths, say)
    return answer


def _judge(engine: Engine, answer: Answer, blocks: Blocks, made: Gathered, price_lists: Collection[str]) -> None:
    """Have the schemas and the engine check the request; their faults are noted at their cells, unless a fault is known there already."""
    try:
        asked = read_request(json.read(json.write(made.request)), price_lists)
        answer.document = rendered(engine.quote(asked))
    except Problem as problem:
        refused = [(str(each["pointer"]), str(each["code"]), cast("str", each["detail"])) for each in problem.faults]
    except RequestError as error:
        refused = [(f"#{pointer}", code, detail) for pointer, code, detail in error.faults]
    else:
        return
    for pointer, code, detail in refused:
        if blocks.full:
            return
        at = traced(blocks, made.rows, pointer, lacking=True)
        if not _known(blocks, at, pointer):
            blocks.note(Wrong(at.row, code, detail, at.column, at.cell, at.written, pointer))


def _known(blocks: Blocks, at: Traced, pointer: str) -> bool:
    """Whether a fault was already found there, or in a cell of something now missing as a whole."""
    steps = pointer.split("/assemblies/")[-1].split("/")
    inner = f"{steps[1]}." if len(steps) == 2 else at.column  # a whole wire, end or measurement
    return any(
        each.row == at.row and each.column and (each.column == at.column or each.column.startswith(str(inner))) for each in blocks.wrong
    )


def _without_repeats(blocks: Blocks) -> list[Wrong]:
    """The faults where people look for them, one for each cell: several fields of one short question may be missing."""
    by_cell: dict[tuple[object, ...], Wrong] = {}
    for each in blocks.wrong:
        at = _where_asked(each, blocks)
        by_cell.setdefault((at.row, at.column, at.cell, at.code, at.written), at)
    return list(by_cell.values())


def _where_asked(wrong: Wrong, blocks: Blocks) -> Wrong:
    """A value missing in a folded column is reported at the column of the short question that asks for it."""
    short = SHORT_FOR.get(wrong.column or "", "")
    if wrong.written or short not in blocks.places.get(ASSEMBLY, {}):
        return wrong
    return replace(wrong, column=short, cell=blocks.cell(ASSEMBLY, short, wrong.row))


def _fault_document(wrong: Wrong, blocks: Blocks, say: Say) -> Placed:
    more = {"pointer": wrong.pointer} if wrong.pointer else {}
    detail = (
        fault_in_words(wrong.code, wrong.detail, say) if wrong.pointer else say(wrong.detail)
    )  # the sheet's own faults are in its language
    return _placed(blocks, say, wrong.row, wrong.column, wrong.cell, wrong.written, code=wrong.code, detail=detail, **more)


def _placed(blocks: Blocks, say: Say, row: int, column: str | None, cell: str | None, written: str = "", **message: Any) -> Placed:
    """A message about a cell, with as much of its place as is known."""
    asked = blocks.asked.get(column or "")
    named = full_label(asked, say) if asked else None
    if not row:
        message.setdefault("pointer", "#")
    place = {"row": row or None, "column_name": column, "label": named, "cell": cell, "written": written[:200] or None}
    return {**{name: value for name, value in place.items() if value is not None}, **message}


def _lengths(blocks: Blocks, made: Gathered, say: Say) -> list[Placed]:
    """Every length in both units, in sheet order."""
    whole = [(REQUEST, blocks.whole, made.request)] if blocks.whole else []
    wires = [(ASSEMBLY, row, assembly) for row, assembly in zip(blocks.wires, made.request["assemblies"], strict=True)]
    echoed = []
    for block, row, value in (*whole, *wires):
        for name in blocks.places[block]:
            column = column_named(name)
            if name in row.cells and column is not None and column.kind == LENGTH:
                index = f"/assemblies/{made.rows.index(row.row)}" if block == ASSEMBLY else ""
                pointer = index + "".join(f"/{step}" for step in column.path)
                mm = read_length(_at(value, column.path), zero=True)
                cell = blocks.cell(block, name, row.row)
                echoed.append(_placed(blocks, say, row.row, name, cell, row.cells[name].text, pointer=pointer, length=in_both_units(mm)))
    return echoed


def _wires(blocks: Blocks, made: Gathered, lengths: list[Placed], say: Say) -> list[list[Placed]]:
    read = {each["cell"]: each["length"] for each in lengths}
    wires = {row.row: row for row in blocks.wires}
    rows_of_cells = []
    for number in made.rows:
        row = wires[number]
        cells = [(name, blocks.cell(ASSEMBLY, name, number)) for name in blocks.places[ASSEMBLY] if name in row.cells]
        rows_of_cells.append(
            [_placed(blocks, say, number, name, cell, row.cells[name].text, length=read.get(cell)) for name, cell in cells]
        )
    return rows_of_cells


def _at(value: Any, path: Iterable[str | int]) -> Any:
    for step in path:
        value = value[step]
    return value


def _findings(blocks: Blocks, made: Gathered, document: Mapping[str, Any], say: Say) -> Iterable[Placed]:
    """The engine's findings, each with its cell."""
    every = [*document["findings"], *(each for assembly in document["assemblies"] for each in assembly["findings"])]
    for each in every:
        at = traced(blocks, made.rows, str(each["pointer"]), lacking=each["severity"] == "stop")
        finding = {name: each[name] for name in ("severity", "code", "message", "remedy", "pointer")}
        yield _placed(blocks, say, at.row, at.column, at.cell, at.written, **finding)
