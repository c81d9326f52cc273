"""Processing a chunk: each line becomes a quote or a problem, and all of them are stored together."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from typing import Any, NamedTuple

from sqlalchemy.exc import SQLAlchemyError

from pricing.document import rendered, revised
from pricing.errors import TableError
from pricing.model import Quote
from pricing.records.difference import difference
from service.assembly_table import place_of
from service.batches.time_limit import TookLonger, within
from service.encoding import json
from service.engine.catalogues import Catalogues, NotKept
from service.engine.engine import Engine
from service.http import problems
from service.http.bodies import decoded
from service.lifecycle.statuses import NotAllowed, refuse_accepted
from service.schemas import read_request
from service.storage import Chunk, Chunks, Lifecycles, Packed, Quotes, Stored
from service.storage.chunks import Lost, Todo
from service.storage.errors import PASSING, server_words

log = logging.getLogger("service")
HOPELESS = "Several processes in turn ended unexpectedly while working on this line, so it was abandoned. Look for anything unusual in it, or quote it on its own."
LONGER = (
    "The line took longer than {seconds:g} seconds and was abandoned, so that the other lines are not held up. Nothing was stored for it. Quote it in parts, "
    "or by itself."
)
LEAST_SECONDS = 5.0
FAILED = "The service failed on this line and logged the cause. Nothing was stored for the line."
Keep = Callable[[], tuple[Stored, Quote]]


class Result(NamedTuple):
    """The result of a line before anything is stored: a function that stores its quote, or its problem as JSON."""

    place: int
    keep: Keep | None
    problem: bytes = b""


class ChunkProcessor:
    """Processes chunks of one database, one after another."""

    def __init__(self, store: Quotes, catalogues: Catalogues, lease: float, clock: Callable[[], float] = time.monotonic) -> None:
        self.store, self._catalogues, self._clock = store, catalogues, clock
        self.chunks = Chunks(store, lease)
        self.seconds = max(
            LEAST_SECONDS, 0.6 * lease
        )  # per line: up to a third of the lease may be used up when a line starts, so this still ends within the lease
        self._unreleased: Chunk | None = None

    def work_one(self, interrupted: Callable[[], bool] = lambda: False) -> bool:
        """Process the next chunk; False if there is none. If interrupted, it releases the chunk. Raises SQLAlchemyError."""
        self._release_failed()
        chunk = self.chunks.claim()
        if chunk is None:
            return False
        try:
            results = self._results(chunk, interrupted)
            if results is None:
                self.chunks.give_back(chunk)
                return False
            self._keep_with_retry(chunk, results)
        except Lost:
            log.warning("lines of batch %s now belong to another worker or are cancelled: their results are discarded", chunk.batch_id)
        except SQLAlchemyError:
            self._unreleased = chunk
            with suppress(SQLAlchemyError):  # otherwise it is released before the next chunk, or its lease runs out
                self._release_failed()
            raise
        return True

    def _release_failed(self) -> None:
        """Release a chunk that could not be stored: it was the database's fault, so it must neither count as an attempt nor wait for
        its lease to run out.
        """
        if self._unreleased is not None:
            self.chunks.give_back(self._unreleased)
            self._unreleased = None

    def _keep_with_retry(self, chunk: Chunk, results: list[Result]) -> None:
        """Store the results, and retry on another connection if the first was cut, to save what has been computed. If the first
        attempt did get committed, the second raises Lost, and nothing is duplicated.
        """
        try:
            self._keep(chunk, results)
        except PASSING as error:
            log.warning("storing lines of batch %s failed and will be retried once: %s", chunk.batch_id, server_words(error))
            self._keep(chunk, results)

    def _results(self, chunk: Chunk, interrupted: Callable[[], bool]) -> list[Result] | None:
        if chunk.hopeless:
            outcome = problems.document(500, HOPELESS)
            return [Result(todo.place, None, outcome) for todo in chunk.todo]
        try:
            engine = self._catalogues.of(chunk.edition)
        except (NotKept, TableError) as error:
            log.exception("batch %s cannot be processed", chunk.batch_id)
            outcome = problems.document(503, f"The tables that the batch was to be quoted with cannot be used: {error}")
            return [Result(todo.place, None, outcome) for todo in chunk.todo]
        make = {"quotes": self._quoted, "requotes": self._requoted}[chunk.kind]
        renewed, results = self._clock(), []
        for todo in chunk.todo:
            if interrupted():
                return None
            if self._clock() > renewed + self.chunks.lease / 3:
                self.chunks.renew(chunk)
                renewed = self._clock()
            results.append(self._one(lambda each: make(engine, each), chunk, todo))
        return results

    def _one(self, make: Callable[[Todo], Keep], chunk: Chunk, todo: Todo) -> Result:
        try:
            with within(self.seconds):
                return Result(todo.place, make(todo))
        except TookLonger:
            log.warning("line %s of batch %s took longer than %g s and was abandoned", todo.number, chunk.batch_id, self.seconds)
            return Result(todo.place, None, problems.document(503, LONGER.format(seconds=self.seconds)))
        except problems.REFUSED as error:
            return Result(todo.place, None, line_problem(error, chunk.columns, todo))
        except (SQLAlchemyError, Lost):
            raise
        except Exception:
            log.exception("line %s of batch %s failed", todo.number, chunk.batch_id)
            return Result(todo.place, None, problems.document(500, FAILED))

    def _quoted(self, engine: Engine, todo: Todo) -> Keep:
        body = todo.request or b""
        made = quoted_of(engine, body)
        packed = Packed.of(made, body)
        return lambda: (self.store.keep(packed), made)

    def _requoted(self, engine: Engine, todo: Todo) -> Keep:
        before, body = self.store.with_request(todo.subject or "")
        made = quoted_of(engine, body)
        revision = revised(made, before.id, difference(before.parsed(), rendered(made)))
        packed, lifecycles = Packed.of(revision, body), Lifecycles(self.store, engine.today)
        return lambda: (lifecycles.revise(before.id, packed, lambda stored: refuse_accepted(stored.status)), made)

    def _keep(self, chunk: Chunk, results: list[Result]) -> None:
        with self.chunks.keeping(chunk) as store_outcome:
            for result in results:
                quote_id, outcome = self._stored_outcome(chunk, result)
                store_outcome(result.place, quote_id, outcome)

    def _stored_outcome(self, chunk: Chunk, result: Result) -> tuple[str | None, bytes]:
        if result.keep is None:
            return None, result.problem
        try:
            stored, quote = result.keep()
        except NotAllowed as error:  # for example, the quote was accepted while it was being quoted again; nothing has been written yet
            return None, line_problem(error)
        return stored.id, json.write(head_of(stored, quote))


def quoted_of(engine: Engine, body: bytes) -> Quote:
    """The quote of a request body. Raises one of `problems.REFUSED`."""
    return engine.quote(read_request(decoded(body), engine.known_price_lists()))


def head_of(stored: Stored, quote: Quote) -> dict[str, Any]:
    """The summary of a quote that a batch stores: without names and notes."""
    return {"id": stored.id, "number": stored.number, "revision": stored.revision, **head_of_quote(quote)}


def head_of_quote(quote: Quote) -> dict[str, Any]:
    """The same for a quote that is not stored."""
    readiness = [each.readiness for each in quote.assemblies]
    totals = quote.totals
    return {
        "issued_on": quote.issued_on,
        "valid_until": quote.valid_until,
        "currency": quote.currency,
        "tax_exclusive": str(totals.tax_exclusive),
        "payable": None if totals.payable is None else str(totals.payable),
        "assemblies": {name: readiness.count(name) for name in ("ready_to_cut", "confirm", "hold")},
    }


def line_problem(error: Exception, columns: Collection[str] = (), todo: Todo | None = None) -> bytes:
    """The problem of a line that was refused; each fault of a sheet with its cell."""
    problem = problems.problem_of(error)
    return problems.document(problem.status, problem.detail, [_placed(each, columns, todo) for each in problem.faults])


def _placed(found: Mapping[str, Any], columns: Collection[str], todo: Todo | None) -> dict[str, object]:
    if todo is None or todo.rows is None or "pointer" not in found:
        return dict(found)
    place = place_of(found["pointer"], todo.rows, columns)
    cell = {"row": place.row, "column_name": place.column}
    return {**found, **{name: value for name, value in cell.items() if value is not None}}
