"""Signing in at the desk and out: links, sessions, and forms that were sent by somebody else."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from service.credentials.people import IDLE, LASTS, LINK_LASTS, Role
from service.desk import calls
from service.engine.engine import Engine
from service.storage import Quotes
from service.storage.tables import desk_sessions, sign_in_links
from tests.desk.colleague import HOST, Colleague
from tests.service.conftest import Command, made_app

SAME = {"Sec-Fetch-Site": "same-origin", "Origin": HOST, "Accept": "text/html"}


def bare(desk: Flask) -> FlaskClient:
    return FlaskClient(desk, desk.response_class)


def test_without_the_setting_there_is_no_desk(app: Flask) -> None:
    assert not [rule for rule in app.url_map.iter_rules() if rule.rule.startswith("/desk")]


@pytest.mark.parametrize("role", list(Role))
def test_someone_signs_in_by_a_link_and_is_named(desk: Flask, role: Role) -> None:
    colleague = Colleague(desk, role)
    assert colleague.at == "/desk"
    assert colleague.person.name in colleague.text


def test_looking_at_a_link_uses_nothing_up_and_names_nobody(desk: Flask) -> None:
    colleague = Colleague(desk, Role.COUNTER)
    link = desk.extensions["staff"].make_link(colleague.person.id)
    for _ in range(3):
        looked = bare(desk).get(f"/desk/sign-in?link={link}", headers=SAME)
        assert looked.status_code == 200
        assert "Set-Cookie" not in looked.headers
        assert colleague.person.name not in looked.text
    assert bare(desk).post("/desk/sign-in", data={"link": link}, headers=SAME).status_code == 303


def test_a_link_is_good_once(desk: Flask) -> None:
    link = desk.extensions["staff"].make_link(Colleague(desk, Role.BENCH).person.id)
    assert bare(desk).post("/desk/sign-in", data={"link": link}, headers=SAME).status_code == 303
    again = bare(desk).post("/desk/sign-in", data={"link": link}, headers=SAME)
    assert again.status_code == 401
    assert "Set-Cookie" not in again.headers
    assert "This link is no longer good" in again.text


def test_a_link_ends_after_fifteen_minutes_and_with_the_next_one(desk: Flask, quotes: Quotes) -> None:
    staff, person = desk.extensions["staff"], Colleague(desk, Role.BENCH).person
    replaced, late = staff.make_link(person.id), staff.make_link(person.id)
    assert staff.sign_in(replaced) is None
    assert LINK_LASTS.total_seconds() == 900
    with quotes.writing() as connection:
        connection.execute(sign_in_links.update().values(until=sign_in_links.c.until - 901))
    assert staff.sign_in(late) is None


def test_the_cookie_is_for_the_desk_alone(desk: Flask) -> None:
    link = desk.extensions["staff"].make_link(Colleague(desk, Role.OWNER).person.id)
    here = bare(desk).post("/desk/sign-in", data={"link": link}, headers=SAME).headers["Set-Cookie"]
    assert {"HttpOnly", "Path=/desk", "SameSite=Lax"} <= set(here.split("; "))
    assert "Secure" not in here.split("; ")
    link = desk.extensions["staff"].make_link(Colleague(desk, Role.OWNER, name="Olga the Second").person.id)
    beyond = bare(desk).post(
        "/desk/sign-in",
        data={"link": link},
        base_url="https://quotes.shop.example",
        headers={**SAME, "Origin": "https://quotes.shop.example"},
    )
    assert "Secure" in beyond.headers["Set-Cookie"].split("; ")


def test_the_api_does_not_take_the_cookie(desk: Flask) -> None:
    owner = Colleague(desk, Role.OWNER)
    client = bare(desk)
    client.set_cookie("desk", owner.cookie)  # even if a browser sent it there
    assert client.get("/v1/quotes").status_code == 401
    assert client.post("/v1/quotes", json={}, headers=SAME).status_code == 401


def test_no_header_is_taken_for_somebody_at_the_desk(desk: Flask) -> None:
    for name in ("Service.On_behalf", "Service-On-Behalf", "On-Behalf", "service.on_behalf"):
        assert bare(desk).get("/v1/quotes", headers={name: "desk:0"}).status_code == 401


def test_a_session_ends_at_once_with_its_person_or_by_its_id(desk: Flask) -> None:
    bench, staff = Colleague(desk, Role.BENCH), desk.extensions["staff"]
    assert bench.go("/desk").status_code == 200
    (session,) = staff.sessions()
    assert staff.sign_out(session.id)
    assert bench.go("/desk").status_code == 401
    bench.sign_in()
    assert bench.go("/desk").status_code == 200
    link = staff.make_link(bench.person.id)
    staff.end(bench.person.id)
    assert bench.go("/desk").status_code == 401
    assert staff.sign_in(link) is None


@pytest.mark.parametrize(("column", "limit"), [("seen_at", IDLE), ("created_at", LASTS)])
def test_a_session_ends_by_itself_and_no_clock_brings_it_back(desk: Flask, quotes: Quotes, column: str, limit: object) -> None:
    bench, seconds = Colleague(desk, Role.BENCH), limit.total_seconds()  # type: ignore[attr-defined]
    shift = desk_sessions.update().values({column: desk_sessions.c[column] - seconds - 1})
    with quotes.writing() as connection:
        connection.execute(shift)
    assert bench.go("/desk").status_code == 401
    with quotes.writing() as connection:
        connection.execute(desk_sessions.update().values({column: desk_sessions.c[column] + seconds + 1}))
    assert bench.go("/desk").status_code == 401


def test_signing_out_ends_the_session_for_whoever_has_the_cookie(desk: Flask) -> None:
    counter = Colleague(desk, Role.COUNTER)
    copied = counter.cookie
    counter.press(f"Sign out {counter.person.name}")
    assert "You are signed out" in counter.text
    client = bare(desk)
    client.set_cookie("desk", copied, path="/desk")
    assert client.get("/desk", headers=SAME).status_code == 401


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
        {"Origin": f"{HOST}.elsewhere.example"},
        {"Sec_Fetch_Site": "none"},
    ],
)
def test_a_form_of_another_site_does_nothing(desk: Flask, headers: dict[str, str]) -> None:
    owner = Colleague(desk, Role.OWNER)
    to, fields = owner.prepared("Deutsch")
    assert owner.send(to, fields, **headers).status_code == 403
    assert "Nothing was done" in owner.text
    assert desk.extensions["staff"].sessions()[0].language is None


def test_a_form_without_the_sessions_token_is_shown_again_and_not_carried_out(desk: Flask) -> None:
    owner = Colleague(desk, Role.OWNER)
    to, fields = owner.prepared("Deutsch")
    other = Colleague(desk, Role.OWNER, name="Olga the Second")
    for token in ("", "0" * 64, other.prepared("Deutsch")[1]["form"], "é"):
        assert owner.send(to, {**fields, "form": token}).status_code == 409
        assert all(each.language is None for each in desk.extensions["staff"].sessions())
    owner.press("Send it again")
    assert owner.page.get("lang") == "de"


def test_what_was_typed_survives_the_end_of_a_session(desk: Flask) -> None:
    owner = Colleague(desk, Role.OWNER)
    to, fields = owner.prepared("Deutsch")
    (session,) = desk.extensions["staff"].sessions()
    desk.extensions["staff"].sign_out(session.id)
    assert owner.send(to, fields).status_code == 401
    kept = owner.prepared("Send it again")  # this window stays open, while another signs in
    link = desk.extensions["staff"].make_link(owner.person.id)
    assert owner.client.post("/desk/sign-in", data={"link": link}, headers=SAME).status_code == 303
    assert owner.send(*kept).status_code == 409
    assert owner.press("Send it again").status_code == 200
    assert owner.page.get("lang") == "de"


def test_wrong_links_are_limited_by_network(engine: Engine, quotes: Quotes) -> None:
    app = made_app(engine, quotes, desk=True, rate_limits={"wrong.keys": 5})
    client = bare(app)
    found = [client.post("/desk/sign-in", data={"link": f"{each}"}, headers=SAME).status_code for each in range(8)]
    assert found[0] == 401
    assert found[-1] == 429


def test_the_owner_makes_links_for_others_and_for_no_owner(desk: Flask) -> None:
    owner, bench = Colleague(desk, Role.OWNER), Colleague(desk, Role.BENCH)
    owner.go("/desk/people")
    owner.press("Make a link")
    link = next(each for each in re.findall(r"http\S+/desk/sign-in\?link=\S+", owner.text))
    assert desk.extensions["staff"].sign_in(parse_qs(urlsplit(link).query)["link"][0])
    refused = owner.send(f"/desk/people/{owner.person.id}/link", {"form": owner.prepared("Deutsch")[1]["form"]})
    assert refused.status_code == 404
    assert bench.go("/desk/people").status_code == 403
    assert "This page is for someone else" in bench.text


def test_the_language_is_the_browsers_until_it_is_chosen(desk: Flask) -> None:
    owner = Colleague(desk, Role.OWNER, "de")
    assert owner.page.get("lang") == "de"
    assert "Heute" in owner.text
    owner.press("English")
    assert owner.page.get("lang") == "en"


def test_a_browser_names_the_origin_of_the_desks_forms(desk: Flask) -> None:
    """With `no-referrer` it sends `Origin: null` instead (Fetch Standard, "append a request `Origin` header")."""
    owner = Colleague(desk, Role.OWNER)
    for address in ("/desk/sign-in", "/desk", "/desk/people", "/desk/nowhere"):
        assert owner.go(address).headers.getlist("Referrer-Policy") == ["same-origin"]
    assert bare(desk).get("/healthz").headers.getlist("Referrer-Policy") == ["no-referrer"]


def test_no_page_has_a_script_or_a_style_in_it(desk: Flask) -> None:
    owner = Colleague(desk, Role.OWNER)
    for address in ("/desk", "/desk/people", "/desk/nowhere", "/desk/sign-in"):
        reply = owner.go(address)
        assert "unsafe" not in reply.headers["Content-Security-Policy"]
        assert not re.search(r"<style|<script(?! src)| style=| on[a-z]+=", reply.text)


def test_the_command_adds_links_lists_and_ends(command: Command, capsys: pytest.CaptureFixture[str], quotes: Quotes) -> None:
    assert command("people", "add", "Nora Newbuoy", "--role", "bench") == 0
    link = capsys.readouterr().out.split()[0]
    assert command("people", "add", "nora newbuoy", "--role", "owner") == 2
    assert "two people need two names" in capsys.readouterr().err
    assert parse_qs(urlsplit(link).query)["link"]
    assert command("people", "list") == 0
    assert "Nora Newbuoy" in capsys.readouterr().out
    assert command("people", "end", "Nora Newbuoy") == 2
    assert command("people", "end", "Nora Newbuoy", "--yes") == 0
    capsys.readouterr()
    assert command("people", "link", "Nora Newbuoy") == 2
    with quotes.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM sign_in_links")).scalar_one() == 0


def test_an_event_names_the_person_until_the_name_is_erased(desk: Flask, demo: dict[str, object], command: Command) -> None:
    counter, program = Colleague(desk, Role.COUNTER), desk.test_client()
    quote = program.post("/v1/quotes", json=demo).json
    with desk.test_request_context("/desk", headers={"Cookie": f"desk={counter.cookie}"}):
        desk.preprocess_request()
        done = calls.post(f"/v1/quotes/{quote['id']}/withdrawal", {"reason": "Asked twice."})
        assert done.status == 200, done.body
        assert calls.post(f"/v1/quotes/{quote['id']}/settlements", []).status != 403
        assert calls.call("GET", "/v1/purchases/needed").status == 403  # costs are the owner's
    first, last = program.get(f"/v1/quotes/{quote['id']}/events").json["events"]
    assert (first["person"], last["person"]) == (None, "Cora Counterpin")
    assert last["key"] == f"desk:{counter.person.id}"
    assert command("customers", "erase", "Cora Counterpin", "--yes") == 2  # whoever still works here is no customer
    assert program.get(f"/v1/quotes/{quote['id']}/events").json["events"][-1]["person"] == "Cora Counterpin"
    assert command("people", "end", "Cora Counterpin", "--yes") == 0
    assert command("customers", "erase", "Cora Counterpin", "--yes") == 0
    assert program.get(f"/v1/quotes/{quote['id']}/events").json["events"][-1]["person"] is None


def test_signing_in_again_ends_the_session_of_before_in_this_browser(desk: Flask) -> None:
    bench = Colleague(desk, Role.BENCH)
    before = bench.cookie
    bench.sign_in()
    assert len(desk.extensions["staff"].sessions()) == 1
    assert desk.extensions["staff"].session(before) is None


@pytest.mark.parametrize("length", ["10001", "999999999999"])
def test_a_stranger_may_not_send_much(desk: Flask, length: str) -> None:
    sent = bare(desk).post(
        "/desk/sign-in", headers=SAME, content_type="multipart/form-data; boundary=x", environ_overrides={"CONTENT_LENGTH": length}
    )
    assert sent.status_code == 413


def test_what_a_stranger_sends_is_counted_without_a_cookie_too(engine: Engine, quotes: Quotes) -> None:
    client = bare(made_app(engine, quotes, desk=True, rate_limits={"wrong.keys": 5}))
    found = [client.post("/desk/language", data={"language": "de"}, headers=SAME).status_code for _ in range(8)]
    assert (found[0], found[-1]) == (401, 429)


@pytest.mark.parametrize("session_id", ["%00", "none", "é"])
def test_a_session_that_there_is_not_ends_nothing(desk: Flask, session_id: str) -> None:
    owner = Colleague(desk, Role.OWNER)
    token = owner.prepared("Deutsch")[1]["form"]
    assert owner.send(f"/desk/sessions/{session_id}/end", {"form": token}).status_code == 200
    assert len(desk.extensions["staff"].sessions()) == 1


def link_of(app: Flask, host: str) -> str:
    """What the owner's page has as a link for someone of the bench, opened by such a host."""
    owner, bench = Colleague(app, Role.OWNER), Colleague(app, Role.BENCH)
    fields = {"form": owner.prepared("Deutsch")[1]["form"]}
    owner.client.set_cookie("desk", owner.cookie, domain=host.partition(":")[0], path="/desk")
    there = f"http://{host}"
    made = owner.client.post(f"/desk/people/{bench.person.id}/link", base_url=there, data=fields, headers={**SAME, "Origin": there})
    assert made.status_code == 200
    (link,) = re.findall(r"<code>(\S*)/desk/sign-in\?link=", made.text)
    return str(link)


