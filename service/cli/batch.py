"""`python -m service batch FILE [--out FILE]`: quote a fleet without a server; nothing is stored or numbered. A database is not
needed; one that is there says which tables are in force.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import ExitStack
from itertools import chain
from pathlib import Path
from typing import IO, Any

from pricing.document import previewed, written
from service.batches.process_chunk import head_of_quote, line_problem, quoted_of
from service.batches.sources import CSV, JSON, NDJSON, SOURCES
from service.batches.storing import REPEATED
from service.cli.bar import Bar
from service.cli.in_force import engine_with_or_without
from service.cli.out import confirm, refuse
from service.documents import batch_results
from service.documents.batch_results import LineResult
from service.encoding import json
from service.engine.engine import Engine
from service.http import problems
from service.http.problems import Problem
from service.settings import Settings
from service.storage import Line
from service.storage.chunks import Todo

log = logging.getLogger("service")
MEDIA = {".ndjson": NDJSON, ".jsonl": NDJSON, ".json": JSON, ".csv": CSV, ".tsv": CSV, ".txt": CSV}
FORMS = (".ndjson", ".jsonl", ".json", ".csv", ".xlsx")


def batch(settings: Settings, source: Path, target: Path | None, *, sure: bool) -> int:
    """Quote each line; returns 2 if the input cannot be read or the output not be written at all, 1 if a line failed. Raises Refused,
    TableError.
    """
    if source.suffix.lower() not in MEDIA:
        return refuse(f"Name a file that ends with {', '.join(MEDIA)}.")
    if target is not None and target.suffix.lower() not in FORMS:
        return refuse(f"Name a file to write that ends with {', '.join(FORMS)}.")
    if target is not None and target.exists():
        confirm(f"{target} already exists: replace it?", sure=sure)
    engine = engine_with_or_without(settings)
    tally = _Tally()
    with ExitStack() as closing:
        stream = closing.enter_context(source.open("rb"))
        bar = Bar(source.stat().st_size, shown=target is not None or not sys.stdout.isatty())
        try:
            read = SOURCES[MEDIA[source.suffix.lower()]](stream, settings.max_body_bytes)
            results = tally.counted(_results(read.lines, read.columns or (), engine), lambda: bar.show(stream.tell(), tally.words()))
            _write(results, target, engine)
        except Problem as error:
            bar.end()
            faults = (f"  {each.get('column_name', each.get('pointer'))}: {each['detail']}" for each in error.faults)
            return refuse(error.detail, *faults)
        except BrokenPipeError:
            raise
        except OSError as error:
            bar.end()
            return refuse(f"{error.filename or 'What comes of it'} cannot be read or written: {error.strerror}.")
        bar.end()
    if not tally.quoted + tally.failed:
        return refuse(f"{source} has no lines.")
    sys.stderr.write(tally.words() + "\n")
    return 1 if tally.failed else 0


class _Tally:
    """Counts lines by outcome."""

    def __init__(self) -> None:
        self.quoted = self.failed = 0

    def words(self) -> str:
        return f"{self.quoted} quoted, {self.failed} failed"

    def counted(self, results: Iterable[LineResult], report: Callable[[], None]) -> Iterator[LineResult]:
        for each in results:
            self.quoted += each.outcome == "succeeded"
            self.failed += each.outcome != "succeeded"
            report()
            yield each


def _results(lines: Iterable[Line], columns: tuple[str, ...], engine: Engine) -> Iterator[LineResult]:
    seen: set[str] = set()
    for line in lines:
        problem = line.problem
        if line.name is not None:
            problem = REPEATED if line.name in seen else problem
            seen.add(line.name)
        yield LineResult(line.name, line.number, "failed", json.read(problem)) if problem else _quoted(line, columns, engine)


def _quoted(line: Line, columns: tuple[str, ...], engine: Engine) -> LineResult:
    try:
        quote = quoted_of(engine, line.request or b"")
    except problems.REFUSED as error:
        problem = line_problem(error, columns, Todo(0, line.number, line.rows, line.request, None))
        return LineResult(line.name, line.number, "failed", json.read(problem))
    except Exception:  # one line never ends the others
        log.exception("line %s failed", line.number)
        return LineResult(line.name, line.number, "failed", json.read(problems.document(500, "The engine failed on this line.")))
    return LineResult(line.name, line.number, "succeeded", head_of_quote(quote), written(previewed(quote)))


def _write(results: Iterator[LineResult], target: Path | None, engine: Engine) -> None:
    first = next(results, None)  # an input refused as a whole is refused before the output file is opened
    every = chain([] if first is None else [first], results)
    if target is None:
        for piece in batch_results.ndjson(every):
            sys.stdout.buffer.write(piece)
        sys.stdout.flush()
        return
    part = target.with_name(f"{target.name}.part")
    try:
        with part.open("wb") as out:
            _form(target.suffix.lower())(every, out, engine)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def _form(suffix: str) -> Callable[[Iterator[LineResult], IO[bytes], Engine], None]:
    forms: Mapping[str, Any] = {".csv": _csv, ".json": _json, ".xlsx": _xlsx}
    return forms.get(suffix, _ndjson)  # type: ignore[no-any-return]  # the table's values are these functions


def _ndjson(results: Iterator[LineResult], out: IO[bytes], _: Engine) -> None:
    out.writelines(batch_results.ndjson(results))


def _csv(results: Iterator[LineResult], out: IO[bytes], _: Engine) -> None:
    out.writelines(batch_results.csv(results))


def _json(results: Iterator[LineResult], out: IO[bytes], _: Engine) -> None:
    between = b"["
    for piece in batch_results.ndjson(results):
        out.write(between + piece.rstrip(b"\n"))
        between = b",\n"
    out.write(b"]\n" if between != b"[" else b"[]\n")


def _xlsx(results: Iterator[LineResult], out: IO[bytes], engine: Engine) -> None:
    with batch_results.workbook(results, engine.today()) as made:
        while block := made.read(65_536):
            out.write(block)
