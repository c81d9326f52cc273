"""`quotes list`, `quotes export` and `quotes requote NUMBER`."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import closing

from pricing.difference import difference
from service import json
from service.bodies import decoded
from service.catalogues import Catalogues, files_of
from service.commands.bar import Bar
from service.commands.out import refuse, say
from service.engine import Engine, folder_of, open_engine
from service.jobs.bell import Bell
from service.jobs.sources import Source
from service.jobs.storing import stored
from service.jobs.working import Workshop
from service.life.statuses import NotAllowed, Status
from service.problems import Problem
from service.schemas import read_request
from service.settings import Settings
from service.storage import Batches, Editions, Line, Lives, Packed, Progress, Quotes, Shelves, Summary
from service.storage.reading import Kept, kept_quotes

_PAGE = 100
MOST_REQUOTED = 10_000_000


def listed(settings: Settings) -> int:
    """A line for each quote, newest first. Raises SQLAlchemyError, WrongSchema, TableError."""
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
    """Every quote as served, a JSON line each, oldest first. Raises SQLAlchemyError, WrongSchema, TableError."""
    today = open_engine(settings).today()
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        for kept in kept_quotes(store):
            stored = store.get(kept.id)
            if stored is not None:
                sys.stdout.write(stored.on(today).body().decode() + "\n")
    return 0


def requote(settings: Settings, number: str) -> int:
    """Quote a number's last request again at today's prices, as its next revision. Raises SQLAlchemyError, WrongSchema, TableError."""
    engine = open_engine(settings)
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        issues = list(kept_quotes(store, number))
        if not issues:
            return refuse(f"There is no quote {number}.")
        try:
            return say("\n".join(_requoted(max(issues, key=lambda each: each.revision), engine, store)))
        except (NotAllowed, Problem) as error:
            return refuse(_why(number, error))


def requote_open(settings: Settings) -> int:
    """The same for every open quote, as a batch: what breaks in between is taken up again, and running workers help. One that cannot be quoted
    again is named and the others go on. 2 where there was such a one. Raises SQLAlchemyError, WrongSchema, TableError."""
    engine = open_engine(settings)
    with closing(Quotes(settings.database_url, 2)) as store:
        store.ready()
        editions = Editions(store)
        editions.keep(engine.key, files_of(folder_of(settings)))
        opened = (each for each in _all(store) if each.on(engine.today()).status == Status.ISSUED)
        lines = (Line(place, each.number, subject=each.id) for place, each in enumerate(opened, 1))
        try:
            made = stored(store, "requotes", Source("stored", lines), engine.key, MOST_REQUOTED)
        except Problem:
            return say("0 of 0 open quotes quoted again.")
        _work_off(made, settings, Workshop(store, Catalogues(settings, editions, engine), settings.batch_lease))
        return _told(made, store)


def _work_off(made: Progress, settings: Settings, shop: Workshop) -> None:
    batches, bar = Batches(shop.store), Bar(made.total)
    Bell(settings).ring()
    while not (now := batches.progress(made.id) or made).ended:
        bar.show(now.done + now.failed)
        if not shop.work_one():
            shop.chunks.finish_all()
            time.sleep(0.2)  # others are at the last of it
    bar.end()


def _told(made: Progress, store: Quotes) -> int:
    left, count = [], 0
    for each in Batches(store).outcomes(made.id):
        said = json.read(each.said or b"{}")
        if each.quote_id is None:
            left.append("; ".join([f"{each.name}: {said['detail']}", *(fault["detail"] for fault in said["errors"])]))
            continue
        count += 1
        kept = store.get(each.quote_id)
        words = kept.said()["difference"]["words"] if kept else ()
        say("\n".join([f"{said['number']} revision {said['revision']}: {said['id']}", *(f"  {word}" for word in words)]))
    told = f"{count} of {made.total} open quotes quoted again."
    return refuse(*left, told) if left else say(told)


def _requoted(last: Kept, engine: Engine, store: Quotes) -> list[str]:
    """What changed, in words. Raises NotAllowed, Problem."""
    asked = read_request(decoded(last.request), engine.known_price_lists())
    again = engine.quote_and_plan(asked, Shelves(store).now(engine.catalogue.stock).rows)
    changed = difference(last.document, again.document)
    whole = {"supersedes": last.id, "difference": changed, **again.document}
    made = Lives(store, engine.today).revise(last.id, Packed.of(whole, last.request, again.bench), lambda _: None)
    return [f"{made.number} revision {made.revision}: {made.id}", *(f"  {each}" for each in changed["words"])]


def _why(number: str, error: Exception) -> str:
    return f"The request of {number} can no longer be read: {error.detail}" if isinstance(error, Problem) else f"{number}: {error}"
