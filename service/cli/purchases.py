"""`purchases needed` and `purchases margin NUMBER`: what to buy, and the margin of a quote, without a server."""

from __future__ import annotations

import sys
from contextlib import closing
from typing import TYPE_CHECKING

import orjson

from pricing.errors import RequestError
from pricing.purchasing.margin import margin as margin_of
from pricing.quoted_prices import seller_of
from service.cli.in_force import engine_in_force
from service.cli.out import refuse, say
from service.computing import tasks
from service.documents.csv.purchases import purchases
from service.documents.ubl.order import order
from service.engine.purchases import suppliers_in_force
from service.http.problems import Problem
from service.quotes.purchases import needed as needed_of
from service.quotes.purchases import waiting_to_be_cut
from service.settings import Settings
from service.storage import Editions, Quotes, Shelves, Stored

if TYPE_CHECKING:
    from datetime import date

    from service.engine.engine import Document, Engine

FORMATS = ("csv", "json", "ubl")


def needed(settings: Settings, numbers: tuple[str, ...], form: str, supplier: str | None) -> int:
    """Print what to buy for these quotes, or for all that wait to be cut. Raises SQLAlchemyError, WrongSchema, TableError."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        engine = engine_in_force(settings, store)
        unknown = [each for each in numbers if store.current(each) is None]
        if unknown:
            return refuse(f"There is no quote {', '.join(unknown)}.")
        try:
            document = _document(settings, engine, store, numbers)
        except RequestError as error:
            return refuse(*(words for _, _, words in error.faults))
        except Problem as error:
            return refuse(error.detail, *(str(each["detail"]) for each in error.faults))
    if form == "json":
        return say(orjson.dumps(document, option=orjson.OPT_INDENT_2).decode())
    if form == "csv":
        return _write(purchases(document))
    listed = next((each for each in document["suppliers"] if each["supplier"] == supplier), None)
    if listed is None:
        known = ", ".join(each["supplier"] for each in document["suppliers"]) or "nobody"
        return refuse(f"Name with --supplier whose order to print; something is to be bought from {known}.")
    return _write(order(listed, document["day"], document["currency"], seller_of(engine.planner.prices.at(engine.today()).terms)))


def _document(settings: Settings, engine: Engine, store: Quotes, numbers: tuple[str, ...]) -> Document:
    stock, today = Shelves(store).now(engine.catalogue.stock).rows, engine.today()
    held = _named(store, numbers, today) if numbers else waiting_to_be_cut(store, today)
    suppliers = suppliers_in_force(engine, Editions(store))
    return needed_of(held, engine, suppliers, stock, settings.holidays, lambda quotes: tasks.wire_needs(engine, quotes, stock))


def _named(store: Quotes, numbers: tuple[str, ...], today: date) -> list[Stored]:
    issues = [store.get(quote_id) for each in dict.fromkeys(numbers) if (quote_id := store.current(each)) is not None]
    return [each.on(today) for each in issues if each is not None]


def margin(settings: Settings, number: str) -> int:
    """Print the margin of a quote's latest issue, as JSON. Raises SQLAlchemyError, WrongSchema, TableError."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        engine = engine_in_force(settings, store)
        quote_id = store.current(number)
        stored = None if quote_id is None else store.get(quote_id)
        if stored is None:
            return refuse(f"There is no quote {number}.")
        document = margin_of(stored.quote(), suppliers_in_force(engine, Editions(store)))
    return say(orjson.dumps(document, option=orjson.OPT_INDENT_2).decode())


def _write(made: bytes) -> int:
    sys.stdout.buffer.write(made)
    sys.stdout.buffer.flush()
    return 0
