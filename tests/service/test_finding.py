"""Quotes are found by every filter, in every order, with a cursor that belongs to them; wrong parameters are named; a number leads to its
latest revision.
"""

from __future__ import annotations

from decimal import Decimal
from importlib import import_module
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from alembic.migration import MigrationContext
from alembic.operations import Operations
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import select, text

from service.credentials.keys import Scope
from service.storage import Quotes
from service.storage.quote_filters import Waiting
from service.storage.tables import quote_entries
from tests.batches.fleet import boat
from tests.service.conftest import made_app
from tests.service.holders import bearing, kept_key
from tests.service.steps import accepted, settled

#: Invented people and boats; what is sought and who is found was written by hand.
PEOPLE: dict[str, dict[str, Any]] = {
    "asta": {
        "customer": {"name": "Åsta Lindqvist", "email": "Asta@Lindqvist.example", "reference": "HULL-07"},
        "boat": {"name": "Kittiwake"},
    },
    "anna": {"customer": {"name": "Anna Linden", "email": "anna.asta@lindqvist.example"}, "boat": {"name": "Großer Tern"}},
    "port": {
        "customer": {"name": "O’Port & Daughters", "reference": "asta", "external_id": "C-1042"},
        "boat": {"name": "Søndag", "external_id": "B-0007/C"},
    },
    "none": {"customer": {}, "boat": {}},
}
FOUND = [
    ({}, "asta anna port none"),
    ({"q": "asta"}, "asta anna port"),  # a name, an address, a reference
    ({"q": "ÅSTA"}, "asta anna port"),
    ({"q": "lind kitt"}, "asta"),
    ({"q": "qvist"}, ""),  # the end of a word
    ({"q": "Grosser"}, "anna"),  # full case folding: ß is ss
    ({"q": "sondag"}, "port"),
    ({"q": "o'port"}, "port"),
    ({"q": "2026 4"}, "none"),  # a number without its noughts
    ({"q": "Q-2026-000003"}, "port"),
    ({"customer": "lin"}, "asta anna"),
    ({"customer": "lindqvist asta"}, "asta"),
    ({"customer": "port"}, "port"),
    ({"email": "asta@lindqvist.EXAMPLE"}, "asta"),  # not anna.asta@
    ({"email": "asta@lindqvist"}, ""),
    ({"boat": "tern"}, "anna"),
    ({"reference": "hull 07"}, "asta"),
    ({"reference": "asta"}, "port"),
    ({"customer_external_id": "c-1042"}, "port"),
    ({"customer_external_id": "0007"}, ""),
    ({"boat_external_id": "B-0007/C"}, "port"),
    ({"boat_external_id": "1042"}, ""),
    ({"q": "C-1042"}, "port"),
    ({"number": "q-2026-000002"}, "anna"),
    ({"number": "Q-2027-000002"}, ""),
    ({"tag": "bow"}, "anna"),
    ({"tag": "cap-p"}, "asta port none"),
    ({"key": "demo"}, "asta anna port none"),
    ({"key": "Demo"}, ""),
    ({"status": "issued", "customer": "anna"}, "anna"),
    ({"status": "expired"}, ""),
    ({"status": "accepted"}, ""),
    ({"issued_from": "2026-11-25", "issued_to": "2026-11-25"}, "asta anna port none"),
    ({"issued_from": "2026-11-26"}, ""),
    ({"issued_to": "2026-11-24"}, ""),
    ({"issued_from": "2200-01-01"}, ""),  # later than any place there is
    ({"issued_to": "9999-12-30"}, "asta anna port none"),
    ({"waiting": "to_cut"}, ""),
]  # fmt: skip


@pytest.fixture
def people(client: FlaskClient) -> dict[str, Any]:
    """The quotes of these people, in this order."""
    made = {}
    for name, who in PEOPLE.items():
        asked = boat(assemblies=1, **who)
        asked["assemblies"][0]["tag"] = "BOW-1" if name == "anna" else "CAP-P"
        made[name] = client.post("/v1/quotes", json=asked).json
    return made


