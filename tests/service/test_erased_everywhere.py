"""A person's name is entered wherever the API, the form and the commands take text, erased, then searched for in every column and file
byte.

Each column of text or bytes is in one of two lists here: either it holds people's words and this test fills it, or it holds none and the
list says why.
"""

from __future__ import annotations

import base64
import gzip
import json
import logging
import re
import zlib
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import LargeBinary, String, event, select, text

from pricing.catalogue.plausibility import with_accepted
from service.__main__ import main
from service.credentials.keys import Kind
from service.engine.engine import Engine
from service.lifecycle.erasure import has_personal_data
from service.observability.log import Json
from service.storage import Chunks, Edition, Editions, Quotes
from service.storage.catalogue_editions import ACCEPTED, Attribution
from service.storage.chunks import Lost
from service.storage.personal_data import PLACES
from service.storage.tables import metadata
from tests.batches.fleet import NDJSON, boat, ndjson, worked
from tests.service.conftest import DAY, made_app
from tests.service.holders import kept_key
from tests.service.plain_form import Visitor, cap_shroud

NAME, OTHER = "Zébulon Quillfeather", "Marigold Tansy"
MAIL, REFERENCE, BOAT = "zebulon@quillfeather.example", "Quillref-4711", "Snarkwhistle"
TELEPHONE = "+1 (401) 555 0142"
TAX, OWN, HULL = "QX-474711-V", "Quill-0815", "Snark-0816"
WHARF = "48 Quillwharf"
STREET, ADDRESS = "47 Quillwharf", ("Quillhaven", "Quillshire", "QW-4711")
NOTES = (
    "houseboat-of-the-request",
    "houseboat-of-the-wire",
    "houseboat-of-the-yes",
    "houseboat-of-the-no",
    "houseboat-of-the-bench",
    "houseboat-of-the-shelf",
    "houseboat-of-the-answer",
    "houseboat-of-the-doubt",
    "houseboat-of-the-open-question",
    "houseboat-of-the-question",
    "houseboat-of-the-reply",
)
MARKS = (
    NAME,
    "Quillfeather",
    "quillfeather",
    MAIL,
    REFERENCE,
    BOAT,
    STREET,
    TELEPHONE,
    "401) 555",
    TAX,
    OWN,
    HULL,
    WHARF,
    *ADDRESS,
    *NOTES,
)

