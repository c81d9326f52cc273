"""The schema's way from the first release to this one, on SQLite and on PostgreSQL, and what is refused."""

from __future__ import annotations

import gzip
import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect, text
from sqlalchemy.exc import OperationalError, ProgrammingError

from service.commands.serve import prepare
from service.engine import Engine
from service.settings import Settings
from service.storage import Editions, Quotes, State, WrongSchema, migrate
from service.storage.migrating import HEAD, MIGRATIONS, known_revisions
from service.storage.tables import metadata
from tests.service.conftest import DAY, made_app
from tests.service.first_release import first_rows, lay_down
from tests.service.test_storage import DOCUMENT


@pytest.fixture(params=["sqlite", "postgresql"])
def bare(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Quotes]:
    """A database without a table, on each kind."""
    if request.param == "sqlite":
        store = Quotes(f"sqlite:///{tmp_path}/bare.sqlite3")
    else:
        store = Quotes(request.getfixturevalue("postgres"))
        emptied(store)
    yield store
    if request.param == "postgresql":
        emptied(store)
    store.close()


def emptied(store: Quotes) -> None:
    with store.engine().begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))


def columns(store: Quotes) -> dict[str, list[tuple[str, str, bool]]]:
    looked = inspect(store.engine())
    return {
        table: [(each["name"], str(each["type"]), each["nullable"]) for each in looked.get_columns(table)]
        for table in sorted(looked.get_table_names())
    }


def test_the_migrations_make_what_this_release_reads_and_writes(bare: Quotes) -> None:
    assert migrate(bare.engine()) is State.EMPTY
    bare.ready()
    with bare.engine().connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_the_known_revisions_are_one_line_that_ends_at_the_head() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    script = ScriptDirectory.from_config(config)
    assert script.get_heads() == [HEAD]
    assert tuple(each.revision for each in reversed(list(script.walk_revisions()))) == known_revisions()


def test_a_database_of_the_first_release_is_migrated_with_its_quotes_as_they_were(bare: Quotes, engine: Engine) -> None:
    with bare.engine().begin() as connection:
        lay_down(connection)
    with pytest.raises(WrongSchema, match=r"earlier release.*service migrate"):
        bare.ready()
    assert migrate(bare.engine()) is State.UNNUMBERED
    bare.ready()
    with bare.engine().connect() as connection:
        rows = [dict(row._mapping) for row in connection.execute(text("SELECT * FROM quotes ORDER BY id"))]
    assert [{**row, "document": bytes(row["document"]), "request": bytes(row["request"])} for row in rows] == first_rows()
    client = made_app(engine, bare).test_client()
    for row in first_rows():
        answer = client.get(f"/v1/quotes/{row['id']}")
        assert answer.json["number"] == row["number"]
        assert answer.data.endswith(gzip.decompress(row["document"])[1:])
        assert checksum_of(answer.json) == row["checksum"]
    assert bare.issue(DOCUMENT, b"{}")[0].number == "Q-2026-000003"


def checksum_of(quote: dict[str, Any]) -> str:
    said = {name: value for name, value in quote.items() if name not in ("status", "checksum")}
    return f"sha256:{hashlib.sha256(json.dumps(said, sort_keys=True, separators=(',', ':'), ensure_ascii=False).encode()).hexdigest()}"


def test_an_unnumbered_and_an_empty_database_end_alike(bare: Quotes) -> None:
    with bare.engine().begin() as connection:
        lay_down(connection)
    migrate(bare.engine())
    grown = columns(bare)
    with bare.engine().begin() as connection:
        for name in [*(table.name for table in reversed(metadata.sorted_tables)), "alembic_version"]:
            connection.execute(text(f"DROP TABLE {name}"))
    migrate(bare.engine())
    assert columns(bare) == grown


def test_a_database_one_migration_behind_is_refused_with_what_to_do_and_then_migrated(bare: Quotes, engine: Engine) -> None:
    migrate(bare.engine(), known_revisions()[-2])
    answer = made_app(engine, bare).test_client().get("/readyz")
    assert answer.status_code == 503
    assert "python -m service migrate" in answer.json["detail"]
    assert migrate(bare.engine()) is State.BEHIND
    assert made_app(engine, bare).test_client().get("/readyz").status_code == 200


def test_a_database_ahead_is_refused_and_never_touched(bare: Quotes, engine: Engine) -> None:
    migrate(bare.engine())
    with bare.engine().begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(WrongSchema, match="later release"):
        migrate(bare.engine())
    answer = made_app(engine, bare).test_client().get("/readyz")
    assert (answer.status_code, "later release" in answer.json["detail"]) == (503, True)


def test_tables_of_the_same_name_that_are_not_ours_are_left_alone(bare: Quotes) -> None:
    with bare.engine().begin() as connection:
        connection.execute(text("CREATE TABLE quotes (author VARCHAR(80), words VARCHAR(200))"))
    before = columns(bare)
    with pytest.raises(WrongSchema, match="not the service's"):
        migrate(bare.engine())
    assert columns(bare) == before


def test_a_migration_that_fails_halfway_leaves_the_database_as_it_was(bare: Quotes) -> None:
    with bare.engine().begin() as connection:
        lay_down(connection)
        connection.execute(text("CREATE TABLE as_built (in_the_way INTEGER)"))  # the last table that the migrations make
    before = columns(bare)
    with pytest.raises((OperationalError, ProgrammingError), match="already exists"):
        migrate(bare.engine())
    assert columns(bare) == before


def test_a_start_migrates_a_file_and_an_empty_database_but_not_a_servers_with_quotes(bare: Quotes, engine: Engine) -> None:
    settings = Settings(database_url=bare._url, today=DAY)
    with bare.engine().begin() as connection:
        lay_down(connection)
    if bare._url.startswith("sqlite"):
        prepare(settings, engine)
        assert [each.number for each in bare.page(10)] == ["Q-2026-000002", "Q-2026-000001"]
        assert Editions(bare).current() == engine.key
    else:
        with pytest.raises(WrongSchema, match="python -m service migrate"):
            prepare(settings, engine)
        emptied(bare)
        prepare(settings, engine)
    bare.ready()
    with bare.engine().begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(WrongSchema, match="later release"):
        prepare(settings, engine)
