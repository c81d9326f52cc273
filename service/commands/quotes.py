"""`quotes list`, `quotes export` and `quotes requote NUMBER`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import closing

from pricing.difference import difference
from service.bodies import decoded
from service.commands.out import refuse, say
from service.engine import Engine, open_engine
from service.life.statuses import NotAllowed, Status, status_on
from service.problems import Problem
from service.schemas import read_request
from service.settings import Settings
from service.storage import Lives, Quotes, Shelves, Summary
from service.storage.reading import Kept, kept_quotes

_PAGE = 100


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
    """The same for every open quote; one that cannot be quoted again is named and the others go on. 2 where there was such a one."""
    engine = open_engine(settings)
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        found = [
            kept for kept in kept_quotes(store) if status_on(kept.status, kept.document["valid_until"], engine.today()) == Status.ISSUED
        ]
        left = []
        for kept in found:
            try:
                say("\n".join(_requoted(kept, engine, store)))
            except (NotAllowed, Problem) as error:
                left.append(_why(kept.number, error))
    said = f"{len(found) - len(left)} of {len(found)} open quotes quoted again."
    return refuse(*left, said) if left else say(said)


def _requoted(last: Kept, engine: Engine, store: Quotes) -> list[str]:
    """What changed, in words. Raises NotAllowed, Problem."""
    asked = read_request(decoded(last.request), engine.known_price_lists())
    again = engine.quote_and_plan(asked, Shelves(store).now(engine.catalogue.stock).rows)
    changed = difference(last.document, again.document)
    whole = {"supersedes": last.id, "difference": changed, **again.document}
    made = Lives(store, engine.today).revise(last.id, whole, last.request, again.bench, lambda _: None)
    return [f"{made.number} revision {made.revision}: {made.id}", *(f"  {each}" for each in changed["words"])]


def _why(number: str, error: Exception) -> str:
    return f"The request of {number} can no longer be read: {error.detail}" if isinstance(error, Problem) else f"{number}: {error}"
