"""`quotes list`, `quotes export`, `quotes requote NUMBER` and `quotes requote --open`."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from typing import Any

from pricing.document import rendered, revised
from pricing.records.difference import difference, same_result
from service.batches.process_chunk import ChunkProcessor, line_problem, quoted_of
from service.batches.sources import Source
from service.batches.storing import stored
from service.batches.wakeup import Bell
from service.cli.bar import Bar
from service.cli.in_force import in_force
from service.cli.out import confirm, refuse, say
from service.encoding import json
from service.engine.catalogues import Catalogues
from service.engine.engine import Engine, open_engine
from service.http import problems
from service.lifecycle.statuses import Status, Step, after, refuse_accepted
from service.settings import Settings
from service.storage import Batches, Editions, Lifecycles, Line, Packed, Progress, Quotes, Summary
from service.storage.stored_quotes import kept_quotes

_PAGE = 100
MOST_REQUOTED = 10_000_000


def listed(settings: Settings) -> int:
    """Print one line per quote, newest first. Raises SQLAlchemyError, WrongSchema, TableError."""
    today = open_engine(settings).today()
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        for one in (each.on(today) for each in _all(store)):
            say(
                f"{one.number}  rev {one.revision:<3} {one.status:<11} {one.issued_on} to {one.valid_until}  {one.payable or '-':>12} {one.currency}  {one.id}"
            )
    return 0


def _all(store: Quotes) -> Iterator[Summary]:
    before: str | None = None
    while page := store.page(_PAGE, before):
        yield from page
        before = page[-1].id


def export(settings: Settings) -> int:
    """Print every quote as it is served, one JSON line each, oldest first. Raises SQLAlchemyError, WrongSchema, TableError."""
    today = open_engine(settings).today()
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        for kept in kept_quotes(store):
            stored = store.get(kept.id)
            if stored is not None:
                sys.stdout.write(stored.on(today).body().decode() + "\n")
    return 0


def requote(settings: Settings, number: str, *, sure: bool) -> int:
    """Quote the latest request of a number again at today's prices, as its next revision; shows what changes and asks first. Raises
    Refused, SQLAlchemyError, WrongSchema, TableError.
    """
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        engine = in_force(settings, Editions(store)).engine
        issues = list(kept_quotes(store, number))
        if not issues:
            return refuse(f"There is no quote {number}.")
        last = max(issues, key=lambda each: each.revision)
        try:
            after(last.status, Step.REVISE)  # fails before asking if a revision is not allowed
            refuse_accepted(last.status)
            again = quoted_of(engine, last.request)
            changed = difference(last.document, rendered(again))
            words = [f"  {each}" for each in changed["words"]]
            confirm(
                "\n".join([f"{number} revision {last.revision}, quoted at today's prices:", *words, "Make its next revision?"]), sure=sure
            )
            packed = Packed.of(revised(again, last.id, changed), last.request)
            made = Lifecycles(store, engine.today).revise(last.id, packed, lambda stored: refuse_accepted(stored.status))
            return say("\n".join([f"{made.number} revision {made.revision}: {made.id}", *words]))
        except problems.REFUSED as error:
            return refuse(_left(number, json.read(line_problem(error))))


def requote_open(settings: Settings, *, sure: bool) -> int:
    """Do the same for every open quote whose result would differ, as a batch: an interrupted run is resumed, and running workers help.
    Quotes that cannot be quoted again are listed, and the others continue; returns 2 if there were any. Raises Refused,
    SQLAlchemyError, WrongSchema, TableError.
    """
    with closing(Quotes(settings.database_url, 2)) as store:
        store.ready()
        editions = Editions(store)
        now = in_force(settings, editions)
        engine = now.engine
        open_quotes = _examine(store, engine)
        if open_quotes.changing:
            confirm(f"{open_quotes.words()} Make their next revisions?", sure=sure)
            editions.keep(engine.key, now.files)
            lines = (Line(place, number, subject=quote_id) for place, (number, quote_id) in enumerate(open_quotes.changing, 1))
            made = stored(store, "requotes", Source("stored", lines), engine.key, MOST_REQUOTED)
            _work_off(made, settings, ChunkProcessor(store, Catalogues(settings, editions, engine), settings.batch_lease_seconds))
            _print_outcomes(made, store, open_quotes)
        summary = f"{open_quotes.revised} of {open_quotes.open} open quotes quoted again."
        if open_quotes.same:
            summary += f" {open_quotes.same} would not change and were left out."
        return refuse(*open_quotes.left, summary) if open_quotes.left else say(summary)


@dataclass
class _OpenQuotes:
    """The open quotes by what quoting them again today would do."""

    open: int = 0
    same: int = 0
    revised: int = 0
    changing: list[tuple[str, str]] = field(default_factory=list)  # number and id
    left: list[str] = field(default_factory=list)  # number and reason of each that cannot be quoted again

    def words(self) -> str:
        left = f", {len(self.left)} cannot be quoted again" if self.left else ""
        return f"Of {self.open} open quotes {len(self.changing)} would change today, {self.same} would not{left}."


def _examine(store: Quotes, engine: Engine) -> _OpenQuotes:
    """Compute each open quote here without storing anything: if the result is the same, the customer is spared a revision."""
    open_quotes = _OpenQuotes()
    opened = [(each.number, each.id) for each in _all(store) if each.on(engine.today()).status == Status.ISSUED]
    bar = Bar(len(opened))
    for number, quote_id in opened:
        bar.show(open_quotes.open)
        open_quotes.open += 1
        before, request = store.with_request(quote_id)
        try:
            again = quoted_of(engine, request)
        except problems.REFUSED as error:
            open_quotes.left.append(_left(number, json.read(line_problem(error))))
            continue
        if same_result(before.parsed(), rendered(again)):
            open_quotes.same += 1
        else:
            open_quotes.changing.append((number, quote_id))
    bar.end()
    return open_quotes


def _work_off(made: Progress, settings: Settings, processor: ChunkProcessor) -> None:
    batches, bar = Batches(processor.store), Bar(made.total)
    Bell(settings).ring()
    while not (now := batches.progress(made.id) or made).ended:
        bar.show(now.succeeded + now.failed)
        if not processor.work_one():
            processor.chunks.finish_all()
            time.sleep(0.2)  # other workers are processing the last lines
    bar.end()


def _print_outcomes(made: Progress, store: Quotes, open_quotes: _OpenQuotes) -> None:
    """Print the outcome of each line of the batch."""
    for each in Batches(store).outcomes(made.id):
        outcome = json.read(each.said or b"{}")
        if each.quote_id is None:
            open_quotes.left.append(_left(each.name or "", outcome))
            continue
        open_quotes.revised += 1
        kept = store.get(each.quote_id)
        words = kept.parsed()["difference"]["words"] if kept else ()
        say("\n".join([f"{outcome['number']} revision {outcome['revision']}: {outcome['id']}", *(f"  {word}" for word in words)]))


def _left(number: str, problem: Mapping[str, Any]) -> str:
    return "; ".join([f"{number}: {problem['detail']}", *(fault["detail"] for fault in problem["errors"])])
