"""A backup under load, restored into either kind of database, and compared row by row; quotes listed, exported and quoted again."""

from __future__ import annotations

import gzip
import json
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from pricing.errors import NoPrice
from service.credentials.keys import Key, Kind, Scope
from service.engine.catalogues import files_of
from service.engine.engine import Engine
from service.storage import Editions, Keys, Quotes, migrate
from service.storage.backup import BadBackup, back_up, restore
from service.storage.schema_version import HEAD
from service.storage.stored_quotes import kept_quotes
from service.storage.tables import metadata
from tests.service.conftest import Command, made_app
from tests.service.shops import dearer, shop
from tests.service.test_migrations import NOTHING_YET, as_issued, bare  # noqa: F401  # a fixture
from tests.service.test_storage import QUOTE

WHO = {"customer": {"name": "Asta Lindqvist"}}
WHEN = "2026-11-25T00:00:00.000Z"
UNSERVED: dict[str, dict[str, Any]] = {  # rows that no request makes
    "webhook_endpoints": {"id": "0" * 12, "url": "https://shop.example/hook", "event_types": "quote.issued", "secret": b"s", "created_at": WHEN},
    "webhook_messages": {
        "id": "01a21202-0dfc-7812-9843-0e6a6544d0d4", "endpoint_id": "0" * 12, "event": "quote.issued", "created_at": WHEN, "body": b"{}",
        "state": "waiting", "attempts": 0, "due": 0.0,
    },
    "chores": {"name": "expired", "reached": "2026-11-25"},
    "staff": {"id": "1" * 12, "name": "Benno Benchley", "role": "bench", "created_at": WHEN},
    "sign_in_links": {"digest": "2" * 64, "person": "1" * 12, "until": 1e10},
    "desk_sessions": {"digest": "3" * 64, "id": "4" * 12, "person": "1" * 12, "created_at": 1.0, "seen_at": 1.0},
}  # fmt: skip


def rows(store: Quotes) -> dict[str, list[tuple[Any, ...]]]:
    with store.engine().connect() as connection:
        return {
            table.name: sorted(
                tuple(bytes(cell) if isinstance(cell, memoryview) else cell for cell in row) for row in connection.execute(select(table))
            )
            for table in metadata.sorted_tables
        }


@pytest.fixture
def busy(quotes: Quotes, engine: Engine, demo: dict[str, Any], tmp_path: Path) -> Quotes:
    """A database with something in every table."""
    Editions(quotes).put_in_force(engine.key, files_of(shop(tmp_path / "shop")))
    client = made_app(engine, quotes).test_client()
    demo["assemblies"] = demo["assemblies"][:1]
    made = [client.post("/v1/quotes", json=demo) for _ in range(3)]
    client.post(f"{made[0].headers['Location']}/acceptance", json=WHO, headers={"If-Match": made[0].headers["ETag"]})
    client.post(f"{made[1].headers['Location']}/revisions", json=demo)
    finished = [{"tag": demo["assemblies"][0]["tag"], "finished_length": "9 m"}]
    client.post(f"{made[0].headers['Location']}/as-built", json={"assemblies": finished}, headers={"Idempotency-Key": "once"})
    client.post(f"{made[0].headers['Location']}/links", json={})
    Keys(quotes).add(
        Key("0" * 12, Kind.SECRET, "counter", "0" * 12, "0" * 64, frozenset({Scope.READ}), frozenset(), "2026-11-25T00:00:00.000Z")
    )
    plan = client.get(f"{made[2].headers['Location']}/cutting-plan").json
    refused = client.post(f"/v1/cutting-plans/{plan['id']}/take", json={})
    assert refused.json["errors"][0]["code"] == "not_accepted"
    typed = {"wire": {"sku": plan["wires"][0]["wire"]["sku"]}, "pieces": [{"length": "1 m"}]}
    client.post(f"/v1/cutting-plans/{client.post('/v1/cutting-plans', json=typed).json['id']}/take", json={})
    cut = {"day": "2026-11-25", "quote_id": made[0].json["id"], "plan_id": plan["id"], "priced": 5}  # as if it had been taken
    client.post("/v1/batches", json=[{**demo, "custom_id": "HULL-01"}])
    with quotes.writing() as connection:
        for table, row in UNSERVED.items():
            connection.execute(metadata.tables[table].insert(), [row])
        connection.execute(metadata.tables["cut_quotes"].insert(), [cut])
    assert all(rows(quotes).values())
    return quotes