#: Where people's words are; every one is filled below.
HOLDS = {
    "quotes": {"document", "request", "standing"},
    "quote_entries": {"customer", "boat", "reference", "email", "words", "tags"},
    "quote_terms": {"term"},
    "events": {"by", "note"},
    "as_built": {"document"},
    "cutting_plans": {"document", "summary"},
    "movements": {"document"},
    "shelf": {"source"},
    "batches": {"summary"},
    "batch_lines": {"name", "request", "said"},
    "answers": {"key", "body"},
    "editions": {"accepted"},
    "editions_in_force": {"by", "words"},
    "staff": {"name"},
}
#: What cannot hold a customer's words, and why.
OURS = "made by the service: ids, moments, states, figures, digests, versions of tables"
SHOPS = "the shop's own names and addresses of things, set by its commands or tables, and none of a customer's"
NONE = {
    "counters": {"series": OURS},
    "quotes": {"key": SHOPS, **dict.fromkeys(("id", "number", "status", "created_at", "issued_on", "valid_until", "currency", "payable", "catalogue_version", "price_version", "checksum"), OURS)},
    "quote_entries": {"key": SHOPS, **dict.fromkeys(("quote_id", "number", "status", "valid_until", "currency"), OURS)},
    "quote_counts": dict.fromkeys(("day", "status", "valid_until", "currency"), OURS),
    "taken_plans": dict.fromkeys(("day", "plan_id"), OURS),
    "cut_quotes": dict.fromkeys(("day", "quote_id", "plan_id"), OURS),
    "editions": {"content": SHOPS, "name": SHOPS, "key": SHOPS, **dict.fromkeys(("catalogue_version", "price_version", "stored_at"), OURS)},
    "shelf": {"id": "on the label of a piece of wire; " + SHOPS, "wire": SHOPS, **dict.fromkeys(("kind", "length", "price", "price_per_metre", "touch"), OURS)},
    "movements": dict.fromkeys(("id", "occurred_at", "type", "plan_id"), OURS),
    "cutting_plans": dict.fromkeys(("id", "created_at", "quote_id", "of_quote", "basis"), OURS),
    "editions_in_force": {"key": SHOPS, **dict.fromkeys(("catalogue_version", "price_version", "from_day", "put_at", "means"), OURS)},
    "events": {"key": SHOPS, **dict.fromkeys(("quote_id", "occurred_at", "type"), OURS)},
    "as_built": dict.fromkeys(("id", "quote_id"), OURS),
    "api_keys": {"name": SHOPS, "origins": SHOPS, **dict.fromkeys(("id", "kind", "owner", "digest", "scopes", "created_at", "revoked_at", "last_used"), OURS)},
    "link_secrets": dict.fromkeys(("id", "secret", "created_at", "withdrawn_at"), OURS),
    "answers": {"headers": "addresses by id, types and tags of ours", **dict.fromkeys(("owner", "fingerprint", "claim", "holder"), OURS)},
    "batches": {"columns": "names of columns that the service knows; others are refused", **dict.fromkeys(("id", "kind", "source", "state", "created_at", "catalogue_version", "price_version"), OURS)},
    "batch_chunks": dict.fromkeys(("batch_id", "state", "holder", "process"), OURS),
    "batch_lines": {"rows": "numbers of rows", **dict.fromkeys(("batch_id", "subject", "outcome", "quote_id"), OURS)},
    "webhook_endpoints": {"url": SHOPS, "why": "a status, or that the shop removed it", **dict.fromkeys(("id", "event_types", "secret", "created_at", "removed_at", "previous"), OURS)},
    "webhook_messages": {"body": "ids, numbers and sums (service/lifecycle/events.py)", "answer": "a status, or how the sending failed", **dict.fromkeys(("id", "endpoint_id", "event", "created_at", "state", "holder", "process"), OURS)},
    "staff": dict.fromkeys(("id", "role", "created_at", "ended_at"), OURS),
    "sign_in_links": dict.fromkeys(("digest", "person", "made_by"), OURS),
    "desk_sessions": dict.fromkeys(("digest", "id", "person", "language"), OURS),
    "chores": {"name": OURS, "reached": OURS},
}  # fmt: skip


@pytest.fixture
def shop(engine: Engine, store: Quotes, monkeypatch: pytest.MonkeyPatch) -> Flask:
    monkeypatch.setenv("SERVICE_DATABASE_URL", store._url)
    monkeypatch.setenv("SERVICE_TODAY", DAY.isoformat())
    monkeypatch.setenv("SERVICE_WEBHOOK_PRIVATE", "yes")
    return made_app(engine, store, form_key=kept_key(store, Kind.PUBLISHABLE))


@pytest.fixture
def logged() -> Iterator[list[str]]:
    """Everything that any logger says, as the service writes it."""
    told: list[str] = []
    handler = logging.Handler(logging.DEBUG)
    handler.setFormatter(Json())
    handler.emit = lambda record: told.append(handler.format(record))  # type: ignore[method-assign]
    loggers = [logging.getLogger(), logging.getLogger("service")]
    levels = [each.level for each in loggers]
    for each in loggers:
        each.addHandler(handler)
        each.setLevel(logging.INFO)
    yield told
    for each, level in zip(loggers, levels, strict=True):
        each.removeHandler(handler)
        each.setLevel(level)