def names(client: FlaskClient, people: dict[str, Any], **query: str) -> list[str]:
    by_id = {each["id"]: name for name, each in people.items()}
    return [by_id[each["id"]] for each in client.get("/v1/quotes", query_string=query).json["quotes"]]


def test_each_filter_finds_whom_it_should_and_nobody_else_newest_first(client: FlaskClient, people: dict[str, Any]) -> None:
    for query, expected in FOUND:
        assert names(client, people, **query) == expected.split()[::-1], query


def test_a_row_says_whose_it_is_what_it_costs_and_how_ready_it_is(client: FlaskClient, people: dict[str, Any]) -> None:
    (row,) = client.get("/v1/quotes?boat=kittiwake").json["quotes"]
    quote = people["asta"]
    same = ("id", "number", "revision", "status", "issued_on", "valid_until", "currency", "checksum")
    assert {name: row[name] for name in same} == {name: quote[name] for name in same}
    assert (row["customer"], row["boat"], row["reference"]) == ("Åsta Lindqvist", "Kittiwake", "HULL-07")
    assert row["payable"] == quote["totals"]["payable"]
    states = [each["readiness"] for each in quote["assemblies"]]
    assert row["readiness"] == {state: states.count(state) for state in ("ready_to_cut", "confirm", "hold")}
    (nobody,) = client.get("/v1/quotes?q=000004").json["quotes"]
    assert (nobody["customer"], nobody["boat"], nobody["reference"]) == (None, None, None)