def test_a_backup_is_restored_row_for_row_into_either_kind_of_database(busy: Quotes, bare: Quotes, tmp_path: Path) -> None:  # noqa: F811
    counted = back_up(busy, tmp_path / "all.backup")
    assert counted.quotes == 4
    assert restore(bare, tmp_path / "all.backup") == counted
    signed_out: dict[str, list[tuple[Any, ...]]] = {"sign_in_links": [], "desk_sessions": []}
    assert rows(bare) == {**rows(busy), **signed_out}
    assert bare.issue(QUOTE, b"{}")[0].number == "Q-2026-000004"


@pytest.mark.long
def test_a_backup_taken_under_load_is_one_moment_of_the_database(store: Quotes, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        while not stop.is_set():
            store.issue(QUOTE, b"{}")

    writers = [threading.Thread(target=write) for _ in range(3)]
    for writer in writers:
        writer.start()
    try:
        counts = [back_up(store, tmp_path / f"{number}.backup").quotes for number in range(4)]
    finally:
        stop.set()
        for writer in writers:
            writer.join()
    for number, count in enumerate(counts):
        with restored(tmp_path, number) as copy:
            numbers = sorted(each.number for each in kept_quotes(copy))
            assert numbers == [f"Q-2026-{each:06d}" for each in range(1, count + 1)]  # the counter and the quotes of one moment
            assert copy.issue(QUOTE, b"{}")[0].number == f"Q-2026-{count + 1:06d}"
    assert counts[-1] > counts[0]


class restored:  # noqa: N801  # read as a verb
    """A backup in a file of its own, for as long as it is looked at."""

    def __init__(self, folder: Path, number: int) -> None:
        self.store = Quotes(f"sqlite:///{folder}/restored-{number}.sqlite3")
        restore(self.store, folder / f"{number}.backup")

    def __enter__(self) -> Quotes:
        return self.store

    def __exit__(self, *_: object) -> None:
        self.store.close()


def damaged(folder: Path) -> Iterator[Path]:
    whole = gzip.decompress((folder / "all.backup").read_bytes())
    lines = whole.splitlines(keepends=True)
    head = json.loads(lines[0])
    for name, content in {
        "cut": (folder / "all.backup").read_bytes()[:-200],
        "row-lost": gzip.compress(b"".join([*lines[:3], *lines[4:]])),
        "byte-changed": gzip.compress(whole.replace(b"accepted", b"declined", 1)),
        "later": gzip.compress(b"".join([json.dumps({**head, "schema": "9999"}).encode() + b"\n", *lines[1:]])),
        "other": gzip.compress(b'{"a": 1}\n'),
        "plain": b"no gzip",
        "empty": b"",
    }.items():
        (folder / name).write_bytes(content)
        yield folder / name


def test_a_damaged_backup_is_refused_before_anything_is_written(busy: Quotes, tmp_path: Path) -> None:
    back_up(busy, tmp_path / "all.backup")
    target = Quotes(f"sqlite:///{tmp_path}/target.sqlite3")
    for file in damaged(tmp_path):
        with pytest.raises(BadBackup):
            restore(target, file)
    with target.engine().connect() as connection:
        assert connection.dialect.get_table_names(connection) == []
    target.close()


def test_a_database_with_quotes_is_never_restored_over_and_no_file_is_overwritten(
    busy: Quotes, command: Command, tmp_path: Path, capsys: Any
) -> None:
    before = rows(busy)
    file = str(tmp_path / "all.backup")
    assert command("backup", file) == 0
    assert "4 quotes" in capsys.readouterr().out
    content = (tmp_path / "all.backup").read_bytes()
    assert command("backup", file) == 2
    assert command("restore", file, "--yes") == 2
    assert "holds 4 quotes" in capsys.readouterr().err
    assert command("restore", str(tmp_path / "none"), "--yes") == 2
    assert (rows(busy), (tmp_path / "all.backup").read_bytes()) == (before, content)
    assert sorted(path.name for path in tmp_path.glob("*.part")) == []


def as_at_first(line: bytes) -> bytes:
    """A row with the columns of the first schema, one of which has another name now."""
    ((table, row),) = json.loads(line).items()
    kept = {{"created_at": "created"}.get(name, name): value for name, value in row.items() if name not in ("standing", *NOTHING_YET)}
    return json.dumps({table: kept}).encode() + b"\n"


def test_a_backup_of_an_earlier_schema_is_restored_and_migrated(tmp_path: Path, busy: Quotes) -> None:
    back_up(busy, tmp_path / "all.backup")
    lines = gzip.decompress((tmp_path / "all.backup").read_bytes()).splitlines(keepends=True)
    import hashlib

    kept = [as_at_first(line) for line in lines[1:-1] if line.startswith((b'{"quotes"', b'{"counters"'))]
    head = json.dumps({**json.loads(lines[0]), "schema": "0001"}).encode() + b"\n"
    foot = json.dumps({"rows": len(kept), "sha256": hashlib.sha256(b"".join([head, *kept])).hexdigest()}).encode()
    (tmp_path / "old.backup").write_bytes(gzip.compress(b"".join([head, *kept, foot])))
    target = Quotes(f"sqlite:///{tmp_path}/target.sqlite3")
    assert restore(target, tmp_path / "old.backup").quotes == 4
    target.ready()
    places = [column.name for column in metadata.tables["quotes"].columns]
    migrated = [dict(zip(places, row, strict=True)) for row in rows(busy)["quotes"]]
    assert [dict(zip(places, row, strict=True)) for row in rows(target)["quotes"]] == [
        {**row, **NOTHING_YET, "standing": as_issued(row)} for row in migrated
    ]
    target.close()
    current = Quotes(f"sqlite:///{tmp_path}/current.sqlite3")
    migrate(current.engine())
    with pytest.raises(BadBackup, match=HEAD):
        restore(current, tmp_path / "old.backup")
    current.close()


def test_a_quote_whose_article_has_no_price_today_is_refused_in_words(
    busy: Quotes, command: Command, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    def unpriced(*_: object) -> None:
        raise NoPrice("BOLT-1", "2026-11-25")

    monkeypatch.setattr("service.cli.quotes.quoted_of", unpriced)
    assert command("quotes", "requote", "Q-2026-000003", "--yes") == 2
    assert "Q-2026-000003: The shop's price table cannot price this today: no price for BOLT-1 on 2026-11-25" in capsys.readouterr().err


def test_quotes_are_listed_exported_and_quoted_again(busy: Quotes, engine: Engine, command: Command, tmp_path: Path, capsys: Any) -> None:
    assert command("quotes", "list") == 0
    assert [line.split()[:4] for line in capsys.readouterr().out.splitlines()][::-1] == [
        ["Q-2026-000001", "rev", "1", "accepted"],
        ["Q-2026-000002", "rev", "1", "superseded"],
        ["Q-2026-000003", "rev", "1", "issued"],
        ["Q-2026-000002", "rev", "2", "issued"],
    ]
    assert command("quotes", "export") == 0
    client = made_app(engine, busy).test_client()
    lines = capsys.readouterr().out.splitlines()
    assert [line.encode() for line in lines] == [client.get(f"/v1/quotes/{json.loads(line)['id']}").data for line in lines]
    assert len(lines) == 4
    assert command("catalogue", "load", "--yes", SERVICE_CATALOGUE=str(dearer(tmp_path / "dear"))) == 0
    said = capsys.readouterr().out
    assert "Open quotes, if they were quoted again on 2026-11-25:\n  Q-2026-00000" in said
    assert "2 of 2 quotes would come out otherwise" in said
    assert command("quotes", "requote", "Q-2026-000003", "--yes") == 0
    assert "Q-2026-000003 revision 2" in (said := capsys.readouterr().out)
    assert "Total to pay: " in said
    for number, words in (("Q-2026-000001", "accepted"), ("Q-2026-000099", "no quote")):
        assert command("quotes", "requote", number) == 2
        assert words in capsys.readouterr().err