def asked(tag: str = f"{BOAT} CAP {NAME}", **more: Any) -> dict[str, Any]:
    """A boat of the marked person, who also names an assembly after himself."""
    address = {"street": STREET, "country": "US", **dict(zip(("city", "region", "postal_code"), ADDRESS, strict=True))}
    customer = {"name": NAME, "email": MAIL, "reference": REFERENCE, "address": address, "telephone": TELEPHONE}
    customer |= {"tax_number": TAX, "external_id": OWN, "delivery_address": {**address, "street": WHARF}}
    whole = boat(assemblies=1, customer=customer, boat={"name": BOAT, "external_id": HULL}, note=NOTES[0], **more)
    whole["extra_lines"] = [{"text": f"Call-out to {BOAT}, {NAME}", "quantity": "1", "unit_price": "45.00", "tax_category": "E"}]
    whole["discount"] = {"text": f"A friend, {NAME}", "reduction": "5 %"}
    whole["assemblies"][0] |= {"tag": tag[:40], "note": NOTES[1]}
    return whole


def post(client: FlaskClient, path: str, body: Any, key: str | None = None, **headers: str) -> Any:
    sent = {**headers, **({} if key is None else {"Idempotency-Key": key})}
    answer = client.post(path, data=json.dumps(body), content_type="application/json", headers=sent)
    assert answer.status_code in (200, 201, 202), answer.json
    return answer


def write_everywhere(app: Flask, store: Quotes, folder: Path) -> dict[str, Any]:
    """The marked person at every place that takes words; ids of what was made."""
    client = app.test_client()
    assert main(["webhooks", "add", "http://127.0.0.1:9/hook"]) == 0
    first = post(client, "/v1/quotes", asked(), "k1")
    second = post(client, f"/v1/quotes/{first.json['id']}/revisions", asked(), "k2", **{"If-Match": first.headers["ETag"]})
    neighbour = post(client, "/v1/quotes", boat(assemblies=1, customer={"name": OTHER}, boat={"name": "Pimpernel"}, note="Soon, please."))
    at = f"/v1/quotes/{second.json['id']}"
    asked_of_it = sorted(client.get(f"{at}/settlements").json["open"], key=lambda each: str(each["code"]))
    assert [each["code"] for each in asked_of_it][:2] == ["customers-note"] * 2  # the note of the wire, and the request's
    answered = [
        {name: each[name] for name in ("tag", "code", "pointer") if each[name]} | {"words": NOTES[6], "by": NAME} for each in asked_of_it
    ]
    done = post(client, f"{at}/settlements", {"settlements": answered}, "k8").json["settlements"]
    undone = {"by": NAME, "reason": NOTES[7]}
    post(client, f"{at}/settlements/{done[0]['id']}/reversal", undone, "k9")
    post(client, f"{at}/settlements", {"settlements": [answered[0]]})
    _settled_by_hearsay(client, neighbour.json)
    plan = post(client, "/v1/cutting-plans", {"quotes": [second.json["id"], neighbour.json["id"]]}, "k3").json["id"]
    question = post(client, f"{at}/questions", {"words": NOTES[9]}, "k10").json["questions"][0]["id"]
    post(client, f"{at}/questions/{question}/answer", {"words": NOTES[10], "by": NAME})
    post(client, f"{at}/questions", {"words": f"{NOTES[9]} again"})
    accepted = {"customer": {"name": NAME}, "note": NOTES[2]}
    post(client, f"{at}/acceptance", accepted, "k5", **seen(client, second.json))
    post(client, f"/v1/quotes/{neighbour.json['id']}/acceptance", {"customer": {"name": OTHER}}, **seen(client, neighbour.json))
    post(client, f"/v1/cutting-plans/{plan}/take", {"by": NAME, "note": NOTES[5]}, f"taken-for-{MAIL}")
    post(client, f"/v1/cutting-plans/{plan}/reversal", {"by": NAME, "note": NOTES[5]}, "k4")
    typed = {"wire": {"sku": "WIRE-1X19-316-5-32IN"}, "pieces": [{"length": "1 m", "label": f"for {NAME}"}]}
    post(client, "/v1/cutting-plans", typed)
    length = second.json["assemblies"][0]["target_length"]["mm"]
    built = {"by": NAME, "note": NOTES[4], "assemblies": [{"tag": second.json["assemblies"][0]["tag"], "finished_length": f"{length} mm"}]}
    post(client, f"/v1/quotes/{second.json['id']}/as-built", built, "k6")
    technical = asked("B")
    technical["assemblies"][0]["wire"]["material"] = technical["assemblies"][0]["upper"]["sku"] = NAME
    third = post(client, "/v1/quotes", technical)
    post(client, f"/v1/quotes/{third.json['id']}/decline", {"by": NAME, "reason": NOTES[3]}, "k7")
    unnamed = post(client, "/v1/quotes", boat(assemblies=1, boat={"name": BOAT, "external_id": HULL}, customer={}, note=NOTES[0]))
    post(client, f"/v1/quotes/{unnamed.json['id']}/decline", {"by": NAME, "reason": NOTES[3]})
    unsettled = post(client, "/v1/quotes", asked("C"))
    as_listed = {**accepted, "open": "as_listed", "understood": NOTES[8]}
    post(client, f"/v1/quotes/{unsettled.json['id']}/acceptance", as_listed, **seen(client, unsettled.json))
    post(client, f"/v1/quotes/{neighbour.json['id']}/cancellation", {"by": NAME, "reason": f"{MAIL} said so"})
    refused = asked(line="refused")
    refused["assemblies"][0]["measurement"]["readings"] = [f"9 m, says {NAME}"]
    batches = [
        _batch(client, ndjson({**asked(), "custom_id": f"HULL of {NAME}"}, {**boat("Tansy", 1), "customer": {"name": OTHER}}, refused))
    ]
    worked(app, store)
    assert client.get(f"/v1/batches/{batches[0]}/summary").status_code == 200
    _from_the_form(app)
    batches.append(_batch(client, ndjson({**asked(), "custom_id": f"HULL of {NAME}"}, boat("Tansy", 1, customer={"name": OTHER}))))  # waits
    counted = folder / f"count for {NAME}.csv"
    counted.write_text(
        f"id,wire,kind,length,price,price_per_metre,count,touch,source\nROLL,WIRE-1X19-316-5-32IN,opened,31.4 m,,1.36,1,,left by {NAME}\n",
        encoding="utf-8",
    )
    assert main(["stock", "count", str(counted), "--yes"]) == 0
    _work_in_the_shop(store)
    return {
        "batches": batches,
        "plan": plan,
        "mine": [first.json["id"], second.json["id"], third.json["id"], unnamed.json["id"], unsettled.json["id"]],
        "neighbour": client.get(f"/v1/quotes/{neighbour.json['id']}").json,
    }


