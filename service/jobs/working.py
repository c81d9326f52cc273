"""The work on a chunk: each line becomes a quote or a problem, and all of them are kept together."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from typing import Any, NamedTuple

from sqlalchemy.exc import SQLAlchemyError

from pricing.difference import difference
from pricing.errors import NoPrice, RequestError, TableError
from pricing.quote import Quoted
from service import json, problems
from service.bodies import decoded
from service.catalogues import Catalogues, NotKept
from service.engine import Engine
from service.life.statuses import NotAllowed
from service.problems import Problem, fault
from service.schemas import read_request
from service.sheets import place_of
from service.storage import Chunk, Chunks, Lives, NoQuote, Packed, Quotes, Shelves, Stored
from service.storage.chunks import Lost, Todo
from service.storage.shelves import Rows
from service.storage.troubles import PASSING, server_words

log = logging.getLogger("service")
HOPELESS = (
    "The line ended whoever worked on it, several times, and is not begun again. Look for what is unusual in it, or quote it by itself."
)
FAILED = "The service failed on this line. The failure was recorded; nothing was stored for it."
Document = Mapping[str, Any]
Keep = Callable[[], tuple[Stored, Document]]


class Result(NamedTuple):
    """What came of a line before anything is kept: how to keep its quote, or its problem as JSON."""

    place: int
    keep: Keep | None
    problem: bytes = b""


class Workshop:
    """Works on chunks of one database, one after the other."""

    def __init__(self, store: Quotes, catalogues: Catalogues, lease: float, clock: Callable[[], float] = time.monotonic) -> None:
        self.store, self._catalogues, self._clock = store, catalogues, clock
        self.chunks = Chunks(store, lease)
        self._shelves = Shelves(store)
        self._owed: Chunk | None = None

    def work_one(self, interrupted: Callable[[], bool] = lambda: False) -> bool:
        """Work on the next chunk; False where there is none. Where it is interrupted it gives the chunk back. Raises SQLAlchemyError."""
        self._settle()
        chunk = self.chunks.claim()
        if chunk is None:
            return False
        try:
            results = self._results(chunk, interrupted)
            if results is None:
                self.chunks.give_back(chunk)
                return False
            self._keep_firmly(chunk, results)
        except Lost:
            log.warning("lines of batch %s are another's by now, or cancelled: what was made of them here is not kept", chunk.batch_id)
        except SQLAlchemyError:
            self._owed = chunk
            with suppress(SQLAlchemyError):  # then it is given back before the next, or its lease lapses by itself
                self._settle()
            raise
        return True

    def _settle(self) -> None:
        """Give back what could not be kept: it was the database's fault, which must not count as an attempt, nor wait for a lease to lapse."""
        if self._owed is not None:
            self.chunks.give_back(self._owed)
            self._owed = None

    def _keep_firmly(self, chunk: Chunk, results: list[Result]) -> None:
        """Keep, and once more over another connection where the first was cut: what has been computed is good. Had the first been kept after all, the
        second is Lost, and nothing is doubled."""
        try:
            self._keep(chunk, results)
        except PASSING as error:
            log.warning("lines of batch %s are kept at the second try: %s", chunk.batch_id, server_words(error))
            self._keep(chunk, results)

    def _results(self, chunk: Chunk, interrupted: Callable[[], bool]) -> list[Result] | None:
        if chunk.hopeless:
            said = problems.document(500, HOPELESS)
            return [Result(todo.place, None, said) for todo in chunk.todo]
        try:
            engine = self._catalogues.of(chunk.edition)
        except (NotKept, TableError) as error:
            log.exception("batch %s cannot be worked on", chunk.batch_id)
            said = problems.document(503, f"The tables that the batch was to be quoted with cannot be used: {error}")
            return [Result(todo.place, None, said) for todo in chunk.todo]
        make = {"quotes": self._quoted, "requotes": self._requoted}[chunk.kind]
        stock = self._shelves.now(engine.catalogue.stock).rows
        renewed, found = self._clock(), []
        for todo in chunk.todo:
            if interrupted():
                return None
            if self._clock() > renewed + self.chunks.lease / 3:
                self.chunks.renew(chunk)
                renewed = self._clock()
            found.append(self._one(lambda each: make(engine, stock, each), chunk, todo))
        return found

    def _one(self, make: Callable[[Todo], Keep], chunk: Chunk, todo: Todo) -> Result:
        try:
            return Result(todo.place, make(todo))
        except (Problem, RequestError, NoPrice, NotAllowed, NoQuote, TableError) as error:
            return Result(todo.place, None, problem_of(error, chunk.columns, todo))
        except (SQLAlchemyError, Lost):
            raise
        except Exception:
            log.exception("line %s of batch %s failed", todo.number, chunk.batch_id)
            return Result(todo.place, None, problems.document(500, FAILED))

    def _quoted(self, engine: Engine, stock: Rows, todo: Todo) -> Keep:
        body = todo.request or b""
        made = _made(engine, stock, body)
        packed = Packed.of(made.document, body, made.bench)
        return lambda: (self.store.keep(packed), made.document)

    def _requoted(self, engine: Engine, stock: Rows, todo: Todo) -> Keep:
        before, body = self.store.with_request(todo.subject or "")
        made = _made(engine, stock, body)
        whole = {"supersedes": before.id, "difference": difference(before.said(), made.document), **made.document}
        packed, lives = Packed.of(whole, body, made.bench), Lives(self.store, engine.today)
        return lambda: (lives.revise(before.id, packed, lambda _: None), made.document)

    def _keep(self, chunk: Chunk, results: list[Result]) -> None:
        with self.chunks.keeping(chunk) as tell:
            for result in results:
                quote_id, said = self._kept(chunk, result)
                tell(result.place, quote_id, said)

    def _kept(self, chunk: Chunk, result: Result) -> tuple[str | None, bytes]:
        if result.keep is None:
            return None, result.problem
        try:
            stored, document = result.keep()
        except NotAllowed as error:  # it was accepted, say, while it was quoted again; nothing was written yet
            return None, problem_of(error)
        return stored.id, json.write(head_of(stored, document))