@pytest.mark.parametrize(
    ("given", "host", "begins"),
    [
        ({}, "elsewhere.example", "http://127.0.0.1:8000"),
        ({}, "localhost:8000", "http://localhost:8000"),
        ({"host": "0.0.0.0"}, "elsewhere.example", ""),  # noqa: S104  # said by no one but the sender
        ({"host": "0.0.0.0", "base_url": "https://quotes.shop.example"}, "elsewhere.example", "https://quotes.shop.example"),  # noqa: S104
    ],
)
def test_a_sign_in_link_leads_to_no_host_that_only_the_request_names(
    engine: Engine, quotes: Quotes, given: dict[str, Any], host: str, begins: str
) -> None:
    """Whoever can have the owner's request sent with a host of their own would get the link when it is opened."""
    assert link_of(made_app(engine, quotes, desk=True, **given), host) == begins


def test_the_cookie_is_secure_behind_a_proxy_that_names_this_machine(desk: Flask, engine: Engine, quotes: Quotes) -> None:
    """As a proxy that ends the TLS and asks 127.0.0.1 does; the origin is the browser's word."""
    link = desk.extensions["staff"].make_link(Colleague(desk, Role.BENCH).person.id)
    app = made_app(engine, quotes, desk=True, base_url="https://quotes.shop.example")
    signed = bare(app).post(
        "/desk/sign-in", data={"link": link}, base_url="http://127.0.0.1:8000", headers={**SAME, "Origin": "https://quotes.shop.example"}
    )
    assert signed.status_code == 303
    assert "Secure" in signed.headers["Set-Cookie"].split("; ")