def seen(client: FlaskClient, quote: dict[str, Any]) -> dict[str, str]:
    return {"If-Match": client.get(f"/v1/quotes/{quote['id']}").headers["ETag"]}


def _put_tables(store: Quotes) -> None:
    """The marked person puts tables in force, and accepts what is doubted of them."""
    accepted = with_accepted("", ["tax/wire/2026-01-01/rate/0.19"], NAME, DAY, f"{MAIL} says so")
    Editions(store).put_in_force(
        Edition("later", "later"), {ACCEPTED: accepted}, DAY + timedelta(300), Attribution(NAME, f"as {NAME} asked")
    )


def _work_in_the_shop(store: Quotes) -> None:
    """The marked person worked for the shop, too: at the desk, and with its tables."""
    _put_tables(store)
    assert main(["people", "add", NAME, "--role", "bench"]) == 0
    assert main(["people", "end", NAME, "--yes"]) == 0


def _settled_by_hearsay(client: FlaskClient, quote: dict[str, Any]) -> None:
    """The marked person speaks for somebody else's quote."""
    at = f"/v1/quotes/{quote['id']}/settlements"
    for each in client.get(at).json["open"]:
        post(client, at, {"tag": each["tag"], "code": each["code"], "pointer": each["pointer"], "words": f"{MAIL} said so", "by": NAME})
    asked_of_it = post(
        client, f"/v1/quotes/{quote['id']}/questions", {"words": f"What does {NAME} of {STREET}, {WHARF}, {TELEPHONE}, say?"}
    ).json["questions"][0]["id"]
    post(client, f"/v1/quotes/{quote['id']}/questions/{asked_of_it}/answer", {"words": f"Ask {MAIL}.", "by": NAME})


