"""Typed access to the services configured on the current Flask application."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from pricing.quote import usual_list
from service.credentials.keys import Kind
from service.http.behind import the_application, the_facts
from service.http.caller import caller
from service.settings import Settings
from service.storage import Batches, IdempotencyStore, Lifecycles, Messages, Plans, Quotes, Shelves, Staff

if TYPE_CHECKING:
    from threading import BoundedSemaphore

    from pricing.rows import StockRow
    from service.batches.progress import Followers
    from service.batches.wakeup import Bell
    from service.computing.pool import Pool
    from service.engine.catalogues import Catalogues
    from service.engine.engine import Engine


def engine() -> Engine:
    """The engine with the tables in force, the same throughout a request, and with one day: a request at midnight has tables of its day."""
    facts = the_facts()
    found = facts.get("engine")
    if found is None:
        current, day = catalogues().of_today()
        found = facts["engine"] = replace(current, today=lambda: day)
    return cast("Engine", found)


def price_lists() -> tuple[str, ...]:
    """The price lists the caller may name: from a browser only the usual one, whose discounts are no secret."""
    known, who = engine().known_price_lists(), caller()
    return known if who is None or who.kind is not Kind.PUBLISHABLE or not known else (usual_list(known),)


def computing() -> Pool:
    """Where requests are computed."""
    return cast("Pool", the_application().extensions["computing"])


def catalogues() -> Catalogues:
    """This process's engines."""
    return cast("Catalogues", the_application().extensions["catalogues"])


def settings() -> Settings:
    """The deployment's settings."""
    return cast("Settings", the_application().extensions["settings"])


def batches() -> Batches:
    """The store of batches."""
    return Batches(store())


def messages() -> Messages:
    """The messages to webhooks, to be looked at: what delivers them has its own."""
    return Messages(store(), 0)


def bell() -> Bell:
    """The bell that wakes the batch workers."""
    return cast("Bell", the_application().extensions["bell"])


def followers() -> Followers:
    """The clients that follow batches in this process."""
    return cast("Followers", the_application().extensions["followers"])


def store() -> Quotes:
    """The stored quotes."""
    return cast("Quotes", the_application().extensions["quotes"])


def staff() -> Staff:
    """The shop's people."""
    return cast("Staff", the_application().extensions["staff"])


def shelves() -> Shelves:
    """The store of the wire on the shelf."""
    return cast("Shelves", the_application().extensions["shelves"])


def stock() -> tuple[StockRow, ...]:
    """The current stock on the shelf."""
    return shelves().now(engine().catalogue.stock).rows


def plans() -> Plans:
    """The stored cutting plans."""
    return Plans(store())


def idempotency_store() -> IdempotencyStore:
    """The stored responses that are replayed for repeated requests."""
    return cast("IdempotencyStore", the_application().extensions["idempotency_store"])


def lifecycles() -> Lifecycles:
    """The lifecycle of stored quotes, using the date of the tables in force."""
    return Lifecycles(store(), engine().today)


def archives() -> BoundedSemaphore:
    """The places for archives of PDFs that are sent at once by this process."""
    return cast("BoundedSemaphore", the_application().extensions["archives"])
