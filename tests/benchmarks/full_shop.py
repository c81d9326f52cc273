"""A shop of many quotes, for benchmarks: a few quotes go through their whole life by the API, and each of its stages is then stored many times.

Every quote has a number, days, customer, boat, amount and currency of its own where quotes are found and counted; its document is the model
quote's, which has no id or number in it. Plans, movements and records of finished pieces name the quotes they belong to. All of it is invented.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any, NamedTuple

from flask.testing import FlaskClient
from sqlalchemy import Connection, select, text

from pricing.catalogue import DEMO_FOLDER
from pricing.rows import StockRow
from service.app import create_app
from service.credentials.people import Role
from service.demo import demo_names, demo_request
from service.encoding.gzip import pack, unpack
from service.engine.catalogues import files_of
from service.engine.engine import open_engine
from service.lifecycle.events import EventType
from service.settings import Settings
from service.storage import Editions, Quotes, Shelves, Staff, migrate
from service.storage.endpoints import Endpoints
from service.storage.entries import NUMBER, Entry, place_of, terms_of
from service.storage.migrations.versions.v0022_figures import COUNTED
from service.storage.search_words import words_of
from service.storage.tables import (
    as_built,
    cut_quotes,
    cutting_plans,
    events,
    movements,
    quote_counts,
    quote_entries,
    quote_terms,
    quotes,
    taken_plans,
)
from tests.batches.fleet import NDJSON, boat, ndjson, worked
from tests.benchmarks.finding import chunks, common_first, copied, insert_into, words
from tests.service.steps import accepted, settled

YEARS, LATELY, KEY = 5, 45, "a-key-for-benchmarks"
FLEET, FLEETS, SPOOLS, MESSAGES, PEOPLE = 500, 200, 300, 20_000, 8
Json = dict[str, Any]
Row = dict[str, Any]
# shares in a hundred, of quotes of the last weeks and of older ones
NEW = {
    "issued": 34,
    "asked": 16,
    "questioned": 2,
    "accepted": 10,
    "in_work": 6,
    "part_cut": 2,
    "failed": 1,
    "built": 7,
    "handed_over": 8,
    "declined": 8,
    "withdrawn": 2,
    "cancelled": 4,
}
OLD = {"issued": 30, "asked": 10, "handed_over": 40, "declined": 12, "withdrawn": 3, "cancelled": 5}
REVISED = 8  # in a hundred numbers: the issue before is superseded


class Model(NamedTuple):
    """A quote at a step of its way, as its rows have it; `counted` are the terms by which it is counted."""

    quote: Row
    entry: Entry
    counted: tuple[str, ...]
    events: list[Row]
    built: list[Row]
    plan: Row | None
    movement: Row | None
    taken: list[Row]
    cut: list[Row]


def filled(store: Quotes, count: int, today: date) -> None:
    """Fill an empty database with that many quotes and what hangs on them."""
    migrate(store.engine())
    settings = Settings(today=today, demo_key=KEY, demo_beside_keys=True, desk=True)
    engine = open_engine(settings)
    Editions(store).put_in_force(engine.key, files_of(DEMO_FOLDER), today)
    app = create_app(settings, engine, store)
    client = app.test_client()
    client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {KEY}"
    models = [_models(client, store, size) for size in ((0, 12), (1, 5), (0, 3), (2, 2))]
    made = client.post("/v1/batches", data=ndjson(*(boat(f"HULL-{each:03d}", 2) for each in range(FLEET))), content_type=NDJSON)
    assert made.status_code == 202, made.json
    worked(app, store)
    rows = _rows(models, count, today)
    put = _put_sqlite if store.engine().dialect.name == "sqlite" else _put_postgresql
    put(store, rows)
    put(store, _others(store, today))
    with store.writing() as connection:
        connection.execute(quote_counts.delete())
        connection.execute(text(COUNTED))
    _people(store)
    _analysed(store)


def _models(client: FlaskClient, store: Quotes, size: tuple[int, int]) -> dict[str, Model]:
    """Quotes of one demo boat, with so many of its assemblies, at every step."""
    asked = json.loads(demo_request(demo_names()[size[0]]))
    asked["assemblies"] = asked["assemblies"][: size[1]]
    held = {
        each["tag"]
        for each in _done(client.post("/v1/quotes/preview", json=asked))["assemblies"]
        if each["target_length"] is None or each["readiness"] == "hold"
    }
    asked["assemblies"] = [each for each in asked["assemblies"] if each["tag"] not in held]
    loose = json.loads(json.dumps(asked))
    for each in loose["assemblies"]:
        each["measurement"]["support"] = "aboard"  # without its tension, which is asked about
    found = {}

    def seen(name: str, quote: Json, plan: str = "") -> None:
        found[name] = _model(store, quote["id"], plan)

    quote = _done(client.post("/v1/quotes", json=asked))
    settled(client, quote)
    seen("issued", quote)
    seen("asked", doubted := _done(client.post("/v1/quotes", json=loose)))
    _done(client.post(f"/v1/quotes/{doubted['id']}/questions", json={"words": "When can you come?"}))
    seen("questioned", doubted)
    accepted(client, quote)
    seen("accepted", quote)
    plan = _done(client.post("/v1/cutting-plans", json={"quotes": [quote["id"]]}))
    _done(client.post(f"/v1/cutting-plans/{plan['id']}/take", json={"by": "Benno Benchley"}))
    seen("in_work", quote, plan["id"])
    for name, off in (("failed", 200), ("built", 0)):
        _done(client.post(f"/v1/quotes/{quote['id']}/as-built", json={"assemblies": list(_pieces(quote, off)), "by": "Benno Benchley"}))
        seen(name, quote, plan["id"])
    _done(client.post(f"/v1/quotes/{quote['id']}/handover", json={"by": "Benno Benchley", "to": "Asta Lind"}))
    seen("handed_over", quote, plan["id"])
    for name in ("decline", "withdrawal"):
        other = _done(client.post("/v1/quotes", json=asked))
        _step(client, other, name)
        seen({"decline": "declined", "withdrawal": "withdrawn"}[name], other)
    other = accepted(client, _done(client.post("/v1/quotes", json=asked)))
    _step(client, other, "cancellation")
    seen("cancelled", other)
    other = _done(client.post("/v1/quotes", json=asked))
    _done(client.post(f"/v1/quotes/{other['id']}/revisions", json=asked))
    seen("superseded", other)
    part = json.loads(json.dumps(asked))
    part["assemblies"][0]["quantity"] = 2
    seen("part_cut", accepted(client, _done(client.post("/v1/quotes", json=part))))
    return found


def _step(client: FlaskClient, quote: Json, name: str) -> None:
    at = f"/v1/quotes/{quote['id']}"
    _done(client.post(f"{at}/{name}", json={"reason": "Another offer."}, headers={"If-Match": client.get(at).headers["ETag"]}))


def _done(answer: Any) -> Any:
    assert answer.status_code < 300, answer.json
    return answer.json


def _pieces(quote: Json, off: int) -> Iterator[Json]:
    for each in quote["assemblies"]:
        for piece in range(1, each["quantity"] + 1):
            length = Decimal(each["target_length"]["mm"]) + off
            yield {"tag": each["tag"], "piece": piece, "finished_length": f"{length} mm"}


def _model(store: Quotes, quote_id: str, plan_id: str) -> Model:
    with store.reading() as connection:
        (quote,) = _all(connection, quotes, quotes.c.id == quote_id)
        (entry,) = _all(connection, quote_entries, quote_entries.c.quote_id == quote_id)
        terms = _all(connection, quote_terms, quote_terms.c.place == entry.pop("place"))
        plan = next(iter(_all(connection, cutting_plans, cutting_plans.c.id == plan_id)), None)
        movement = next(iter(_all(connection, movements, movements.c.plan_id == plan_id)), None)
        return Model(
            quote, Entry(**entry), tuple(each["term"] for each in terms if each["term"].startswith("code:")),
            _all(connection, events, events.c.quote_id == quote_id), _all(connection, as_built, as_built.c.quote_id == quote_id), plan, movement,
            _all(connection, taken_plans, taken_plans.c.plan_id == plan_id), _all(connection, cut_quotes, cut_quotes.c.plan_id == plan_id),
        )  # fmt: skip


def _all(connection: Connection, table: Any, condition: Any) -> list[Row]:
    return [dict(row._mapping) for row in connection.execute(select(table).where(condition))]


def _rows(models: list[dict[str, Model]], count: int, today: date) -> Iterator[tuple[str, Row]]:
    """The rows of all quotes, with the names of their tables."""
    chance, numbers, made = random.Random(5), dict[int, int](), 0
    names, families, boats = words(chance, 300), words(chance, 20_000), words(chance, 5000)
    begin = today - timedelta(days=365 * YEARS)
    while made < count:
        day = begin + timedelta(days=365 * YEARS * (made + 1) // count)
        numbers[day.year] = numbers.get(day.year, 100_000) + 1  # beyond those of the models
        who = common_first(chance, names), common_first(chance, families), common_first(chance, boats)
        number, shares = f"Q-{day.year}-{numbers[day.year]:06d}", NEW if (today - day).days < LATELY else OLD
        steps = ["superseded"] * (chance.random() * 100 < REVISED) + chance.choices([*shares], [*shares.values()])
        of = chance.choice(models)
        for revision, step in enumerate(steps, 1):
            yield from _written(chance, of[step], Clone(made, number, revision, day, who))
            made += 1
    for year, last in numbers.items():
        yield "counters", {"series": f"Q-{year}", "last": last}


class Clone(NamedTuple):
    """What a quote has of its own."""

    place: int
    number: str
    revision: int
    day: date
    who: tuple[str, str, str]

    @property
    def id(self) -> str:
        """A UUID of version 7 of its day."""
        begun = int(datetime.combine(self.day, datetime.min.time(), UTC).timestamp() * 1000)
        moment = f"{begun + 3_600_000 + self.place % 5000 * 10_000:012x}"
        return f"{moment[:8]}-{moment[8:]}-7{self.place % 4096:03x}-8000-{self.place:012x}"

    def own(self, which: int) -> str:
        """The id of something that hangs on it."""
        return f"{self.id[:24]}{which:x}{self.place:011x}"


def _written(chance: random.Random, model: Model, clone: Clone) -> Iterator[tuple[str, Row]]:
    first, family, boat_name = clone.who
    mail, valid = f"{first}.{family}@example.org", (clone.day + timedelta(days=30)).isoformat()
    amount, currency = chance.randint(50_000, 9_000_000), chance.choice(("USD", "USD", "USD", "EUR"))
    letters = [(NUMBER, each) for word in words_of(clone.number) for each in dict.fromkeys((word, word.lstrip("0"))) if each]
    letters += [("c", first), ("c", family), ("b", boat_name), *(("m", each) for each in words_of(mail))]
    moment = f"{clone.day}T09:00:00.000Z"
    yield (
        "quotes",
        {
            **model.quote, "id": clone.id, "number": clone.number, "revision": clone.revision, "created_at": moment, "issued_on": clone.day.isoformat(),
            "valid_until": valid, "currency": currency, "payable": f"{amount / 1000:.2f}",
        },
    )  # fmt: skip
    entry = model.entry._replace(
        quote_id=clone.id, number=clone.number, valid_until=valid, amount=round(amount, -1), customer=f"{first} {family}", boat=boat_name, email=mail, currency=currency,
        key=chance.choice(("desk", "website")), words="".join(f" {letter}:{each}" for letter, each in letters),
    )  # fmt: skip
    place = place_of(clone.day.isoformat(), clone.id)
    yield "quote_entries", {"place": place, **entry._asdict()}
    for term in {*terms_of(entry), *model.counted}:
        yield "quote_terms", {"term": term, "place": place}
    for each in model.events:
        yield "events", {**each, "quote_id": clone.id, "occurred_at": moment}
    for at, each in enumerate(model.built):
        yield "as_built", {**each, "id": clone.own(at), "quote_id": clone.id, "document": _named(model, clone, each["document"])}
    if model.plan is not None and model.movement is not None:
        own = clone.own(0)
        plan = {**model.plan, "id": own, "created_at": moment, "document": _named(model, clone, model.plan["document"], own)}
        yield "cutting_plans", plan
        document = _named(model, clone, model.movement["document"], own)
        yield "movements", {**model.movement, "id": clone.own(0), "plan_id": own, "occurred_at": moment, "document": document}
        for table, rows in (("taken_plans", model.taken), ("cut_quotes", model.cut)):
            for each in rows:
                of = {"quote_id": clone.id} if table == "cut_quotes" else {}
                yield table, {**each, "day": clone.day.isoformat(), "plan_id": own, **of}


def _named(model: Model, clone: Clone, document: bytes, plan: str = "") -> bytes:
    """A document about a quote, about this one instead."""
    said = (
        unpack(bytes(document))
        .replace(model.quote["id"].encode(), clone.id.encode())
        .replace(model.quote["number"].encode(), clone.number.encode())
    )
    return pack(said.replace(model.plan["id"].encode(), plan.encode()) if plan and model.plan else said)


def _others(store: Quotes, today: date) -> Iterator[tuple[str, Row]]:
    """Fleets, messages, and wire on the shelf."""
    chance = random.Random(7)
    with store.reading() as connection:
        (fleet,) = [dict(row._mapping) for row in connection.execute(text("SELECT * FROM batches"))]
    for each in range(FLEETS):
        day, failed = today - timedelta(days=each), int(each % 9 == 0)
        own = f"{int(datetime.combine(day, datetime.min.time(), UTC).timestamp() * 1000):012x}"
        own = f"{own[:8]}-{own[8:]}-7000-8000-{each:012x}"
        yield "batches", {**fleet, "id": own, "created_at": f"{day}T07:00:00.000Z", "total": 100, "summary": None}
        for first in range(0, 100, 25):
            yield (
                "batch_chunks",
                {"batch_id": own, "first": first, "count": 25, "state": "done", "attempts": 1, "succeeded": 25 - failed, "failed": failed},
            )
    endpoint = Endpoints(store).add("https://hooks.shop.example/", [EventType.ISSUED], b"secret-of-the-benchmark", today)
    now = datetime.now(UTC).timestamp()
    for each in range(MESSAGES):
        dead = each % 200 == 0
        yield (
            "webhook_messages",
            {
                "id": f"0199{each:04x}-0000-7000-8000-{each:012x}", "endpoint_id": endpoint, "event": "quote.issued", "created_at": f"{today}T08:00:00.000Z",
                "body": b'{"type":"quote.issued"}' * 20, "state": "dead" if dead else "delivered", "attempts": 10 if dead else 1, "due": now, "answer": "503" if dead else "200",
                "ended": now,
            },
        )  # fmt: skip
    engine = open_engine(Settings(today=today))

    def counted(rows: tuple[StockRow, ...], _: Any) -> tuple[tuple[StockRow, ...], Json]:
        kinds = [each for each in rows if each.kind == "offcut"]
        more = (replace(chance.choice(kinds), id=f"OFF-{each:04d}", length=Decimal(chance.randint(1500, 30_000))) for each in range(SPOOLS))
        return (*rows, *more), {}

    Shelves(store).move("count", None, engine.catalogue.stock, counted)


def _people(store: Quotes) -> None:
    staff = Staff(store)
    for each in range(PEOPLE):
        person = staff.add(f"Person {each}", [*Role][each % 2])
        for _ in range(2):
            staff.sign_in(staff.make_link(person.id))


ORDER = (
    "counters",
    "quotes",
    "quote_entries",
    "quote_terms",
    "events",
    "as_built",
    "cutting_plans",
    "movements",
    "taken_plans",
    "cut_quotes",
    "batches",
    "batch_chunks",
    "webhook_messages",
)


def _by_table(rows: list[tuple[str, Row]]) -> Iterator[tuple[str, list[Row]]]:
    for name in ORDER:
        if found := [row for table, row in rows if table == name]:
            yield name, found


def _put_sqlite(store: Quotes, rows: Iterator[tuple[str, Row]]) -> None:
    raw: Any = store.engine().raw_connection().driver_connection
    for pragma in ("synchronous = OFF", "foreign_keys = OFF", "cache_size = -400000"):
        raw.execute(f"PRAGMA {pragma}")
    for some in chunks(rows, 50_000):
        raw.execute("BEGIN")
        for name, found in _by_table(some):
            if name == "counters":
                raw.executemany("INSERT OR REPLACE INTO counters (series, last) VALUES (?, ?)", [tuple(row.values()) for row in found])
                continue
            insert_into(raw, name, sorted(found, key=lambda row: (row["term"], row["place"])) if name == "quote_terms" else found)
        raw.execute("COMMIT")
    raw.close()
    store.engine().dispose()


def _put_postgresql(store: Quotes, rows: Iterator[tuple[str, Row]]) -> None:
    with store.engine().connect() as connection:
        raw: Any = connection.connection.driver_connection
        with raw.cursor() as cursor:
            cursor.execute("SET session_replication_role = replica")  # no look-up of foreign keys
            for some in chunks(rows, 50_000):
                for name, found in _by_table(some):
                    if name == "counters":
                        statement = (
                            "INSERT INTO counters (series, last) VALUES (%s, %s) ON CONFLICT (series) DO UPDATE SET last = excluded.last"
                        )
                        cursor.executemany(statement, [tuple(row.values()) for row in found])
                    else:
                        copied(cursor, name, found)
            cursor.execute("SET session_replication_role = DEFAULT")
        raw.commit()


def _analysed(store: Quotes) -> None:
    """As a PostgreSQL server does by itself after a while; an SQLite file has no statistics in service either."""
    if store.engine().dialect.name == "postgresql":
        with store.engine().connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("VACUUM ANALYZE"))
