"""Migrations from the first release's schema to this one, on SQLite and on PostgreSQL, and what is refused."""

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

from service.__main__ import main
from service.cli.serve import prepare
from service.engine.engine import Engine
from service.settings import Settings
from service.storage import Chunks, Editions, Messages, Plans, Quotes, State, WrongSchema, migrate
from service.storage.quote_filters import QuoteFilters, Waiting
from service.storage.quote_search import QuoteSearch
from service.storage.schema_version import HEAD, MIGRATIONS, known_revisions
from service.storage.tables import metadata
from tests.service.conftest import DAY, made_app
from tests.service.first_release import first_rows, lay_down
from tests.service.test_storage import QUOTE


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
    as_bytes = ("document", "request", "standing")
    assert [{name: bytes(value) if name in as_bytes else value for name, value in row.items()} for row in rows] == [
        {**{{"created": "created_at"}.get(name, name): value for name, value in row.items()}, **NOTHING_YET, "standing": as_issued(row)}
        for row in first_rows()
    ]
    client = made_app(engine, bare).test_client()
    for row in first_rows():
        answer = client.get(f"/v1/quotes/{row['id']}")
        assert answer.json["number"] == row["number"]
        assert answer.data.endswith(gzip.decompress(row["document"])[1:])
        assert checksum_of(answer.json) == row["checksum"]
    assert bare.issue(QUOTE, b"{}")[0].number == "Q-2026-000003"


NOTHING_YET = {"standing_version": 0, "key": None, "link_generation": 0}


def as_issued(row: dict[str, Any]) -> bytes:
    """What stands of a quote of which nothing became yet: its assemblies are as ready as they were issued."""
    assemblies = json.loads(gzip.decompress(row["document"]))["assemblies"]
    readiness = ",".join(f'"{each["tag"]}":"{each["readiness"]}"' for each in assemblies)
    return f'{{"settlements":[],"current_readiness":{{{readiness}}},"pieces_cut":{{}},"accepted":null}}'.encode()


#: What changes while the quote does not, so that its checksum leaves it out.
STANDING = ("settlements", "current_readiness", "pieces_cut", "accepted", "questions")


def checksum_of(quote: dict[str, Any]) -> str:
    said = {name: value for name, value in quote.items() if name not in ("status", "checksum", *STANDING)}
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


