"""The desk of a small loft, whose tables are compiled in no time."""

from __future__ import annotations

import pytest
from flask import Flask

from service.engine.catalogues import files_of
from service.engine.engine import Engine, engine_of
from service.settings import Settings
from service.storage import Editions, Quotes
from tests.service.conftest import DAY, made_app
from tests.service.shops import small_shop


@pytest.fixture(scope="module")
def loft(tmp_path_factory: pytest.TempPathFactory) -> Engine:
    """A small loft, whose tables are compiled in no time."""
    return engine_of(small_shop(tmp_path_factory.mktemp("small") / "loft").folder, Settings(today=DAY))


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Its files."""
    return files_of(small_shop(tmp_path_factory.mktemp("files") / "loft").folder)


@pytest.fixture
def desk(loft: Engine, quotes: Quotes, small: dict[str, str]) -> Flask:
    """The desk of the loft, whose tables were put in force by a start."""
    Editions(quotes).put_in_force(loft.key, small, DAY)
    return made_app(loft, quotes, desk=True)