def test_what_waits_for_the_shop_follows_each_step(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    """Asked, settled, accepted, taken, built: after each step the lists are as a shop would have them (common practice, no source)."""
    asked = boat(assemblies=1, note="Soon, please.")  # the shop is asked about a note
    made = client.post("/v1/quotes", json=asked).json
    at = f"/v1/quotes/{made['id']}"

    def waits() -> list[str]:
        return [name for name in WAITING if client.get(f"/v1/quotes?waiting={name}").json["quotes"]]

    assert waits() == ["open_asks"]
    settled(client, made)
    assert waits() == []
    question = client.post(f"{at}/questions", json={"words": "When?"}).json["questions"][0]["id"]
    assert waits() == ["questions"]
    client.post(f"{at}/questions/{question}/answer", json={"words": "In May.", "by": "Jo Marsh"})
    assert waits() == []
    now = accepted(client, made)
    assert waits() == ["to_cut"]
    assert client.get("/v1/quotes?status=issued").json["quotes"] == []
    (row,) = client.get("/v1/quotes?status=accepted").json["quotes"]
    assert (row["id"], row["status"], row["readiness"]["ready_to_cut"]) == (now["id"], "accepted", 1)
    plan = client.post("/v1/cutting-plans", json={"quotes": [made["id"]]}).json["id"]
    assert client.post(f"/v1/cutting-plans/{plan}/take", json={"by": "Jo Marsh"}).status_code in (200, 201)
    assert client.get("/v1/quotes?status=in_work").json["quotes"][0]["id"] == made["id"]
    assert waits() == []
    (wire,) = made["assemblies"]
    finished = Decimal(wire["target_length"]["mm"])
    for length, verdict, waiting in (
        (finished + 100, "fail", ["failed_as_built"]),
        (finished, "pass", []),
        (finished - 100, "fail", ["failed_as_built"]),
    ):
        built = client.post(f"{at}/as-built", json={"assemblies": [{"tag": wire["tag"], "finished_length": f"{length} mm"}]})
        assert (built.json["verdict"], waits()) == (verdict, waiting)
    assert client.post(f"{at}/cancellation", json={"reason": "Not this year."}).status_code == 200
    assert [client.get(f"/v1/quotes?status={each}").json["quotes"] != [] for each in ("in_work", "cancelled")] == [False, True]
    assert waits() == []


WAITING = ("open_asks", "questions", "to_cut", "expiring", "failed_as_built")


def test_an_open_quote_is_about_to_expire_for_eight_days_and_then_expired(client: FlaskClient, engine: Any, quotes: Quotes) -> None:
    """Its last day and the seven before it; open asks of an expired quote wait for nobody."""
    made = client.post("/v1/quotes", json=boat(assemblies=1, note="Soon, please.")).json
    assert made["valid_until"] == "2026-12-25"
    for day, status, waiting in (
        ("2026-12-17", "issued", ["open_asks"]),
        ("2026-12-18", "issued", ["open_asks", "expiring"]),
        ("2026-12-25", "issued", ["open_asks", "expiring"]),
        ("2026-12-26", "expired", []),
        ("2027-01-02", "expired", []),
        ("2028-01-01", "expired", []),
    ):
        then = made_app_on(engine, quotes, day)
        assert [name for name in WAITING if then.get(f"/v1/quotes?waiting={name}").json["quotes"]] == waiting, day
        for each in ("issued", "expired"):
            assert [row["status"] for row in then.get(f"/v1/quotes?status={each}").json["quotes"]] == [status] * (each == status), day


def made_app_on(engine: Any, quotes: Quotes, day: str) -> FlaskClient:
    from dataclasses import replace
    from datetime import date

    return made_app(replace(engine, today=lambda: date.fromisoformat(day)), quotes).test_client()


def test_a_page_leads_to_the_next_with_the_same_filters(client: FlaskClient, people: dict[str, Any]) -> None:
    page = client.get("/v1/quotes?q=åsta&limit=1")
    seen = [page.json["quotes"][0]["id"]]
    while page.json["next"]:
        link = page.headers["Link"]
        assert link.endswith('>; rel="next"')
        address = link[1:].partition(">")[0]
        assert parse_qs(urlsplit(address).query) == {"q": ["åsta"], "limit": ["1"], "cursor": [page.json["next"]]}
        client.post("/v1/quotes", json=boat(assemblies=1, customer={"name": "Asta the second"}))  # made meanwhile: moves nothing
        page = client.get(address)
        seen += [each["id"] for each in page.json["quotes"]]
    assert seen == [people[name]["id"] for name in ("port", "anna", "asta")]


def test_a_cursor_of_other_filters_is_refused_and_says_what_to_do(client: FlaskClient, people: dict[str, Any]) -> None:
    cursor = client.get("/v1/quotes?customer=lin&limit=1").json["next"]
    assert client.get(f"/v1/quotes?customer=lin&limit=100&cursor={cursor}").status_code == 200  # another size of page is no other list
    for query in ("", "customer=lind&", "customer=lin&sort=payable&", "q=lin&", "customer=lin&issued_from=2026-01-01&"):
        answer = client.get(f"/v1/quotes?{query}cursor={cursor}")
        (fault,) = answer.json["errors"]
        assert (answer.status_code, fault["parameter"], fault["code"]) == (422, "cursor", "cursor_of_another_list"), query
        assert "other filters" in fault["detail"]


def test_orders_by_last_day_and_by_price(client: FlaskClient, engine: Any, quotes: Quotes) -> None:
    """Prices fall with the number of assemblies; what could not be priced comes last. Last days follow the day of issue."""
    made = [client.post("/v1/quotes", json=boat(assemblies=many)).json for many in (1, 3, 2)]
    made.append(client.post("/v1/quotes", json=on_hold()).json)
    assert made[3]["totals"]["payable"] is None
    later = made_app_on(engine, quotes, "2026-11-28")
    made.append(later.post("/v1/quotes", json=boat(assemblies=4)).json)
    places = {each["id"]: place for place, each in enumerate(made)}
    for limit in (1, 2, 100):
        assert [places[each] for each in walked(client, f"sort=payable&limit={limit}")] == [4, 1, 2, 0, 3]
        days = [places[each] for each in walked(client, f"sort=valid_until&limit={limit}")]
        assert (days[-1], sorted(days)) == (4, [0, 1, 2, 3, 4])
        assert [places[each] for each in walked(client, f"status=issued&sort=valid_until&q=2026&limit={limit}")] == days


def on_hold() -> dict[str, Any]:
    """A boat whose one wire cannot be built from its numbers, so that nothing is priced."""
    asked = boat(assemblies=1)
    asked["assemblies"][0]["turnbuckle"].pop("setting", None)
    asked["assemblies"][0]["measurement"]["includes_turnbuckle"] = True
    return asked


def walked(client: FlaskClient, query: str) -> list[str]:
    page = client.get(f"/v1/quotes?{query}").json
    found = [each["id"] for each in page["quotes"]]
    while page["next"]:
        page = client.get(f"/v1/quotes?{query}&cursor={page['next']}").json
        found += [each["id"] for each in page["quotes"]]
    return found


WRONG = [
    ("colour=red", "colour", "unknown_parameter"),
    ("custmer=red", "custmer", "unknown_parameter"),
    ("q=a&q=b", "q", "given_twice"),
    ("limit=3&limit=3", "limit", "given_twice"),
    ("q=", "q", "length"),
    ("q=%20", "q", "length"),
    ("q=" + "x" * 121, "q", "length"),
    ("q=--", "q", "no_word"),
    ("customer=%F0%9F%98%80", "customer", "no_word"),
    ("q=a%00b", "q", "not_text"),
    ("q=1+2+3+4+5+6+7+8+9+10+11+12+13", "q", "too_many_words"),
    ("number=42", "number", "not_a_number"),
    ("number=Q-2026-00004%D9%A1", "number", "not_a_number"),
    ("email=" + "x" * 255, "email", "length"),
    ("key=", "key", "length"),
    ("status=open", "status", "unknown_choice"),
    ("waiting=all", "waiting", "unknown_choice"),
    ("sort=-payable", "sort", "unknown_choice"),
    ("issued_from=2026-02-30", "issued_from", "not_a_day"),
    ("issued_to=20261125", "issued_to", "not_a_day"),
    ("issued_from=2026-W48-3", "issued_from", "not_a_day"),
    ("issued_from=2026-11-26&issued_to=2026-11-25", "issued_to", "wrong_order"),
    ("limit=0", "limit", "not_a_count"),
    ("cursor=AaISAg38eBKYQw5qZUTQ1A", "cursor", "unknown_cursor"),  # of an earlier release
    ("cursor=%C3%A9", "cursor", "unknown_cursor"),
]


@pytest.mark.parametrize(("query", "parameter", "code"), WRONG)
def test_a_wrong_parameter_is_named_with_what_to_do(client: FlaskClient, query: str, parameter: str, code: str) -> None:
    answer = client.get(f"/v1/quotes?{query}")
    assert answer.status_code == 422
    (fault,) = answer.json["errors"]
    assert (fault["parameter"], fault["code"]) == (parameter, code)
    assert len(fault["detail"]) > 20


def test_all_faults_of_a_search_are_told_at_once(client: FlaskClient) -> None:
    answer = client.get("/v1/quotes?status=x&issued_to=x&number=x&limit=x&q=&page=2&key=")
    assert sorted(each["parameter"] for each in answer.json["errors"]) == ["issued_to", "key", "limit", "number", "page", "q", "status"]


def test_a_number_leads_to_its_latest_revision_in_the_form_asked_for(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    first = client.post("/v1/quotes", json=boat(assemblies=1))
    at = f"/v1/quotes/{first.json['number']}"
    assert client.get(at).headers["Location"] == first.headers["Location"]
    second = client.post(f"{first.headers['Location']}/revisions", json=boat(assemblies=2), headers={"If-Match": first.headers["ETag"]})
    for asked in ("", "?format=csv&table=lines", "?lang=de&format=html"):
        answer = client.get(f"{at}{asked}")
        assert (answer.status_code, answer.headers["Location"]) == (307, f"/v1/quotes/{second.json['id']}{asked}")
        assert answer.headers["Cache-Control"] == "no-store"
    assert client.get(at, follow_redirects=True).json["revision"] == 2
    assert client.get("/v1/quotes/Q-2026-000099").status_code == 404
    assert client.get(f"{at}?colour=red").status_code == 422
    assert [each["revision"] for each in client.get("/v1/quotes", query_string={"number": first.json["number"]}).json["quotes"]] == [2, 1]


def test_a_key_finds_what_it_issued_by_its_name(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    key = bearing(kept_key(quotes, scopes=[Scope.WRITE]))
    app.extensions["keyring"]._ring = None
    made = client.post("/v1/quotes", json=boat(assemblies=1), headers=key)
    with quotes.reading() as connection:
        name = connection.execute(text("SELECT key FROM quotes")).scalar_one()
    assert [each["id"] for each in client.get("/v1/quotes", query_string={"key": name}).json["quotes"]] == [made.json["id"]]
    assert client.get("/v1/quotes?key=demo").json["quotes"] == []


def test_a_migration_makes_of_stored_quotes_what_storing_them_makes(client: FlaskClient, quotes: Quotes, people: dict[str, Any]) -> None:
    """Entries and terms of quotes in all states, dropped and made again from the documents; a damaged one is found by its number."""
    first = client.post("/v1/quotes", json=boat(assemblies=2, note="Soon, please."))
    client.post(f"{first.headers['Location']}/revisions", json=boat(assemblies=1, note="Now."), headers={"If-Match": first.headers["ETag"]})
    client.post(f"/v1/quotes/{people['none']['id']}/questions", json={"words": "When?"})
    assert client.post("/v1/quotes", json=on_hold()).json["assemblies"][0]["readiness"] == "hold"
    accepted(client, people["anna"])
    client.post(f"/v1/quotes/{people['port']['id']}/decline", json={"reason": "No."})
    before = kept(quotes)
    assert len({row[3] for row in before[0]}) == 4  # statuses
    made_again(quotes)
    assert kept(quotes) == before
    with quotes.writing() as connection:
        connection.execute(text("UPDATE quotes SET document = x'00', standing = NULL WHERE id = :id"), {"id": people["asta"]["id"]})
    made_again(quotes)
    assert names(client, people, number=people["asta"]["number"]) == ["asta"]
    assert names(client, people, q="kittiwake") == []


def made_again(store: Quotes) -> None:
    """These tables dropped, and made and filled by their own migrations; all other tables stay as they are."""
    with store.writing() as connection:
        for name in ("quote_terms", "quote_entries", "quote_counts", "cut_quotes", "taken_plans"):
            connection.execute(text(f"DROP TABLE {name}"))
        with Operations.context(MigrationContext.configure(connection)):
            for name in ("v0018_finding", "v0021_failed_as_built", "v0022_figures"):
                import_module(f"service.storage.migrations.versions.{name}").upgrade()


def kept(store: Quotes) -> tuple[list[Any], list[Any]]:
    with store.reading() as connection:
        columns = [each for each in quote_entries.c if each.name != "currency"]  # no earlier release noted it with the entry
        entries = connection.execute(select(*columns).order_by(quote_entries.c.place)).all()
        terms = connection.execute(text("SELECT * FROM quote_terms WHERE term NOT LIKE 'code:%' ORDER BY term, place")).all()
    return [tuple(each) for each in entries], [tuple(each) for each in terms]


def test_what_waits_is_counted_on_all_pages_where_nothing_else_is_sought(client: FlaskClient, people: dict[str, Any]) -> None:
    client.post(f"/v1/quotes/{people['none']['id']}/questions", json={"words": "When?"})
    accepted(client, people["anna"])
    found = {}
    for each in Waiting:
        ids = [row["id"] for row in client.get(f"/v1/quotes?waiting={each}&limit=100").json["quotes"]]
        page = client.get(f"/v1/quotes?waiting={each}&limit=1&sort=valid_until").json
        assert page["count"] == len(ids)
        found[each] = page["count"]
    assert found[Waiting.QUESTIONS] == found[Waiting.TO_CUT] == 1
    assert found[Waiting.EXPIRING] == 0 < found[Waiting.OPEN_ASKS]
    for other in ("q=a&waiting=open_asks", "status=issued", "issued_to=2026-11-25&waiting=open_asks", ""):
        assert "count" not in client.get(f"/v1/quotes?{other}").json
