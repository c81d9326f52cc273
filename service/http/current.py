"""Typed access to the services configured on the current Flask application."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from pricing.quote import usual_list
from service.credentials.keys import Kind
from service.http.caller import caller
from service.http.unproxied import current_application, request_state
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
    """The engine with the tables in force. Engine and date stay the same throughout a request, even across midnight."""
    facts = request_state()
    found = facts.get("engine")
    if found is None:
        current, day = catalogues().of_today()
        found = facts["engine"] = replace(current, today=lambda: day)
    return cast("Engine", found)


def price_lists() -> tuple[str, ...]:
    """The price lists that the caller may name: from a browser only the standard one, since the others' discounts are confidential."""
    known, who = engine().known_price_lists(), caller()
    return known if who is None or who.kind is not Kind.PUBLISHABLE or not known else (usual_list(known),)


def computing() -> Pool:
    """The pool that runs the computations of requests."""
    return cast("Pool", current_application().extensions["computing"])


def catalogues() -> Catalogues:
    """This process's engines."""
    return cast("Catalogues", current_application().extensions["catalogues"])


def settings() -> Settings:
    """The deployment's settings."""
    return cast("Settings", current_application().extensions["settings"])


def batches() -> Batches:
    """The store of batches."""
    return Batches(store())


def messages() -> Messages:
    """The webhook messages, for reading only: the batch workers deliver them."""
    return Messages(store(), 0)


def bell() -> Bell:
    """The bell that wakes the batch workers."""
    return cast("Bell", current_application().extensions["bell"])


def followers() -> Followers:
    """The clients that follow batches in this process."""
    return cast("Followers", current_application().extensions["followers"])


def store() -> Quotes:
    """The stored quotes."""
    return cast("Quotes", current_application().extensions["quotes"])


def staff() -> Staff:
    """The store of the shop's staff, their sign-in links and sessions."""
    return cast("Staff", current_application().extensions["staff"])


def shelves() -> Shelves:
    """The store of the wire on the shelf."""
    return cast("Shelves", current_application().extensions["shelves"])


def stock() -> tuple[StockRow, ...]:
    """The current stock on the shelf."""
    return shelves().now(engine().catalogue.stock).rows


def plans() -> Plans:
    """The stored cutting plans."""
    return Plans(store())


def idempotency_store() -> IdempotencyStore:
    """The stored responses that are replayed for repeated requests."""
    return cast("IdempotencyStore", current_application().extensions["idempotency_store"])


def lifecycles() -> Lifecycles:
    """The lifecycle of stored quotes, using the date of the tables in force."""
    return Lifecycles(store(), engine().today)


def archives() -> BoundedSemaphore:
    """Limits how many archives of PDFs this process sends at the same time."""
    return cast("BoundedSemaphore", current_application().extensions["archives"])