def _batch(client: FlaskClient, body: bytes) -> str:
    made = client.post("/v1/batches", data=body, content_type=NDJSON, headers={"Idempotency-Key": f"batch-{len(body)}"})
    assert made.status_code == 202
    return str(made.json["id"])


def _from_the_form(app: Flask) -> None:
    visitor = Visitor(app.test_client())
    cap_shroud(visitor, tag=f"{NAME}")
    fields = {name: mark for name, mark in (("note", NOTES[0]),) if name.replace("__", ".") in visitor.page.asked}
    visitor.send(customer__name=NAME, customer__email=MAIL, **fields)
    assert visitor.answer.status_code == 303


def spellings(mark: str) -> list[bytes]:
    """A mark as it may lie about: as itself, escaped as JSON, in UTF-16, in base64 at each of the three places a byte can have."""
    plain = mark.encode()
    found = [plain, json.dumps(mark)[1:-1].encode(), mark.encode("utf-16-le"), json.dumps(mark)[1:-1].upper().encode()]
    for shift in range(3):
        coded = base64.b64encode(b"\0" * shift + plain)
        found.append(coded[4 if shift else 0 : len(coded) // 4 * 4 - 4])
    return found


SPELLED = [(mark, spelled) for mark in MARKS for spelled in spellings(mark)]


def layers(value: bytes, depth: int = 3) -> Iterator[bytes]:
    """Bytes, and whatever gzip lies in them, unpacked as far as it goes."""
    yield value
    for place in re.finditer(rb"\x1f\x8b\x08", value) if depth else ():
        unpacker = zlib.decompressobj(31)
        try:
            inner = unpacker.decompress(value[place.start() :])
        except zlib.error:
            continue
        yield from layers(inner, depth - 1)


def marks_in(value: Any) -> set[str]:
    whole = value if isinstance(value, bytes) else str(value).encode()
    return {mark for layer in layers(whole) for mark, spelled in SPELLED if spelled in layer}


def marked(store: Quotes) -> dict[str, dict[str, set[str]]]:
    """By table and column, the marks that are in it; tables that no list of ours knows, too."""
    found: dict[str, dict[str, set[str]]] = {}
    names = (
        "SELECT name FROM sqlite_master WHERE type = 'table'"
        if store.url.startswith("sqlite")
        else "SELECT tablename FROM pg_tables WHERE schemaname = 'public'"
    )
    with store.reading() as connection:
        for table in connection.execute(text(names)).scalars().all():
            for row in connection.execute(text(f'SELECT * FROM "{table}"')).mappings():  # noqa: S608  # names of tables
                for column, value in row.items():
                    if marks := marks_in(bytes(value) if isinstance(value, memoryview) else value):
                        found.setdefault(table, {}).setdefault(column, set()).update(marks)
    return found


def test_every_column_of_text_is_filled_here_or_holds_nobodys_words() -> None:
    for table in metadata.sorted_tables:
        worded = {column.name for column in table.columns if isinstance(column.type, String | LargeBinary)}
        holds, none = HOLDS.get(table.name, set()), set(NONE.get(table.name, {}))
        assert not holds & none, table.name
        assert holds | none == worded, (
            f"{table.name}: say of {sorted(worded ^ (holds | none))} whether people's words can be in it, and fill it above if so"
        )
    of_quotes = {"quotes", "quote_entries", "quote_terms"}  # erased with the quote
    assert {place.table.name for place in PLACES} | of_quotes == set(HOLDS)


def test_an_erased_person_is_in_no_column_no_byte_and_no_log(
    shop: Flask, store: Quotes, tmp_path: Path, logged: list[str], capfd: pytest.CaptureFixture[str]
) -> None:
    made = write_everywhere(shop, store, tmp_path)
    if store.url.startswith("sqlite"):
        _leave_free_pages(store)
    before = marked(store)
    assert {table: set(columns) for table, columns in before.items()} == HOLDS  # all of them are filled
    assert set().union(*(marks for columns in before.values() for marks in columns.values())) == set(MARKS)
    capfd.readouterr()
    assert main(["customers", "erase", NAME.upper(), "--yes"]) == 0
    assert worked(shop, store) == 1  # the line that waited is quoted without its person, beside its neighbour
    assert marked(store) == {}
    said = capfd.readouterr()
    assert not marks_in(said.err + said.out + "\n".join(logged))
    assert [each for each in logged if '"route": "/v1/quotes"' in each]  # there was something to see
    if store.url.startswith("sqlite"):
        _no_byte(store, tmp_path)
    _all_else_stands(shop.test_client(), made)
    assert main(["customers", "erase", NAME, "--yes"]) == 2  # nobody is left


def _leave_free_pages(store: Quotes) -> None:
    """What a running shop leaves in its file: pages that were given free with what stood in them, before anybody asked for an erasure."""
    with store.writing() as connection:
        connection.execute(text("PRAGMA secure_delete = OFF"))
        connection.execute(text("CREATE TABLE passing (words BLOB)"))
        connection.execute(text("INSERT INTO passing VALUES (:words)"), [{"words": gzip.compress(NAME.encode()) + NAME.encode() * 2000}])
    with store.writing() as connection:
        connection.execute(text("DROP TABLE passing"))
    assert (
        b"".join(each.read_bytes() for each in Path(store.url.removeprefix("sqlite:///")).parent.glob("quotes.sqlite3*")).count(
            NAME.encode()
        )
        > 1000
    )


def _no_byte(store: Quotes, folder: Path) -> None:
    with store.reading() as connection:
        assert connection.execute(text("PRAGMA freelist_count")).scalar_one() == 0
    store.close()
    files = [each for each in folder.iterdir() if each.name.startswith("quotes.sqlite3")]
    assert files
    for each in files:
        assert not marks_in(each.read_bytes()), each.name


def _all_else_stands(client: FlaskClient, made: dict[str, Any]) -> None:
    for each in made["mine"]:
        quote = client.get(f"/v1/quotes/{each}").json
        assert quote["erased_on"] == DAY.isoformat()
        assert quote["totals"]["payable"] == (None if each == made["mine"][2] else quote["totals"]["payable"])
        assert quote["lines"] or each == made["mine"][2]
    _settled_still(client, made)
    neighbour = client.get(f"/v1/quotes/{made['neighbour']['id']}").json
    unnamed = [{**each, "words": "erased said so", "by": "erased"} for each in made["neighbour"]["settlements"]]
    assert unnamed
    (question,) = made["neighbour"]["questions"]
    question = {**question, "words": "What does erased of erased, erased, erased, say?", "answer": "Ask erased.", "by": "erased"}
    assert neighbour == {**made["neighbour"], "settlements": unnamed, "questions": [question]}  # to the letter, but for who spoke for it
    plan = client.get(f"/v1/cutting-plans/{made['plan']}").json
    assert {cut["boat"] for wire in plan["wires"] for use in wire["uses"] for cut in use["cuts"]} == {None, "Pimpernel"}
    done = [json.loads(line) for line in client.get(f"/v1/batches/{made['batches'][1]}/results").data.splitlines()]
    assert [each["custom_id"] for each in done] == [None, "Tansy"]
    assert all(each["outcome"] == "succeeded" for each in done), done


def _settled_still(client: FlaskClient, made: dict[str, Any]) -> None:
    """What was settled, undone, cut and accepted stays so, in nobody's words."""
    at = f"/v1/quotes/{made['mine'][1]}"
    quote = client.get(at).json
    (tag,) = [each["tag"] for each in quote["assemblies"]]
    assert quote["current_readiness"] == {tag: "ready_to_cut"}
    assert [each["undone"] is None for each in quote["settlements"]] == [False, True, True, True]
    assert {each[name] for each in quote["settlements"] for name in ("words", "by")} == {"erased"}
    assert [quote["settlements"][0]["undone"][name] for name in ("by", "reason", "key")] == ["erased", "erased", "demo"]
    assert client.get(f"{at}/settlements").json["open"] == []
    said = [(each["words"], each["answer"], each["by"], each["key"]) for each in quote["questions"]]
    assert said == [("erased", "erased", "erased", "demo"), ("erased", None, None, None)]
    assert {**quote["accepted"], "at": ""} == {"by": "erased", "at": "", "open": None, "understood": None}
    as_listed = client.get(f"/v1/quotes/{made['mine'][4]}").json
    assert {**as_listed["accepted"], "at": ""} == {"by": "erased", "at": "", "open": "as_listed", "understood": "erased"}
    assert set(as_listed["current_readiness"].values()) == {"confirm"}


def test_a_replay_is_still_not_carried_out_twice(shop: Flask, store: Quotes, tmp_path: Path) -> None:
    made = write_everywhere(shop, store, tmp_path)
    client = shop.test_client()
    length = client.get(f"/v1/quotes/{made['mine'][1]}").json["assemblies"][0]["target_length"]["mm"]
    assert main(["customers", "erase", NAME, "--yes"]) == 0
    built = {"by": NAME, "note": NOTES[4], "assemblies": [{"tag": f"{BOAT} CAP {NAME}"[:40], "finished_length": f"{length} mm"}]}
    again = post(client, f"/v1/quotes/{made['mine'][1]}/as-built", built, "k6").json
    assert again["by"] is None
    assert len(client.get(f"/v1/quotes/{made['mine'][1]}/as-built").json["records"]) == 1
    back = post(client, f"/v1/cutting-plans/{made['plan']}/reversal", {"by": NAME, "note": NOTES[5]}, "k4").json
    assert (back["by"], back["note"], back["type"]) == (None, None, "reversal")
    at = f"/v1/quotes/{made['mine'][1]}/settlements"
    undone = client.get(at).json["settlements"][0]["id"]
    reply = post(client, f"{at}/{undone}/reversal", {"by": NAME, "reason": NOTES[7]}, "k9").json
    assert [each["undone"] and each["undone"]["reason"] for each in reply["settlements"]] == ["erased", None, None]
    question = post(client, f"/v1/quotes/{made['mine'][1]}/questions", {"words": NOTES[9]}, "k10").json
    assert [each["words"] for each in question["questions"]] == ["erased"]
    assert [each["message"] for each in reply["open"]] == ["The customer wrote: “erased”"]


@pytest.mark.long
def test_an_erasure_cut_off_at_any_statement_leaves_everything(
    engine: Engine, quotes: Quotes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SERVICE_DATABASE_URL", quotes._url)
    monkeypatch.setenv("SERVICE_TODAY", DAY.isoformat())
    monkeypatch.setenv("SERVICE_WEBHOOK_PRIVATE", "yes")
    write_everywhere(made_app(engine, quotes, form_key=kept_key(quotes, Kind.PUBLISHABLE)), quotes, tmp_path)
    before, fails_at, seen = _dump(quotes), 0, 0

    def cut_off(_: Any, __: Any, statement: str, *___: Any) -> None:
        nonlocal seen
        counts = statement.startswith(("UPDATE", "DELETE", "INSERT"))
        seen += counts
        if counts and fails_at == seen:
            raise OSError("the disk is full")

    from sqlalchemy import Engine as AnyEngine

    event.listen(AnyEngine, "before_cursor_execute", cut_off)
    try:
        for fails_at in (1, 2, 7, 12, 20, 30, 40):
            seen = 0
            assert main(["customers", "erase", NAME, "--yes"]) == 2
            assert seen == fails_at  # there were so many
            assert _dump(quotes) == before, fails_at
    finally:
        event.remove(AnyEngine, "before_cursor_execute", cut_off)
    capfd.readouterr()


def _dump(store: Quotes) -> list[Any]:
    with store.reading() as connection:
        return [tuple(row) for table in metadata.sorted_tables for row in connection.execute(select(table))]


def test_a_line_in_work_is_taken_from_whoever_works_on_it(shop: Flask, store: Quotes, tmp_path: Path) -> None:
    """Else its quote would be stored with the name after the erasure."""
    made = _batch(shop.test_client(), ndjson(asked(), boat("Tansy", 1, customer={"name": OTHER})))
    chunks = Chunks(store, 60.0)
    held = chunks.claim()
    assert held is not None
    assert main(["customers", "erase", NAME, "--yes"]) == 0
    with pytest.raises(Lost), chunks.keeping(held):
        pass
    assert worked(shop, store) == 1
    assert marked(store) == {}
    assert shop.test_client().get(f"/v1/batches/{made}").json["succeeded"] == 2


def test_an_export_tells_all_that_an_erasure_takes(shop: Flask, store: Quotes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_everywhere(shop, store, tmp_path)
    capsys.readouterr()
    assert main(["customers", "export", MAIL]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [mark for mark in MARKS if mark not in json.dumps(told, ensure_ascii=False)] == []
    assert {each["table"] for each in told["elsewhere"]} == {place.table.name for place in PLACES}
    assert all(OTHER not in json.dumps(each) for each in told["quotes"])


def test_retention_reaches_the_same_places(shop: Flask, store: Quotes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_everywhere(shop, store, tmp_path)
    worked(shop, store)
    monkeypatch.setenv("SERVICE_RETENTION_MONTHS", "24")
    monkeypatch.setenv("SERVICE_TODAY", "2030-01-01")
    assert main(["customers", "retain", "--yes"]) == 0
    assert marked(store) == {}


def test_words_are_whole_words_and_a_word_of_the_trade_is_no_name() -> None:
    from service.lifecycle.personal_words import PersonalWords

    words = PersonalWords([NAME, "Port", "Al"])
    said = {"side": "port", "tag": "PORT cap", "material": "Al", "note": "reports, and Al", "name": f"Fork of {NAME.upper()}"}
    assert words.removed_from(said) == {
        "side": "port",
        "tag": "erased cap",
        "material": "Al",
        "note": "reports, and Al",
        "name": "Fork of erased",
    }
    other = {"note": "the port shroud", "who": "Port"}
    assert words.removed_from(other, anywhere=True) == {"note": "the port shroud", "who": "erased"}
    assert words.removed_from(said["side"]) is said["side"]


def test_a_searcher_that_sees_nothing_would_be_seen() -> None:
    """Each spelling of a mark is found, packed twice and amid other bytes."""
    for mark, spelled in SPELLED:
        assert mark in marks_in(b"x" + gzip.compress(b"yy" + gzip.compress(b"zzz" + spelled + b"w")) + b"v")
    for shift in range(3):
        assert MAIL in marks_in(base64.b64encode(b"abc"[:shift] + MAIL.encode() + b"tail"))


def test_what_was_asked_of_a_quote_without_a_name_is_not_kept_for_ever(shop: Flask, store: Quotes, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is named in its history: a customer asked by a link."""
    client = shop.test_client()
    request = boat(assemblies=1, boat={}, customer={})
    request.pop("note", None)
    document = post(client, "/v1/quotes", request).json
    assert not has_personal_data(document)
    made = document["id"]
    post(client, f"/v1/quotes/{made}/questions", {"words": NOTES[9]})
    monkeypatch.setenv("SERVICE_RETENTION_MONTHS", "24")
    monkeypatch.setenv("SERVICE_TODAY", "2030-01-01")
    assert main(["customers", "retain", "--yes"]) == 0
    assert marked(store) == {}
    assert [each["words"] for each in client.get(f"/v1/quotes/{made}").json["questions"]] == ["erased"]