def _made(engine: Engine, stock: Rows, body: bytes) -> Quoted:
    return engine.quote_and_plan(read_request(decoded(body), engine.known_price_lists()), stock)


def head_of(stored: Stored, said: Document) -> dict[str, Any]:
    """What a batch keeps of a quote beside it: no name, no note."""
    return {"id": stored.id, "number": stored.number, "revision": stored.revision, **head_of_document(said)}


def head_of_document(said: Document) -> dict[str, Any]:
    """The same of a quote that is not stored."""
    readiness = [each["readiness"] for each in said["assemblies"]]
    totals = said["totals"]
    return {
        **{name: said[name] for name in ("issued_on", "valid_until", "currency")},
        **{name: totals[name] for name in ("tax_exclusive", "payable")},
        "assemblies": {name: readiness.count(name) for name in ("ready_to_cut", "confirm", "hold")},
    }


def problem_of(error: Exception, columns: Collection[str] = (), todo: Todo | None = None) -> bytes:
    """A line's failure as a problem; each fault of a sheet with its cell."""
    if isinstance(error, Problem):
        return problems.document(error.status, error.detail, [_placed(each, columns, todo) for each in error.faults])
    if isinstance(error, NotAllowed):
        return problems.document(409, str(error), [fault("#", error.status.value, str(error))])
    if isinstance(error, RequestError):
        faults = [_placed(fault(f"#{pointer}", code, detail), columns, todo) for pointer, code, detail in error.faults]
        return problems.document(422, "The request can be read but not worked with; each fault is listed with its place.", faults)
    if isinstance(error, NoQuote):
        return problems.document(404, "There is no quote with this id.")
    words = f"this: {error}" if isinstance(error, NoPrice) else "anything today"
    return problems.document(503, f"The shop's price table cannot price {words}.")


def _placed(found: Mapping[str, Any], columns: Collection[str], todo: Todo | None) -> dict[str, object]:
    if todo is None or todo.rows is None or "pointer" not in found:
        return dict(found)
    place = place_of(found["pointer"], todo.rows, columns)
    cell = {"row": place.row, "column_name": place.column}
    return {**found, **{name: value for name, value in cell.items() if value is not None}}
