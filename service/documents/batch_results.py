"""The results of a batch, line by line, as NDJSON, CSV or a workbook, each written as a stream.

| column | meaning |
|---|---|
| `custom_id`, `line_number` | the line's own name, and its number in the file |
| `outcome` | succeeded or failed |
| `number`, `revision`, `id` | the quote |
| `issued_on`, `valid_until` | its dates |
| `ready_to_cut`, `confirm`, `hold` | how many of its assemblies have this readiness |
| `currency`, `tax_exclusive`, `payable` | its currency, total before tax, and amount payable |
| `problem` | why the line failed, with the place of every fault |

CSV and numbers as in `cells.py`; the workbook as in `workbook/`, except that its rows go to a file as they are written.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import IO, Any, NamedTuple

from service.documents.csv.cells import csv_table
from service.documents.workbook.sheet import Cell, Column, Day, Number, Workbook
from service.encoding import json

COLUMNS = (
    "custom_id", "line_number", "outcome", "number", "revision", "id", "issued_on", "valid_until", "ready_to_cut", "confirm", "hold",
    "currency", "tax_exclusive", "payable", "problem",
)  # fmt: skip
_NUMBERS = frozenset({"line_number", "revision", "ready_to_cut", "confirm", "hold", "tax_exclusive", "payable"})
_WIDTHS = (20, 8, 9, 18, 8, 38, 12, 12, 9, 9, 9, 9, 14, 14, 80)
_MOST_TEXT = 2000  # characters of a problem, per cell
_AT_ONCE = 100


class LineResult(NamedTuple):
    """A line's outcome. `detail`: the head of its quote, or its problem. `quote`: the whole quote as JSON, if it is to be included."""

    name: str | None
    number: int
    outcome: str
    detail: Mapping[str, Any]
    quote: bytes | None = None


def ndjson(results: Iterable[LineResult]) -> Iterator[bytes]:
    """One JSON object per line, with `quote` or `problem`."""
    for each in results:
        head = json.write({"custom_id": each.name, "line_number": each.number, "outcome": each.outcome})
        if each.quote is not None:
            yield head[:-1] + b',"quote":' + each.quote + b"}\n"
        else:
            member = b',"quote":' if each.outcome == "succeeded" else b',"problem":'
            yield head[:-1] + member + json.write(each.detail) + b"}\n"


def csv(results: Iterable[LineResult]) -> Iterator[bytes]:
    """CSV, one row per line of the batch."""
    yield csv_table(COLUMNS, _NUMBERS, [])
    heading = len(csv_table(COLUMNS, _NUMBERS, []))
    waiting: list[dict[str, object]] = []
    for each in results:
        waiting.append(row_of(each))
        if len(waiting) == _AT_ONCE:
            yield csv_table(COLUMNS, _NUMBERS, waiting)[heading:]
            waiting = []
    if waiting:
        yield csv_table(COLUMNS, _NUMBERS, waiting)[heading:]


def workbook(results: Iterable[LineResult], day: date) -> IO[bytes]:
    """A workbook in an unnamed temporary file, positioned at its start."""
    file = tempfile.TemporaryFile(prefix="batch-")  # noqa: SIM115  # the caller closes it once it is sent
    book = Workbook("Results of a batch", day, file)
    book.add("Results", [Column(title, width) for title, width in zip(COLUMNS, _WIDTHS, strict=True)], map(_cells, results))
    book.finish()
    file.seek(0)
    return file


def row_of(result: LineResult) -> dict[str, object]:
    """The row for a line."""
    row = {"custom_id": result.name, "line_number": result.number, "outcome": result.outcome}
    if result.outcome != "succeeded":
        return {**row, "problem": _words(result.detail)}
    return {**row, **result.detail, **result.detail["assemblies"]}


def _words(problem: Mapping[str, Any]) -> str:
    faults = (f"{_place(fault)}: {fault['detail']}" for fault in problem["errors"])
    return "; ".join([problem["detail"], *faults])[:_MOST_TEXT]


def _place(fault: Mapping[str, Any]) -> str:
    if "row" in fault:
        return f"row {fault['row']}" + (f", {fault['column_name']}" if "column_name" in fault else "")
    return str(fault.get("pointer", "#"))


def _cells(result: LineResult) -> list[Cell]:
    row = row_of(result)
    cells: list[Cell] = []
    for name in COLUMNS:
        value: Any = row.get(name)
        if value is None:
            cells.append(None)
        elif name in ("tax_exclusive", "payable"):
            cells.append(Number(str(value)))
        elif name in ("issued_on", "valid_until"):
            cells.append(Day(str(value)))
        else:
            cells.append(value if isinstance(value, int) else str(value))
    return cells
