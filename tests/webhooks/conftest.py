"""The fixtures of the service's tests."""

from tests.service.conftest import app, client, command, demo, empty_file, engine, postgres, quotes, store

__all__ = ["app", "client", "command", "demo", "empty_file", "engine", "postgres", "quotes", "store"]
