"""A service over the real engine on a fixed day, and a client that holds every reply to the contract."""

from __future__ import annotations

import json
import logging
import os
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from shutil import copy
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import create_engine, text
from sqlalchemy.exc import OperationalError
from werkzeug.test import TestResponse

from service.__main__ import main
from service.app import create_app
from service.computing.budget import Lane
from service.computing.hatch import Hatch
from service.credentials.keys import Kind
from service.demo import demo_names, demo_request
from service.engine.engine import Engine, open_engine
from service.observability.metrics import FOLDER
from service.settings import Settings
from service.storage import Quotes, migrate
from service.storage.tables import metadata
from tests.kept_sheets import keep_read_sheets
from tests.service.contract import complaints
from tests.service.holders import kept_key
from tests.service.kept_routes import keep_compiled_routes

DAY = date(2026, 11, 25)
KEY = "a-key-for-tests"
Command = Callable[..., int]
POSTGRES = os.environ.get("TEST_POSTGRES_URL", "postgresql+psycopg://postgres@127.0.0.1:5432/postgres")

keep_compiled_routes()
keep_read_sheets()


class ContractClient(FlaskClient):
    """A test client with a key of every scope, that fails where a reply breaks the contract."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {KEY}"

    def open(self, *args: Any, **options: Any) -> TestResponse:
        response = super().open(*args, **options)
        request = response.request
        found = complaints(request.method, request.path, response)
        assert not found, f"{request.method} {request.path} answered {response.status}: {found}"
        return response


@pytest.fixture(autouse=True)
def own_log_and_measures() -> Iterator[None]:
    """What a start in this process sets for the whole of it is put back: the log's handler, the folder of measures."""
    logger, folder = logging.getLogger("service"), os.environ.get(FOLDER)
    before = list(logger.handlers), logger.propagate, logger.level
    yield
    logger.handlers, logger.propagate = before[0], before[1]
    logger.setLevel(before[2])
    if folder is None:
        os.environ.pop(FOLDER, None)


@pytest.fixture(scope="session")
def engine() -> Engine:
    """The real engine over the demo tables."""
    return open_engine(Settings(today=DAY))


_EMPTY: list[Path] = []


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An SQLite file with this release's schema, to be copied: quicker than to migrate each time, or for each file that imports this."""
    if _EMPTY:
        return _EMPTY[0]
    path = tmp_path_factory.mktemp("empty") / "quotes.sqlite3"
    store = Quotes(f"sqlite:///{path}")
    migrate(store.engine())
    with store.engine().connect() as connection:
        connection.execute(text("PRAGMA wal_checkpoint(TRUNCATE)"))
    store.close()
    _EMPTY.append(path)
    return path


@pytest.fixture
def quotes(tmp_path: Path, empty_file: Path) -> Iterator[Quotes]:
    """An empty store in a file, of one connection: a request that takes a second beside its first fails."""
    copy(empty_file, tmp_path / "quotes.sqlite3")
    store = Quotes(f"sqlite:///{tmp_path}/quotes.sqlite3", 1)
    yield store
    store.close()


@pytest.fixture
def app(engine: Engine, quotes: Quotes) -> Flask:
    """The application."""
    return made_app(engine, quotes)


@pytest.fixture(scope="module")
def one_app(engine: Engine, empty_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    """An application for a whole file, whose tests look only at what they themselves send; such a file has `app` be this one."""
    folder = tmp_path_factory.mktemp("one")
    copy(empty_file, folder / "quotes.sqlite3")
    store = Quotes(f"sqlite:///{folder}/quotes.sqlite3", 1)
    yield made_app(engine, store)
    store.close()


@pytest.fixture
def served(engine: Engine, quotes: Quotes) -> Flask:
    """An application that serves the form's pages under a publishable key."""
    return made_app(engine, quotes, form_key=kept_key(quotes, Kind.PUBLISHABLE))


def made_app(engine: Engine, quotes: Quotes, hatches: Mapping[Lane, Hatch] | None = None, **settings: Any) -> Flask:
    """An application whose client holds to the contract. `hatches`: of processes that compute; usually it computes by itself."""
    app = create_app(Settings(**{"today": DAY, "demo_key": KEY, "demo_beside_keys": True, **settings}), engine, quotes, hatches)
    app.test_client_class = ContractClient
    return app


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """Its client."""
    return app.test_client()


@pytest.fixture
def demo() -> dict[str, Any]:
    """A request that can be quoted, to be changed by a test."""
    found: dict[str, Any] = json.loads(demo_request(demo_names()[0]))
    return found


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """URL of a database of its own, made here and dropped afterwards; skips where no server answers."""
    name = f"quotes_test_{uuid4().hex[:12]}"
    admin = create_engine(POSTGRES, isolation_level="AUTOCOMMIT", connect_args={"connect_timeout": 3})
    try:
        with admin.connect() as connection:
            connection.execute(text(f"CREATE DATABASE {name}"))
    except OperationalError:
        admin.dispose()
        if os.environ.get("TEST_SERVICES_REQUIRED"):
            raise
        # on a newcomer's machine without a server; .ci/run sets TEST_SERVICES_REQUIRED, and then it is a failure
        pytest.skip("no PostgreSQL answers at 127.0.0.1:5432; start one or set TEST_POSTGRES_URL")
    yield POSTGRES.rsplit("/", 1)[0] + f"/{name}"
    with admin.connect() as connection:
        connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
    admin.dispose()


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest) -> Iterator[Quotes]:
    """An empty store on each database."""
    if request.param == "sqlite":
        yield request.getfixturevalue("quotes")
        return
    store = Quotes(request.getfixturevalue("postgres"), 1)
    migrate(store.engine())
    with store.engine().begin() as connection:
        for table in reversed(metadata.sorted_tables):
            connection.execute(table.delete())
    yield store
    store.close()


@pytest.fixture
def command(quotes: Quotes, monkeypatch: pytest.MonkeyPatch) -> Command:
    """The command over this test's database."""
    for name in [name for name in os.environ if name.startswith("SERVICE_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("SERVICE_DATABASE_URL", quotes._url)
    monkeypatch.setenv("SERVICE_TODAY", DAY.isoformat())

    def run(*arguments: str, **settings: str) -> int:
        for name, value in settings.items():
            monkeypatch.setenv(name, value)
        return main(arguments)

    return run
