"""Splits a request body into the lines of a batch: NDJSON, a JSON list, or a CSV table. A line that cannot be read carries its problem."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import chain
from typing import IO, Any, NamedTuple

from service.assembly_table import Boat, HeaderFault, records, whole_sheet
from service.assembly_table.columns import CUSTOM_ID, FORMER_ID
from service.batches.splitting import Piece, items_of, lines_of
from service.encoding import json
from service.http import problems
from service.http.problems import Problem, fault
from service.storage import Line

NDJSON, CSV, JSON = "application/x-ndjson", "text/csv", "application/json"
MOST_NAME = 120


class Source(NamedTuple):
    """The lines of a body, read lazily; `columns` of a sheet."""

    name: str
    lines: Iterator[Line]
    columns: tuple[str, ...] | None = None


def _ndjson(file: IO[bytes], most: int) -> Source:
    return Source("ndjson", (_line(piece, most, "line") for piece in lines_of(file, most)))


def _json(file: IO[bytes], most: int) -> Source:
    pieces = items_of(file, most)
    first = next(pieces, None)
    if first is not None and first.broken is not None:
        raise Problem(400, f"The body is not valid JSON: {first.broken}.", [fault("#", "not_json", first.broken)])
    return Source("json", (_line(piece, most, "item") for piece in chain([] if first is None else [first], pieces)))


def _csv(file: IO[bytes], most: int) -> Source:
    try:
        columns, boats = whole_sheet(records(file))
    except HeaderFault as error:
        faults = [{"column_name": column, "row": 1, "code": code, "detail": detail} for column, code, detail in error.faults]
        raise Problem(422, "The header row of the table cannot be used; each fault is listed with its column.", faults) from None
    return Source("csv", map(_boat, boats), tuple(column.name for column in columns))


SOURCES: Mapping[str, Callable[[IO[bytes], int], Source]] = {NDJSON: _ndjson, "application/jsonl": _ndjson, CSV: _csv, JSON: _json}


def _line(piece: Piece, most: int, what: str) -> Line:
    if piece.broken is not None:
        return _failed(piece.number, 400, f"The list breaks off here: {piece.broken}.", [fault("#", "not_json", piece.broken)])
    if piece.text is None:
        words = f"the {what} has more than {most} bytes: send it in several"
        return _failed(piece.number, 413, f"This {what} is too long and was skipped.", [fault("#", "line_too_long", words)])
    try:
        value = json.read(piece.text)
    except json.NotJson as failure:
        place = failure.place if what == "item" else {**failure.place, "line": piece.number} if failure.place else {}
        detail = failure.detail.replace("line 1, ", f"line {piece.number}, ", 1) if what == "line" else failure.detail
        return _failed(piece.number, 400, f"This {what} is not valid JSON: {detail}.", [{**fault("#", failure.code, detail), **place}])
    return _line_with_id(piece, value)


def _line_with_id(piece: Piece, value: Any) -> Line:
    if not isinstance(value, dict):
        words = "a request is an object, {...}, with assemblies"
        return _failed(piece.number, 422, "This is not a quote request.", [fault("#", "not_an_object", words)])
    given = [each for each in (CUSTOM_ID, FORMER_ID) if each in value]
    if not given:
        return Line(piece.number, None, piece.text)
    if len(given) > 1:
        words = f"{FORMER_ID} is the former name of {CUSTOM_ID}: send {CUSTOM_ID} alone"
        return _failed(piece.number, 422, "The line has two ids.", [fault(f"#/{FORMER_ID}", "written_twice", words)])
    name = value.pop(given[0])
    if type(name) is not str or not name.strip() or len(name) > MOST_NAME or not name.isprintable():
        words = f"write 1 to {MOST_NAME} printable characters, or leave {given[0]} out"
        return _failed(piece.number, 422, "The line's own id cannot be read.", [fault(f"#/{given[0]}", "not_text", words)])
    return Line(piece.number, name, json.write(value))


def _boat(boat: Boat) -> Line:
    name = boat.custom_id if boat.custom_id is None or len(boat.custom_id) <= MOST_NAME else None
    faults = boat.faults
    if boat.custom_id is not None and name is None:
        words = f"write at most {MOST_NAME} characters"
        faults = [*faults, {"row": boat.row, "column_name": CUSTOM_ID, "code": "length", "detail": words}]
    if faults:
        problem = problems.document(
            422, "The rows of this boat cannot be read; each fault is listed with its row and column.", map(_cell, faults)
        )
        return Line(boat.row, name, None, problem, tuple(boat.rows))
    return Line(boat.row, name, json.write(boat.request), None, tuple(boat.rows))


def _cell(found: Mapping[str, object]) -> dict[str, object]:
    """A table fault with its fields renamed to those of a problem document, in which `column` is a number."""
    return {("column_name" if name == "column" else name): value for name, value in found.items()}


def _failed(number: int, status: int, detail: str, faults: list[Any]) -> Line:
    return Line(number, None, None, problems.document(status, detail, faults))
