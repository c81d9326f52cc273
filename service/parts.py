"""What the factory wired into the running application, with its type."""

from __future__ import annotations

from typing import cast

from flask import current_app

from service.engine import Engine
from service.storage import Plans, Quotes


def engine() -> Engine:
    """The engine with its tables."""
    return cast("Engine", current_app.extensions["engine"])


def store() -> Quotes:
    """The stored quotes."""
    return cast("Quotes", current_app.extensions["quotes"])


def plans() -> Plans:
    """The stored cutting plans."""
    return Plans(store())
