"""Interprets cells: choices become the request's own words, plain numbers get the sheet's unit if it names one, everything else stays
as written.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from service.assembly_table import column_named
from service.assembly_table.columns import FLAG, LENGTH
from service.measuring_sheet.blocks import Blocks, Row, Wrong
from service.measuring_sheet.choices import normal, offers, words_of
from service.measuring_sheet.columns import ASSEMBLY, PLAIN, REQUEST, Asked
from service.measuring_sheet.grid import DATE, Cell
from service.measuring_sheet.usual import SHORT
from service.web_form.answering import CHOSEN
from service.web_form.asking import N_, Value

Say = Callable[[str], str]
CHOOSE = N_("Write one of: %s.")
AGAINST = N_("This says something else than the column '%s': empty one of the two cells.")
_PLAIN_NUMBER = re.compile(r"[0-9]+([.,][0-9]+)?|([0-9]+[\s-]+)?[0-9]+\s?/\s?[0-9]+")
_MONTH = r"(jan|feb|mrz|m[aä]r|apr|ma[iy]|jun|jul|aug|sep|o[ck]t|nov|de[cz])[a-zä]*\.?"
_DATE = re.compile(
    r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}.*|[0-9]{1,2}([./-])[0-9]{1,2}\1([0-9]{2}|[0-9]{4})"
    rf"|[0-9]{{1,2}}[-. ]+{_MONTH}([- ][0-9]{{2,4}})?|{_MONTH}[- ][0-9]{{1,4}}",
    re.IGNORECASE,
)  # what spreadsheets turn 3/8 and 1-2 into, in their languages


class ReadRow(NamedTuple):
    """A row in the request's terms: text by column name, along with the form's answers, and the plain numbers that were given a unit."""

    row: int
    cells: dict[str, str]
    answers: dict[str, Any]
    assumed: dict[str, tuple[str, str]]  # as written, as read


class UnusableCell(ValueError):
    """A cell that cannot be used: code and what to do."""

    def __init__(self, code: str, detail: str) -> None:
        super().__init__(detail)
        self.code, self.detail = code, detail


class Reader:
    """Reads the cells of one sheet. `form`: a description, for what the tables in force offer; `say` reports faults in its language."""

    def __init__(self, form: Mapping[str, Any], say: Say, blocks: Blocks) -> None:
        self._form, self._say, self._blocks = form, say, blocks
        self._words: dict[str, tuple[dict[str, Value], str]] = {}
        self._unit = ""

    def whole(self) -> ReadRow:
        """The row of boat and customer, read first because it may name the unit of plain numbers."""
        row = self._blocks.whole or Row(0, {})
        if PLAIN in row.cells:
            unit = self._row(Row(row.row, {PLAIN: row.cells[PLAIN]}), REQUEST)
            self._unit = str(unit.answers.get(PLAIN, ""))
        return self._row(Row(row.row, {name: cell for name, cell in row.cells.items() if name != PLAIN}), REQUEST)

    def wires(self) -> list[ReadRow]:
        """The rows of the wires."""
        return [self._row(row, ASSEMBLY) for row in self._blocks.wires]

    def _row(self, row: Row, block: str) -> ReadRow:
        read_row = ReadRow(row.row, {}, {}, {})
        for name, cell in row.cells.items():
            asked = self._blocks.asked[name]
            try:
                value = self._value(asked, cell, read_row)
            except UnusableCell as bad:
                self._blocks.note(Wrong(row.row, bad.code, bad.detail, name, self._blocks.cell(block, name, row.row), cell.text))
                continue
            if asked.column is not None:
                read_row.cells[name] = ("yes" if value else "no") if isinstance(value, bool) else value
            if asked.question is not None:
                read_row.answers[asked.question.path] = value
        if block == ASSEMBLY:
            self._apply_short(read_row)
        return read_row

    def _apply_short(self, read_row: ReadRow) -> None:
        """Put in the answers that short questions stand for, as the form does. Defaults are not sent; a contradiction to another cell is a fault."""
        described = {each["path"]: each for each in self._form["questions"]}
        for short in (each for each in SHORT if each.path in read_row.answers):
            chosen: Mapping[str, Any] = next(
                (each for each in described[short.path]["choices"] if each["value"] == read_row.answers[short.path]), {}
            )
            for path, value in chosen.get("answers", {}).items():
                if path not in read_row.answers:
                    self._put(read_row, path, value, described[path])
                elif read_row.answers[path] != value and described[path]["kind"] in CHOSEN:
                    at = self._blocks.cell(ASSEMBLY, path, read_row.row)
                    words = self._say(AGAINST) % self._say(short.label)
                    self._blocks.note(Wrong(read_row.row, "contradiction", words, path, at, self._written(read_row.row, path)))

    def _put(self, read_row: ReadRow, path: str, value: Value, question: Mapping[str, Any]) -> None:
        if value == question.get("default"):
            return
        read_row.answers[path] = value
        if column_named(path) is not None:
            read_row.cells[path] = ("yes" if value else "no") if isinstance(value, bool) else str(value)

    def _written(self, row: int, name: str) -> str:
        return next((each.cells[name].text for each in self._blocks.wires if each.row == row and name in each.cells), "")

    def _value(self, asked: Asked, cell: Cell, read_row: ReadRow) -> Value:
        """The value of a cell. Raises UnusableCell."""
        if cell.fault is not None:
            raise UnusableCell(cell.fault[0], self._say(cell.fault[1]))
        if asked.kind == LENGTH:
            return self._length(asked, cell.text.strip(), read_row)
        if asked.question is not None and asked.question.kind in CHOSEN:
            return self._chosen(asked, cell.text)
        if asked.kind == FLAG:
            return {"ja": "yes", "nein": "no"}.get(cell.text.strip().casefold(), cell.text)
        return cell.text

    def _length(self, asked: Asked, text: str, read_row: ReadRow) -> Value:
        if _DATE.fullmatch(text):
            raise UnusableCell("date", self._say(DATE))
        written = text
        if self._unit and _PLAIN_NUMBER.fullmatch(text):
            text = f"{text} {self._unit}"
            read_row.assumed[asked.name] = (written, text)
        return self._known(asked)[0].get(normal(text), text)

    def _chosen(self, asked: Asked, text: str) -> Value:
        words, choices = self._known(asked)
        value = words.get(normal(text))
        if value is None and asked.question is not None and not asked.question.choices and not asked.question.short:
            return text.strip()  # a size or material that the tables lack: the engine says what to do
        if value is None:
            raise UnusableCell("not_accepted", self._say(CHOOSE) % choices)
        return value

    def _known(self, asked: Asked) -> tuple[dict[str, Value], str]:
        """Every way to write a choice of the column, and its choices as text."""
        if asked.name not in self._words:
            offered, question = offers(asked, self._form), asked.question
            every = [*(each.value for each in offered), *(each.value for each in (question.choices if question else ()))]
            known = words_of(question, tuple(dict.fromkeys(every))) if question else {}
            known |= {normal(each.label): each.value for each in offered if normal(each.label) not in known}
            self._words[asked.name] = known, ", ".join(f"'{each.label}'" for each in offered)
        return self._words[asked.name]
