"""The fixtures of the service's tests, and the desk over the demo shop's tables."""

from __future__ import annotations

import pytest
from flask import Flask

from service.engine.engine import Engine
from service.storage import Quotes
from tests.service.conftest import app, client, command, demo, empty_file, engine, made_app, postgres, quotes, store

__all__ = ["app", "client", "command", "demo", "empty_file", "engine", "postgres", "quotes", "store"]


@pytest.fixture
def desk(engine: Engine, quotes: Quotes) -> Flask:
    """The application with its desk; a program has the demo key."""
    return made_app(engine, quotes, desk=True)