def test_the_command_gives_an_empty_database_its_tables_without_a_question(bare: Quotes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SERVICE_DATABASE_URL", bare._url)
    assert main(["migrate"]) == 0
    bare.ready()


def test_the_command_asks_before_it_changes_tables(
    bare: Quotes, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SERVICE_DATABASE_URL", bare._url)
    migrate(bare.engine(), known_revisions()[-2])
    before = columns(bare)
    assert main(["migrate"]) == 2
    assert "make a backup" in capsys.readouterr().err
    assert columns(bare) == before
    assert main(["migrate", "--yes"]) == 0
    bare.ready()
    assert main(["migrate"]) == 0
    assert "was already" in capsys.readouterr().out


def test_what_the_release_before_was_working_on_is_worked_off_by_this_one(bare: Quotes, engine: Engine) -> None:
    """Its leases ended at a moment; a chunk and a message that somebody held then are taken up."""
    migrate(bare.engine(), "0009")
    with bare.engine().begin() as connection:
        for statement in HELD_BEFORE.split(";"):
            connection.execute(text(statement), {"empty": b""} if ":empty" in statement else {})
    migrate(bare.engine())
    steady = [0.0]
    chunks, messages = Chunks(bare, 20, lambda: steady[0]), Messages(bare, 20, steady=lambda: steady[0])
    for moment, many in ((0.0, 0), (19.0, 0), (20.0, 1)):
        steady[0] = moment
        messages.free()
        assert (chunks.claim() is not None, len(messages.claim("0" * 12, 4))) == (bool(many), many)


HELD_BEFORE = """
INSERT INTO batches (id, kind, source, state, created, total, catalogue_version, price_version, touched)
VALUES ('b', 'quotes', 'ndjson', 'running', '2026-11-28', 1, 'c', 'p', 1795824000.0);
INSERT INTO batch_chunks (batch_id, first, count, state, attempts, holder, until, done, failed)
VALUES ('b', 0, 1, 'working', 1, '1234', 1795824020.0, 0, 0);
INSERT INTO webhook_endpoints (id, url, events, secret, created)
VALUES ('000000000000', 'https://shop.example/hook', 'quote.created', :empty, '2026-11-28');
INSERT INTO webhook_messages (id, endpoint_id, event, created, body, state, attempts, due, holder, until)
VALUES ('m', '000000000000', 'quote.created', '2026-11-28', :empty, 'waiting', 1, 0.0, '1234', 1795824020.0)
"""


def test_plans_of_earlier_releases_are_listed_as_before_and_one_that_cannot_be_read_stops_no_migration(bare: Quotes) -> None:
    migrate(bare.engine(), "0010")
    said = {"title": "Ångström", "day": "2026-11-25", "stock_source": "shop", "currency": "USD", "cost": "12.50", "proven": True}
    then = {{"stock_source": "planned_on"}.get(name, name): value for name, value in said.items()}
    documents = {f"p{number:03d}": gzip.compress(json.dumps({"id": "x", **then, "wires": []}).encode()) for number in range(250)}
    with bare.engine().begin() as connection:
        rows = [{"id": each, "document": document} for each, document in {**documents, "a": b"damaged"}.items()]
        connection.execute(text("INSERT INTO cutting_plans (id, created, document) VALUES (:id, '2026-11-25', :document)"), rows)
    migrate(bare.engine())
    found = Plans(bare).page(250)
    assert [each.id for each in found] == sorted(documents, reverse=True)
    assert {(each.quote_id, *(getattr(each, name) for name in said)) for each in found} == {(None, *said.values())}
    with bare.reading() as connection:
        assert connection.execute(text("SELECT id FROM cutting_plans WHERE summary IS NULL")).scalars().all() == ["a"]


def test_what_was_stored_under_former_names_is_read_by_its_present_ones(bare: Quotes, engine: Engine) -> None:
    """A history, a movement and its reversal, a record, a batch with its summary, and messages still to be sent."""
    with bare.engine().begin() as connection:
        lay_down(connection)
    migrate(bare.engine(), "0011")
    quote = first_rows()[0]["id"]
    packed = {name: gzip.compress(json.dumps(said).encode()) for name, said in FORMER.items()}
    with bare.engine().begin() as connection:
        for statement in NAMED_BEFORE.split(";"):
            used = {
                name: value
                for name, value in {**packed, "quote": quote, "plan": PLAN, "batch": BATCH, **BODIES, "damaged": b"no gzip"}.items()
                if f":{name}" in statement
            }
            connection.execute(text(statement), used)
    migrate(bare.engine())
    client = made_app(engine, bare).test_client()
    history = client.get(f"/v1/quotes/{quote}/events").json["events"]
    assert [(each["type"], each["by"]) for each in history[1:]] == [("quote.accepted", "Asta Lindqvist"), ("quote.as_built", None)]
    assert [each["key"] for each in history] == [None] * 3
    accepted = {"by": "Asta Lindqvist", "at": "2026-11-28T10:00:00.000Z", "open": None, "understood": None}
    assert client.get(f"/v1/quotes/{quote}").json["accepted"] == accepted
    assert history[1]["occurred_at"] == "2026-11-28T10:00:00.000Z"
    back, take = client.get("/v1/stock/movements").json["movements"]
    assert (take["type"], take["plan_id"], take["occurred_at"], take["reversed"]) == ("take", PLAN, "2026-11-28T11:00:00.000Z", True)
    assert ([each["id"] for each in take["removed"]], [each["id"] for each in take["added"]]) == (["SPOOL-1"], ["R-000001"])
    assert (take["kept_as"], take["removed"][0]["touch_cost"]) == ([{"remnant_id": "SPOOL-1/rest", "tag": "R-000001"}], "0.50")
    plan = client.get(f"/v1/cutting-plans/{PLAN}").json
    assert (plan["stock_source"], plan["wires"][0]["minimum_remnant"]["mm"]) == ("shop", "1500.0")
    (use,) = plan["wires"][0]["uses"]
    assert {name: use[name] for name in use if name.startswith("remnant")} == {
        "remnant": LONG, "remnant_kept": True, "remnant_id": "SPOOL-1/rest", "remnant_goes_to": "shelf", "remnant_value": "22.96",
    }  # fmt: skip
    (note,) = plan["wires"][0]["notes"]
    assert (note["code"], note["values"]) == ("remnant_not_worth_keeping", {"remnant": {"kind": "length", "mm": "1600.0"}})
    assert client.get(f"/v1/cutting-plans/{PLAN}?format=csv").status_code == 200
    assert (back["type"], back["reversed"]) == ("reversal", False)
    assert client.get(f"/v1/quotes/{quote}/as-built").json["records"][0]["recorded_at"] == "2026-11-28T12:00:00.000Z"
    batch = client.get(f"/v1/batches/{BATCH}").json
    assert (batch["status"], batch["succeeded"], batch["failed"], batch["created_at"]) == ("completed", 1, 1, "2026-11-28T13:00:00.000Z")
    with bare.reading() as connection:
        lines = connection.execute(text("SELECT name, outcome FROM batch_lines ORDER BY place")).all()
        summary = connection.execute(text("SELECT summary FROM batches")).scalar_one()
        endpoint = connection.execute(text("SELECT event_types FROM webhook_endpoints")).scalar_one()
        messages = connection.execute(text("SELECT event, body FROM webhook_messages ORDER BY id")).all()
        assert connection.execute(text("SELECT document FROM as_built WHERE id = 'z'")).scalar_one() == b"no gzip"
    assert [tuple(each) for each in lines] == [("A", "succeeded"), ("B", "failed")]
    fleet = json.loads(gzip.decompress(bytes(summary)))
    assert (fleet["batch_id"], fleet["created_at"], fleet["boats"][0]["custom_id"]) == (BATCH, "2026-11-28T14:00:00.000Z", "A")
    assert fleet["compared"] == {"minimum": {"custom_id": "A", "number": "Q-2026-000001"}, "kinds": 1}
    assert endpoint == "batch.completed quote.issued quote.superseded"
    assert [(event, json.loads(bytes(body))) for event, body in messages] == [
        (
            "batch.completed",
            {"type": "batch.completed", "data": {"id": BATCH, "status": "completed", "total": 2, "succeeded": 1, "failed": 1}},
        ),
        ("quote.issued", {"type": "quote.issued", "data": {"id": quote, "status": "issued"}}),
    ]


BATCH, PLAN = "01a213d5-a9da-7ea0-b54f-6284d0c4ef9e", "01a213d5-a9da-7ea0-b54f-6284d0c4ef9f"
ROW = {
    "wire": "W",
    "kind": "opened",
    "length": {"mm": "31400"},
    "price": None,
    "price_per_metre": "1.36",
    "count": 1,
    "touch": "0.50",
    "source": "s",
}
MOVED = {"version": 1, "by": None, "note": None, "bought": [], "kept_as": [{"rest_id": "SPOOL-1/rest", "tag": "R-000001"}]}
LONG = {"mm": "1600.0", "text": "1600.0 mm"}
TOTALS = {**dict.fromkeys(("stock", "pieces", "allowances", "kept", "customers", "scrap"), LONG), "scrap_percent": "0.00"}
MONEY = {"cost": "17.54", "lower_bound": "17.54", "gap": "0.00", "gap_percent": "0.0000", "proven": True}
FORMER: dict[str, Any] = {
    "take": {
        "id": "01a213d5-a9da-7ea0-b54f-000000000001", "at": "2026-11-28T11:00:00.000Z", "what": "taken", "plan": PLAN, **MOVED,
        "out": [{"id": "SPOOL-1", **ROW}], "came": [{"id": "R-000001", **ROW}],
    },
    "back": {
        "id": "01a213d5-a9da-7ea0-b54f-000000000002", "at": "2026-11-28T11:30:00.000Z", "what": "undone", "plan": PLAN, **MOVED, "version": 2,
        "out": [{"id": "R-000001", **ROW}], "came": [{"id": "SPOOL-1", **ROW}],
    },
    "planned": {
        "id": PLAN, "title": "Kittiwake", "day": "2026-11-28", "display_units": "metric", "planned_on": "shop", "currency": "USD", **MONEY,
        "totals": TOTALS, "cautions": [],
        "wires": [{
            "wire": {"sku": "W", "name": "Wire", "construction": "1x19", "material": "316", "size": "5 mm"}, "bought_for_the_job": False,
            "for_quote": None, "allowance": LONG, "least_rest": {"mm": "1500.0", "text": "1500.0 mm"}, **MONEY, "rung": "best fit",
            "bound_rung": "length", "seconds": None, "totals": TOTALS, "unplanned": [], "charged": None,
            "uses": [{
                "object": "SPOOL-1", "stock": "SPOOL-1", "source": "opened", "length": LONG, "used": LONG, "rest": LONG, "rest_kept": True,
                "rest_id": "SPOOL-1/rest", "rest_goes_to": "shelf", "rest_value": "22.96", "cost": "17.54", "cuts": [],
            }],
            "notes": [{
                "code": "rest_not_worth_keeping", "message": "m", "subject": "SPOOL-1", "values": {"rest": {"kind": "length", "mm": "1600.0"}},
            }],
        }],
    },
    "record": {
        "id": "01a213d5-a9da-7ea0-b54f-000000000003", "recorded": "2026-11-28T12:00:00.000Z", "by": None, "note": None, "verdict": "pass",
        "catalogue": "c", "tables": "kept", "assemblies": [],
    },
    "fleet": {
        "batch": BATCH, "made": "2026-11-28T14:00:00.000Z", "boats": [{"line": "A", "number": "Q-2026-000001"}],
        "compared": {"least": {"line": "A", "number": "Q-2026-000001"}, "kinds": 1},
    },
}  # fmt: skip
BODIES = {
    "issued": json.dumps({"type": "quote.created", "data": {"id": first_rows()[0]["id"], "status": "issued"}}).encode(),
    "ended": json.dumps({"type": "batch.done", "data": {"id": BATCH, "state": "done", "total": 2, "done": 1, "failed": 1}}).encode(),
}
NAMED_BEFORE = """
INSERT INTO events (quote_id, sequence, at, what, who, note) VALUES (:quote, 1, '2026-11-28T10:00:00.000Z', 'accepted', 'Asta Lindqvist', NULL);
INSERT INTO events (quote_id, sequence, at, what, who, note) VALUES (:quote, 2, '2026-11-28T12:00:00.000Z', 'built', NULL, NULL);
INSERT INTO cutting_plans (id, created, document) VALUES (:plan, '2026-11-28', :planned);
INSERT INTO movements (id, at, what, plan_id, undone, document) VALUES ('1', '2026-11-28T11:00:00.000Z', 'taken', :plan, 1, :take);
INSERT INTO movements (id, at, what, plan_id, undone, document) VALUES ('2', '2026-11-28T11:30:00.000Z', 'undone', :plan, 0, :back);
INSERT INTO as_built (id, quote_id, document) VALUES ('r', :quote, :record);
INSERT INTO as_built (id, quote_id, document) VALUES ('z', (SELECT max(id) FROM quotes), :damaged);
INSERT INTO batches (id, kind, source, state, created, total, catalogue_version, price_version, touched, begun, ended, summary)
VALUES (:batch, 'quotes', 'ndjson', 'done', '2026-11-28T13:00:00.000Z', 2, 'c', 'p', 1.0, 1.0, 2.0, :fleet);
INSERT INTO batch_chunks (batch_id, first, count, state, attempts, ended, done, failed) VALUES (:batch, 0, 2, 'done', 1, 2.0, 1, 1);
INSERT INTO batch_lines (batch_id, place, name, number, outcome, quote_id) VALUES (:batch, 0, 'A', 1, 'quoted', :quote);
INSERT INTO batch_lines (batch_id, place, name, number, outcome) VALUES (:batch, 1, 'B', 2, 'failed');
INSERT INTO webhook_endpoints (id, url, events, secret, created)
VALUES ('000000000000', 'https://shop.example/hook', 'batch.done quote.created quote.superseded', :damaged, '2026-11-28');
INSERT INTO webhook_messages (id, endpoint_id, event, created, body, state, attempts, due)
VALUES ('m1', '000000000000', 'batch.done', '2026-11-28', :ended, 'waiting', 0, 0.0);
INSERT INTO webhook_messages (id, endpoint_id, event, created, body, state, attempts, due)
VALUES ('m2', '000000000000', 'quote.created', '2026-11-28', :issued, 'waiting', 0, 0.0)
"""


@pytest.mark.parametrize(
    ("one", "other", "found"),
    [
        ([{"CAP": "fail"}], [{"CAP": "fail"}, {"CAP": "pass"}], [True, False]),
        ([{"CAP": "pass", "STAY": "pass"}, {"STAY": "fail"}], [None], [True, False]),  # None: a record that is damaged
    ],
)
def test_quotes_with_a_piece_that_failed_last_are_found_after_the_migration(
    bare: Quotes, one: list[dict[str, str] | None], other: list[dict[str, str] | None], found: list[bool]
) -> None:
    with bare.engine().begin() as connection:
        lay_down(connection)
    migrate(bare.engine(), "0020")
    ids = [each["id"] for each in first_rows()]
    with bare.engine().begin() as connection:
        for quote, records in zip(ids, (one, other), strict=True):
            for place, verdicts in enumerate(records):
                values = {"id": f"{quote[-8:]}{place}", "quote": quote, "document": packed_record(verdicts)}
                connection.execute(text("INSERT INTO as_built (id, quote_id, document) VALUES (:id, :quote, :document)"), values)
            for rows in ("quotes SET status = 'in_work' WHERE id", "quote_entries SET status = 'in_work' WHERE quote_id"):
                connection.execute(text(f"UPDATE {rows} = :quote"), {"quote": quote})
    migrate(bare.engine())
    page = QuoteSearch(bare, DAY).page(QuoteFilters(waiting=Waiting.FAILED_AS_BUILT), 100)
    assert {each.id for each in page.quotes} == {quote for quote, there in zip(ids, found, strict=True) if there}


def packed_record(verdicts: dict[str, str] | None) -> bytes:
    """A record of what was built, as it is stored: of the first piece of each tag."""
    if verdicts is None:
        return b"damaged"
    built = [{"tag": tag, "piece": 1, "verdict": verdict} for tag, verdict in verdicts.items()]
    return gzip.compress(json.dumps({"id": "x", "assemblies": built}).encode())


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
